#include "viewer/lesson_run.hpp"

#include <algorithm>

namespace phasewright::viewer {

Result<LessonBench> LessonRun::begin(std::size_t step, const LessonBench& now) {
  Result<LessonBench> begun = begun_step(now, lesson_->steps.at(step), set_);
  if (!begun) return begun;
  at_ = step;
  began_ = *begun;
  return begin_again();
}

const LessonBench& LessonRun::begin_again() {
  done_ = false;
  hints_ = 0;
  words_ = {};
  turns_ = turns_from(began_.crank);
  return began_;
}

double LessonRun::turned(const SliderCrank& crank, double from_deg, double to_deg) {
  double gets_to = to_deg;
  if (step().stop_mm)
    if (const auto stop = piston_stop(crank, *step().stop_mm)) gets_to = held_by(*stop, from_deg, to_deg);
  turns_ = turned_on(turns_, from_deg, gets_to);
  return gets_to;
}

void LessonRun::show_hint() {
  hints_ = std::min(hints_ + 1, step().hints.size());
}

void LessonRun::judge(const LessonMoment& moment) {
  const StepJudged judged = judge_step(step(), moment);
  done_ = done_ || judged.done;
  const auto filled = [&](const std::string& text) { return fill_figures(text, step(), moment); };
  words_.say = filled(step().say);
  words_.task = filled(step().question.empty() ? step().task : step().question);
  words_.wrong = !done_ && judged.wrong != nullptr ? filled(judged.wrong->say) : "";
  words_.hints.clear();
  for (const std::string& hint : step().hints) words_.hints.push_back(filled(hint));
  // What was right stays said as it was then.
  if (done_ && words_.right.empty()) words_.right = filled(step().right);
}

} // namespace phasewright::viewer
