// Lessons on the bench: what a step is about where the engine stands, and whether it is done. Nothing is canned:
// every figure is worked out by the mechanics from what the learner has set and turned.
//
// What a viewer does with a lesson (parts/lesson.hpp, read by files/lesson_reader.hpp):
//
//   LessonBench bench = first_bench(opened.engine, opened.build);        // the lesson's engine or build, as filed
//   Result<LessonBench> begun = begun_step(bench, lesson.steps[k], set); // what it sets, where it puts the crank
//     -> begun->build.fitted, .measured and .stock.shim_mm into the document, then begun->planned; the crank and what
//        is shown into the view. Kept: the step's number, *begun (for "this step again"), LessonTurns that begin where
//        the crank stands. To go on at a later step, walk_lesson (bench/lesson_walk.hpp) has what it begins from.
//   every turn of the crank:  to = held_by(stop, from, to) where the step has one;  turns = turned_on(turns, from, to);
//   after each change, and when the crank has come to rest (one that is dragged past a place does not stand there):
//     StepJudged judged = judge_step(step, moment);
//     judged.done: `right`, and the next step. It stays done, whatever is turned then: keep that.
//     else judged.wrong, if any: what it says. Hints one by one, when they are asked for.
//   texts: fill_figures(step.right, step, moment). lesson_instruments(moment) for the wheel and the indicators.
//   progress: record_progress (files/learners.hpp), when a step is done.
//
// `set` (SetInBuild) is files/lesson_reader's set_in_build with the engine bound: bench knows no files.
#pragma once

#include "bench/crank_by_hand.hpp"
#include "parts/build.hpp"
#include "parts/lesson.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// How far the crank has been turned each way since the step began.
struct LessonTurns {
  double began_crank_deg = 0; // where it stood then
  double forward_deg = 0;
  double back_deg = 0;                      // 0 or more
  Turning began_turning = Turning::forward; // the way it had come there
};
// None yet.
[[nodiscard]] LessonTurns turns_from(const CrankByHand& crank);
[[nodiscard]] LessonTurns turned_on(LessonTurns turns, double from_deg, double to_deg);

// Everything that conditions are judged by. The mechanisms and the build must outlive it. `planned` is `fitted` where
// nothing else is planned.
struct LessonMoment {
  const Mechanism* fitted = nullptr;
  const Mechanism* planned = nullptr;
  const Build* build = nullptr; // readings, target, shelf
  CrankByHand crank;
  LessonTurns turns;
  double wheel_error_deg = 0;    // Lesson's
  std::optional<double> stop_mm; // the step's
  std::string page;              // words of parts/viewer_words.hpp
  std::string view;
  std::string shown;
};

// What a quantity comes to: a figure, or a word; neither where it cannot be told, and then why.
struct QuantityRead {
  std::optional<double> figure;
  std::string word;
  std::string why_not;

  [[nodiscard]] bool known() const { return figure || !word.empty(); }
};
// Of a state, a camshaft (empty = the first) and a cylinder that the engine has.
struct QuantityAsked {
  LessonQuantity what = LessonQuantity::crank_deg;
  bool planned = false;
  std::string camshaft;
  int cylinder = 1;
};
[[nodiscard]] QuantityRead read_quantity(const LessonMoment& moment, const QuantityAsked& asked);

// One condition, judged: "inlet_lift_mm is 1.20, wanted 5 mm or more".
struct ConditionJudged {
  bool met = false;
  QuantityRead read;
  std::string words;
};
[[nodiscard]] ConditionJudged judge_condition(const LessonCondition& condition, const LessonStep& step,
                                              const LessonMoment& moment);

struct StepJudged {
  bool done = false;                  // every condition is met; a step without any is done when it has been read
  std::vector<ConditionJudged> must;  // as LessonStep::must
  const LessonWrong* wrong = nullptr; // of the step: what was done is wrong in a way that it has a word for
};
[[nodiscard]] StepJudged judge_step(const LessonStep& step, const LessonMoment& moment);

// `text` with its figures: "{inlet_lift_mm}", "{planned.phase_deg}", of the step's camshaft and cylinder. "?" where one
// cannot be told. What is in braces and no quantity stays.
// `unknown`, where given, gets the names of those that are not known at that moment: they read "?".
[[nodiscard]] std::string fill_figures(const std::string& text, const LessonStep& step, const LessonMoment& moment,
                                       std::vector<std::string>* unknown = nullptr);

// What the lesson's instruments show: an ordinary degree wheel that is read to half a degree, and dial indicators on
// the tappets of No. 1, read to a hundredth of a millimetre.
struct LessonInstruments {
  double wheel_deg = 0;      // 0 to 720, as lobe readings are put in
  double wheel_from_tdc = 0; // -180 to 180, as stop readings are: before TDC negative
  std::optional<double> inlet_mm;
  std::optional<double> exhaust_mm;
  bool at_stop = false;
};
[[nodiscard]] LessonInstruments lesson_instruments(const LessonMoment& moment);

// The engine during a lesson, as moves change it.
struct LessonBench {
  std::shared_ptr<const Engine> engine;
  Build build;    // what is fitted, read, on the shelf
  Fitted planned; // what is tried beside it
  CrankByHand crank;
  std::string page;
  std::string view;
  std::string shown;
};
// Nothing is planned but what is fitted; the crank stands at 0.
[[nodiscard]] LessonBench first_bench(std::shared_ptr<const Engine> engine, const Build& build);

// "fitted.lay=1" and the like put into a build. Problems: as of a build file with that in it.
using SetInBuild = std::function<Result<Build>(const Build& build, const std::vector<std::string>& settings)>;
// With settings put in, those of what is planned too. What is fitted and planned alike stays alike when only what is
// fitted is set, as in the viewer.
[[nodiscard]] Result<LessonBench> with_settings(const LessonBench& bench, const std::vector<std::string>& settings,
                                                const SetInBuild& set);

// As a step finds it: what it sets, where it puts the crank (coming to it forward), what it shows. Where it sets
// something and nothing of what is planned, what is fitted is planned.
[[nodiscard]] Result<LessonBench> begun_step(const LessonBench& bench, const LessonStep& step, const SetInBuild& set);

} // namespace phasewright
