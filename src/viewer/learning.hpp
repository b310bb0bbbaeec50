// What the screen knows of lessons: those there are, and what is asked for.
#pragma once

#include "bench/drill_cure.hpp"
#include "bench/drill_readings.hpp"
#include "files/learners.hpp"
#include "files/lesson_reader.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// A lesson to choose, or a file that is none.
struct LessonRow {
  std::shared_ptr<const OpenedLesson> opened; // null: `fault` says why
  std::string fault;
  bool finished = false; // by the learner whose name is typed in
};

struct Learning {
  std::string learner; // empty = no progress is kept
  std::string fault;   // why the last thing asked for could not be done
  bool drills = false; // the page that is shown, else lessons
  int drill_level = 1;
  int drill_seed = 1;
  std::vector<DrillAnswered> answered; // by that learner
  bool drawing = false;                // a drill, beside the screen
  bool judging = false;                // an answer, likewise
};

// Asked for by panels and keys.
struct Learn {
  enum class What { nothing, begin, next, again, hint, leave, draw, hand_in };
  What what = What::nothing;
  std::size_t index = 0; // of the lessons
  std::optional<std::string> learner;
  // Of the drill that is under way.
  struct {
    std::optional<CheckAt> where;
    std::optional<int> stop; // rod; -1 = out
    std::optional<LashReading> lash;
    std::optional<std::string> name;
    std::optional<DrillWork> work;
    std::optional<double> float_change_mm; // 0 = not changed
    bool anew = false;
  } drill{};
};

} // namespace phasewright::viewer
