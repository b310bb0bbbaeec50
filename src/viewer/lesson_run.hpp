// A lesson under way: which step, what has been done of it, and what is to be said now.
#pragma once

#include "bench/lesson.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

class LessonRun {
public:
  // `set`: as begun_step. The lesson must have a step.
  LessonRun(std::shared_ptr<const Lesson> lesson, SetInBuild set) : lesson_(std::move(lesson)), set_(std::move(set)) {}

  // What is said, with its figures.
  struct Words {
    std::string say;
    std::string task; // or the question
    std::string right;
    std::string wrong;              // what was done is wrong in a way the lesson has a word for
    std::vector<std::string> hints; // all of them
  };

  [[nodiscard]] const Lesson& lesson() const { return *lesson_; }
  [[nodiscard]] std::size_t at() const { return at_; } // step, from 0
  [[nodiscard]] const LessonStep& step() const { return lesson_->steps[at_]; }
  [[nodiscard]] bool is_last() const { return at_ + 1 == lesson_->steps.size(); }
  [[nodiscard]] bool done() const { return done_; }          // it stays so
  [[nodiscard]] std::size_t hints() const { return hints_; } // how many are shown
  [[nodiscard]] const Words& words() const { return words_; }
  [[nodiscard]] const LessonInstruments& instruments() const { return instruments_; }
  [[nodiscard]] const LessonTurns& turns() const { return turns_; }

  // Goes to that step: gives the bench as the step finds it. Problems: what it sets does not go together; it stays
  // where it was then.
  [[nodiscard]] Result<LessonBench> begin(std::size_t step, const LessonBench& now);
  // The step it is at once more: gives the bench as that step found it then.
  [[nodiscard]] const LessonBench& begin_again();
  // Where the crank gets that is turned from one place toward another: a piston stop may hold it.
  [[nodiscard]] double turned(const SliderCrank& crank, double from_deg, double to_deg);
  void show_hint();
  // To be called after each change.
  void read_instruments(const LessonMoment& moment) { instruments_ = lesson_instruments(moment); }
  // Likewise, but only once the hand is off.
  void judge(const LessonMoment& moment);

private:
  std::shared_ptr<const Lesson> lesson_;
  SetInBuild set_;
  std::size_t at_ = 0;
  LessonBench began_; // the bench, when that step did
  bool done_ = false;
  std::size_t hints_ = 0;
  Words words_;
  LessonInstruments instruments_;
  LessonTurns turns_;
};

} // namespace phasewright::viewer
