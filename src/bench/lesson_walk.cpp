#include "bench/lesson_walk.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace phasewright {

namespace {

// A bench with its mechanisms, from which a moment can be taken.
struct Stood {
  Mechanism fitted;
  Mechanism planned;

  static Result<Stood> of(const LessonBench& bench) {
    Result<Mechanism> fitted = Mechanism::assemble(bench.engine, bench.build.fitted);
    if (!fitted) return fitted.problems();
    Result<Mechanism> planned = fitted->refitted(bench.planned);
    if (!planned) return planned.problems();
    return Stood{*std::move(fitted), *std::move(planned)};
  }

  [[nodiscard]] LessonMoment moment(const Lesson& lesson, const LessonStep& step, const Moved& at) const {
    return {.fitted = &fitted,
            .planned = &planned,
            .build = &at.bench.build,
            .crank = at.bench.crank,
            .turns = at.turns,
            .wheel_error_deg = lesson.wheel_error_deg,
            .stop_mm = step.stop_mm,
            .page = at.bench.page,
            .view = at.bench.view,
            .shown = at.bench.shown};
  }
};

Result<Moved> turned_to(const Moved& from, const LessonStep& step, double to_deg) {
  const Result<Mechanism> mechanism = Mechanism::assemble(from.bench.engine, from.bench.build.fitted);
  if (!mechanism) return mechanism.problems();
  const double from_deg = from.bench.crank.crank_deg;
  if (step.stop_mm)
    if (const auto stop = piston_stop(mechanism->slider_crank(), *step.stop_mm))
      to_deg = held_by(*stop, from_deg, to_deg);
  Moved now = from;
  now.bench.crank = turned(*mechanism, from.bench.crank, to_deg - from_deg);
  now.turns = turned_on(from.turns, from_deg, to_deg);
  return now;
}

Result<Moved> moved_once(const Moved& from, const LessonStep& step, const LessonMove& move, const SetInBuild& set) {
  const double crank_deg = from.bench.crank.crank_deg;
  if (move.turn_by_deg) return turned_to(from, step, crank_deg + *move.turn_by_deg);
  if (move.turn_to_deg) return turned_to(from, step, crank_deg + wrap_720(*move.turn_to_deg - crank_deg));
  Moved now = from;
  if (!move.set.empty()) {
    Result<LessonBench> bench = with_settings(from.bench, {move.set}, set);
    if (!bench) return bench.problems();
    now.bench = *std::move(bench);
  }
  if (!move.page.empty()) now.bench.page = move.page;
  if (!move.view.empty()) now.bench.view = move.view;
  if (!move.shown.empty()) now.bench.shown = move.shown;
  return now;
}

std::string missed_words(const StepJudged& judged) {
  std::string words;
  for (const ConditionJudged& condition : judged.must)
    if (!condition.met) words += (words.empty() ? "" : "; ") + condition.words;
  return words;
}

// Walks one lesson, step after step.
class Walker {
public:
  Walker(const Lesson& lesson, const SetInBuild& set) : lesson_(lesson), set_(set) {}

  LessonWalk walk(const LessonBench& first) {
    LessonBench bench = first;
    for (index_ = 0; index_ < lesson_.steps.size(); ++index_) {
      const LessonStep& step = lesson_.steps[index_];
      Result<LessonBench> begun = begun_step(bench, step, set_);
      if (!begun) {
        blame("set", "it cannot begin: " + to_text(begun.problems().front()));
        break;
      }
      const std::optional<LessonBench> left = walk_step(step, {*begun, turns_from(begun->crank)});
      if (!left) break;
      bench = *left;
    }
    return std::move(walk_);
  }

private:
  void blame(const char* key, std::string words) {
    Problem problem;
    problem.key = fmt::format("step[{}]{}{}", index_ + 1, *key == '\0' ? "" : ".", key);
    problem.advice = fmt::format("step {}: {}", index_ + 1, words);
    walk_.problems.push_back(std::move(problem));
  }

  // Where the answer left it; nothing where the walk cannot go on.
  std::optional<LessonBench> walk_step(const LessonStep& step, const Moved& begin) {
    const Result<Stood> stood = Stood::of(begin.bench);
    if (!stood) {
      blame("set", "what it sets cannot be assembled: " + to_text(stood.problems().front()));
      return std::nullopt;
    }
    const LessonMoment moment = stood->moment(lesson_, step, begin);
    if (step.stop_mm && stands_past(*stood, *step.stop_mm, begin))
      blame("stop_mm", "the piston already stands higher than the stop lets it, begin elsewhere with crank_deg");
    StepWalked walked = texts_of(step, moment);
    walked.begun = begin.bench;
    if (!step.must.empty() && judge_step(step, moment).done) blame("must", "it is true before anything is done");
    const Result<Moved> answered = moved(begin, step, step.answer, set_);
    if (!answered) {
      blame("answer", "the answer cannot be carried out: " + to_text(answered.problems().front()));
      return std::nullopt;
    }
    finish(step, *answered, walked);
    try_wrong_answers(step, begin, walked);
    walk_.steps.push_back(std::move(walked));
    return answered->bench;
  }

