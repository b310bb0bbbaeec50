// Walks a lesson as its file says it can be answered, rightly and wrongly: so a teacher sees, before a learner does,
// whether every step can be done and whether it can be done by mistake.
#pragma once

#include "bench/lesson.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// One step: as it is found after the answers of those before it, and what it says.
struct StepWalked {
  LessonBench begun;
  std::string say; // the step's texts with their figures: before anything is done ...
  std::string task;
  std::string question;
  std::vector<std::string> hints;
  std::string right; // ... and after the answer
  // What is said after each wrong answer; empty where the file has no word for it.
  std::vector<std::string> wrong_said;
};

struct LessonWalk {
  std::vector<StepWalked> steps; // as far as it came
  // "step 3: the answer does not make it true: lift is 1.20, wanted 5 mm or more". With the key at fault,
  // "step[3].answer".
  Problems problems;
};

// A step must not be done when it begins, must be done by its answer, and must not be done by any of its wrong answers;
// what is said must be so of one of them at least for every remark there is. Goes on with the next step from what
// the answer left. Ends at a step that cannot begin or be answered.
[[nodiscard]] LessonWalk walk_lesson(const Lesson& lesson, const LessonBench& first, const SetInBuild& set);

// After those moves. Problems: as `set`; as Mechanism::assemble.
struct Moved {
  LessonBench bench;
  LessonTurns turns;
};
[[nodiscard]] Result<Moved> moved(const Moved& from, const LessonStep& step, const LessonMoves& moves,
                                  const SetInBuild& set);

// Judged where a bench stands, its mechanisms assembled. Problems: as Mechanism::assemble.
[[nodiscard]] Result<StepJudged> judged_at(const Lesson& lesson, const LessonStep& step, const Moved& at);

} // namespace phasewright
