// A lesson: a short guided walk through the viewer, with what the learner is to make true at each step. Plain data, as
// its file has it (files/lesson_reader); what becomes true is judged by bench/lesson.
#pragma once

#include "parts/lesson_quantities.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace phasewright {

// What settings of what is planned begin with, and names of figures of it.
inline constexpr std::string_view planned_prefix = "planned.";

// One thing that must be so. Of a figure either `least`, `most` or both; or `near` and `within`. Of a word, `is`.
struct LessonCondition {
  LessonQuantity what = LessonQuantity::crank_deg;
  bool planned = false; // of what is planned, else of what is fitted
  std::string camshaft; // empty = the step's
  int cylinder = 1;     // 1 to 16
  std::optional<double> least;
  std::optional<double> most;
  std::optional<double> near;
  double within = 0; // either side of `near`; more than 0. An angle that comes round again is compared that way
  std::string is;    // a word; empty = a figure
};

// "inlet_lift_mm", "planned lay of "inlet"", "stroke of No. 3".
[[nodiscard]] std::string subject_words(const LessonCondition& condition);
// "5 mm or more", "106 deg, give or take 2 deg", "facing".
[[nodiscard]] std::string wanted_words(const LessonCondition& condition);

// One thing that a learner does. Exactly one of these.
struct LessonMove {
  std::optional<double> turn_by_deg; // crank degrees, - = back; up to 7200 either way
  std::optional<double> turn_to_deg; // forward to where the crank stands at that angle; 0 to 720
  std::string set;                   // "fitted.lay=1", as --set has it
  std::string page;                  // words of parts/viewer_words.hpp
  std::string view;
  std::string shown;
};
using LessonMoves = std::vector<LessonMove>;

// What is said while the step is not done and all of `when` is so.
struct LessonWrong {
  std::vector<LessonCondition> when;
  std::string say;
};

// Texts may hold figures that are worked out when they are shown: "{inlet_lift_mm}", of what is planned
// "{planned.phase_deg}".
struct LessonStep {
  std::string say;
  std::string task;     // what to do, where something must become true
  std::string question; // in place of `task`: the last step has one
  std::string right;    // said once it is done; may be empty
  // How it begins. What is not said stays as the learner left it.
  std::string page; // empty = as it is; words of parts/viewer_words.hpp
  std::string view;
  std::string shown;
  std::string camshaft;                   // the one that is shown and asked about; empty = the first
  int cylinder = 1;                       // the one that is shown
  std::optional<double> magnify;          // 1 to 10
  std::optional<double> apart;            // 0 to 1
  std::optional<double> crank_deg;        // put there, turned forward; 0 to 720
  std::optional<double> stop_mm;          // a piston stop in No. 1, met so far below TDC; 0.5 to 300
  std::vector<std::string> set;           // "fitted.lay=1"; first parts fitted, planned, measured, stock
  std::vector<std::string> hints;         // shown one by one
  std::vector<LessonCondition> must;      // all of them; none = it is done when it has been read
  std::vector<LessonWrong> wrong;         // the first that fits is said
  LessonMoves answer;                     // makes `must` true
  std::vector<LessonMoves> wrong_answers; // each leaves it false
};

struct Lesson {
  std::string name; // one word: "four-strokes"
  std::string title;
  std::string works_on;                                   // an engine or build file
  std::vector<std::pair<std::string, std::string>> words; // terms and what they mean
  std::vector<std::string> cautions; // where someone or an engine could be hurt, on top of the usual ones
  double wheel_error_deg = 0;        // the degree wheel reads so much more than the crank's true angle; -30 to 30
  std::vector<LessonStep> steps;     // 2 to 12
};

// How long a lesson takes: its words at the pace at which technical text is read, and a time for each thing to do.
// Common practice, no source, all of them. Hints and remarks on what is wrong are not counted.
inline constexpr double lesson_words_per_minute = 150;
inline constexpr double lesson_turn_s = 12;  // turning the crank to a place
inline constexpr double lesson_set_s = 15;   // changing or typing in one thing
inline constexpr double lesson_look_s = 8;   // looking at what came of a step
inline constexpr double lesson_page_s = 4;   // opening another page or view
inline constexpr double lesson_think_s = 20; // over a question
[[nodiscard]] double lesson_minutes(const Lesson& lesson);
// What a lesson is to take (unit: minutes).
inline constexpr double least_lesson_minutes = 3;
inline constexpr double most_lesson_minutes = 6;

} // namespace phasewright