  std::string filled(const std::string& key, const std::string& text, const LessonStep& step,
                     const LessonMoment& moment) {
    std::vector<std::string> unknown;
    std::string words = fill_figures(text, step, moment, &unknown);
    for (const std::string& figure : unknown)
      blame(key.c_str(), fmt::format("{} is not known when it is said", figure));
    return words;
  }

  StepWalked texts_of(const LessonStep& step, const LessonMoment& moment) {
    StepWalked walked;
    walked.say = filled("say", step.say, step, moment);
    walked.task = filled("task", step.task, step, moment);
    walked.question = filled("question", step.question, step, moment);
    // A hint may be asked for later, when more is known.
    for (const std::string& hint : step.hints) walked.hints.push_back(fill_figures(hint, step, moment));
    return walked;
  }

  static bool stands_past(const Stood& stood, double stop_mm, const Moved& at) {
    const auto stop = piston_stop(stood.fitted.slider_crank(), stop_mm);
    return !stop || !goes_in(*stop, at.bench.crank.crank_deg);
  }

  void finish(const LessonStep& step, const Moved& answered, StepWalked& walked) {
    const Result<Stood> stood = Stood::of(answered.bench);
    if (!stood) return blame("answer", "what it leaves cannot be assembled: " + to_text(stood.problems().front()));
    const LessonMoment moment = stood->moment(lesson_, step, answered);
    walked.right = filled("right", step.right, step, moment);
    if (const StepJudged judged = judge_step(step, moment); !judged.done)
      blame("answer", "the answer does not make it true: " + missed_words(judged));
  }

  void try_wrong_answers(const LessonStep& step, const Moved& begin, StepWalked& walked) {
    std::set<const LessonWrong*> said;
    for (std::size_t i = 0; i < step.wrong_answers.size(); ++i) {
      const std::string key = fmt::format("wrong_answer[{}]", i + 1);
      const Result<Moved> wrong = moved(begin, step, step.wrong_answers[i], set_);
      walked.wrong_said.emplace_back();
      if (!wrong) {
        blame(key.c_str(),
              fmt::format("wrong answer {} cannot be carried out: {}", i + 1, to_text(wrong.problems().front())));
        continue;
      }
      const Result<Stood> stood = Stood::of(wrong->bench);
      if (!stood) continue; // what cannot be assembled the viewer refuses
      const LessonMoment moment = stood->moment(lesson_, step, *wrong);
      const StepJudged judged = judge_step(step, moment);
      if (judged.done) blame(key.c_str(), fmt::format("wrong answer {} makes it true", i + 1));
      if (judged.wrong == nullptr) continue;
      said.insert(judged.wrong);
      const auto remark = judged.wrong - step.wrong.data() + 1;
      walked.wrong_said.back() = filled(fmt::format("wrong[{}].say", remark), judged.wrong->say, step, moment);
    }
    for (std::size_t i = 0; i < step.wrong.size(); ++i)
      if (!said.contains(&step.wrong[i]))
        blame(fmt::format("wrong[{}]", i + 1).c_str(),
              fmt::format("no wrong answer leads to remark {}: {} {}", i + 1, subject_words(step.wrong[i].when.front()),
                          wanted_words(step.wrong[i].when.front())));
  }

  const Lesson& lesson_;
  const SetInBuild& set_;
  std::size_t index_ = 0;
  LessonWalk walk_;
};

} // namespace

Result<Moved> moved(const Moved& from, const LessonStep& step, const LessonMoves& moves, const SetInBuild& set) {
  Moved now = from;
  for (const LessonMove& move : moves) {
    Result<Moved> next = moved_once(now, step, move, set);
    if (!next) return next;
    now = *std::move(next);
  }
  return now;
}

Result<StepJudged> judged_at(const Lesson& lesson, const LessonStep& step, const Moved& at) {
  const Result<Stood> stood = Stood::of(at.bench);
  if (!stood) return stood.problems();
  return judge_step(step, stood->moment(lesson, step, at));
}

LessonWalk walk_lesson(const Lesson& lesson, const LessonBench& first, const SetInBuild& set) {
  LessonWalk walk = Walker(lesson, set).walk(first);
  const double minutes = lesson_minutes(lesson);
  if (!(minutes >= least_lesson_minutes && minutes <= most_lesson_minutes))
    walk.problems.push_back(problem_at("step", fmt::format("a lesson of {:.1f} minutes", minutes),
                                       fmt::format("{} to {} minutes", least_lesson_minutes, most_lesson_minutes),
                                       "its words at 150 a minute, and a time for each thing to do"));
  return walk;
}

} // namespace phasewright
