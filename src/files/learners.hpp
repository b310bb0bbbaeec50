// How far each learner has come, by name, in one file: learners.toml in a folder that the caller names.
//
//   format = "phasewright-learners/1"
//   [[learner]]
//   name = "Asta"
//   lessons = [{ name = "four-strokes", step = 5, done = true, date = "2026-05-14" }]
//   drills = [{ engine = "Marram 1420", number = 7, level = 2, named = true, cured = false, date = "2026-05-15" }]
#pragma once

#include "parts/problem.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright {

struct LessonProgress {
  std::string lesson;
  int step = 0;      // steps done; 0 to 99
  bool done = false; // the whole of it, once; it stays
  std::string date;  // when that was, "2026-05-14"; empty = not said
};

// The first answer to a drill; what is true is told after it.
struct DrillAnswered {
  std::string engine; // its name
  int number = 0;     // the drill's seed, 0 or more
  int level = 1;      // 1 to 9
  bool named = false; // rightly, as far as readings can tell
  bool cured = false; // what was planned puts it right
  std::string date;   // as LessonProgress
};

struct Learner {
  std::string name; // 1 to 80 bytes of UTF-8 on one line
  std::vector<LessonProgress> lessons;
  std::vector<DrillAnswered> drills;
};

inline constexpr const char* learners_file_name = "learners.toml";

// Whether a learner may be called so.
[[nodiscard]] bool is_learner_name(std::string_view name);

// Those in the folder's file; none when there is no file. Problems: it cannot be read or is faulty.
[[nodiscard]] Result<std::vector<Learner>> read_learners(const std::filesystem::path& folder);

// The progress of one of them; null when there is none.
[[nodiscard]] const LessonProgress* find_progress(const std::vector<Learner>& learners, std::string_view name,
                                                  std::string_view lesson);

// All that one of them has answered; none when there is no such learner.
[[nodiscard]] std::vector<DrillAnswered> drills_answered(const std::vector<Learner>& learners, std::string_view name);
// "5 drills answered: 4 rightly named, 3 put right", "no drill answered yet".
[[nodiscard]] std::string drills_words(const std::vector<DrillAnswered>& drills);

// Puts progress down: a step is never taken back, nor is it undone that a lesson was done. Reads the file anew, so that
// what others put there stays. Nothing is written without a name or a folder. The folder is made when it is missing. A
// file that is faulty is not written over, and one that holds all it can (some 3,000 drills, of all learners) is not
// added to: the problem is returned.
[[nodiscard]] std::optional<Problem> record_progress(const std::filesystem::path& folder, const std::string& name,
                                                     const LessonProgress& progress);
// Likewise a drill's answer, unless that drill of that engine has been answered before.
[[nodiscard]] std::optional<Problem> record_drill(const std::filesystem::path& folder, const std::string& name,
                                                  const DrillAnswered& answer);

} // namespace phasewright
