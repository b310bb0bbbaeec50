#include "bench/lesson.hpp"

#include "bench/lesson_asked.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr double wheel_read_to_deg = 0.5; // a wheel with a mark each degree, read to half of one
constexpr double indicator_read_to_mm = 0.01;

double to_nearest(double value, double step) {
  return step * std::round(value / step);
}

std::size_t camshaft_index(const Engine& engine, const std::string& name) {
  const auto found = std::ranges::find(engine.camshafts, name, &Camshaft::name);
  return found == engine.camshafts.end() ? 0 : static_cast<std::size_t>(found - engine.camshafts.begin());
}

// Figures from files and from sums are not held against each other to the last bit.
constexpr double hair = 1e-9;

bool meets(const LessonCondition& condition, double figure) {
  if (condition.near) {
    const double period = row_of(condition.what).period;
    double apart = figure - *condition.near;
    if (period > 0.0) apart = std::remainder(apart, period);
    return std::fabs(apart) <= condition.within + hair;
  }
  return (!condition.least || figure >= *condition.least - hair) &&
         (!condition.most || figure <= *condition.most + hair);
}

std::string read_text(const LessonQuantityRow& row, const QuantityRead& read) {
  if (read.figure) return figure_text(row, *read.figure);
  return read.word.empty() ? fmt::format("not known ({})", read.why_not) : read.word;
}

} // namespace

LessonTurns turns_from(const CrankByHand& crank) {
  return {.began_crank_deg = crank.crank_deg, .forward_deg = 0, .back_deg = 0, .began_turning = crank.turning};
}

LessonTurns turned_on(LessonTurns turns, double from_deg, double to_deg) {
  (to_deg > from_deg ? turns.forward_deg : turns.back_deg) += std::fabs(to_deg - from_deg);
  return turns;
}

QuantityRead read_quantity(const LessonMoment& moment, const QuantityAsked& asked) {
  const Mechanism& state = asked.planned ? *moment.planned : *moment.fitted;
  if (state.engine().camshafts.empty()) return unknown("the engine has no camshaft");
  const Asked whole{moment, state, camshaft_index(state.engine(), asked.camshaft), asked.cylinder};
  for (const auto read : {read_motion, read_valves, read_drive, read_readings})
    if (std::optional<QuantityRead> found = read(asked.what, whole)) return *std::move(found);
  return unknown("it is not worked out");
}

ConditionJudged judge_condition(const LessonCondition& condition, const LessonStep& step, const LessonMoment& moment) {
  ConditionJudged judged;
  const std::string& camshaft = condition.camshaft.empty() ? step.camshaft : condition.camshaft;
  judged.read = read_quantity(moment, {condition.what, condition.planned, camshaft, condition.cylinder});
  if (!condition.is.empty())
    judged.met = judged.read.word == condition.is;
  else
    judged.met = judged.read.figure && meets(condition, *judged.read.figure);
  judged.words = fmt::format("{} is {}, wanted {}", subject_words(condition),
                             read_text(row_of(condition.what), judged.read), wanted_words(condition));
  return judged;
}

StepJudged judge_step(const LessonStep& step, const LessonMoment& moment) {
  StepJudged judged;
  for (const LessonCondition& condition : step.must) judged.must.push_back(judge_condition(condition, step, moment));
  judged.done = std::ranges::all_of(judged.must, &ConditionJudged::met);
  if (judged.done) return judged;
  for (const LessonWrong& wrong : step.wrong) {
    const bool so = std::ranges::all_of(
        wrong.when, [&](const LessonCondition& condition) { return judge_condition(condition, step, moment).met; });
    if (!so) continue;
    judged.wrong = &wrong;
    break;
  }
  return judged;
}

std::string fill_figures(const std::string& text, const LessonStep& step, const LessonMoment& moment,
                         std::vector<std::string>* unknown) {
  std::string filled;
  std::size_t at = 0;
  for (std::size_t open; (open = text.find('{', at)) != std::string::npos;) {
    const std::size_t close = text.find('}', open);
    if (close == std::string::npos) break;
    filled += text.substr(at, open - at);
    std::string name = text.substr(open + 1, close - open - 1);
    const bool planned = name.starts_with(planned_prefix);
    if (planned) name.erase(0, planned_prefix.size());
    if (const LessonQuantityRow* row = find_lesson_quantity(name)) {
      const QuantityRead read = read_quantity(moment, {row->quantity, planned, step.camshaft, step.cylinder});
      filled += read.known() ? read_text(*row, read) : "?";
      if (!read.known() && unknown != nullptr) unknown->push_back(text.substr(open, close - open + 1));
    } else {
      filled += text.substr(open, close - open + 1);
    }
    at = close + 1;
  }
  return filled + text.substr(at);
}

LessonInstruments lesson_instruments(const LessonMoment& moment) {
  LessonInstruments shown;
  const double wheel_deg = to_nearest(moment.crank.crank_deg + moment.wheel_error_deg, wheel_read_to_deg);
  shown.wheel_deg = wrap_720(wheel_deg);
  shown.wheel_from_tdc = wrap_180(wheel_deg);
  for (const ValvePose& valve : moment.fitted->pose(moment.crank.crank_deg, moment.crank.turning).valves)
    if (valve.cylinder == 1)
      (valve.valve == ValveKind::inlet ? shown.inlet_mm : shown.exhaust_mm) =
          to_nearest(valve.tappet_mm, indicator_read_to_mm);
  if (moment.stop_mm)
    if (const auto stop = piston_stop(moment.fitted->slider_crank(), *moment.stop_mm))
      shown.at_stop = bears_on(*stop, moment.crank.crank_deg);
  return shown;
}

} // namespace phasewright
