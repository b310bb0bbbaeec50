// Lesson files: reading one, with the engine or build that it works on. The keys of the format stand in
// lesson_reader.cpp, each with its range and its default.
//
//   auto opened = open_lesson("assets/lessons/1-four-strokes.toml", "models");
//   if (!opened) fmt::print(stderr, "{}", to_text(opened.problems()));
//   const SetInBuild set = [&](const Build& build, const auto& settings) {
//     return set_in_build(build, *opened->opened.engine, settings);
//   };
#pragma once

#include "files/files.hpp"
#include "parts/lesson.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright {

inline constexpr const char* lesson_format = "phasewright-lesson/1";

struct OpenedLesson {
  Lesson lesson;
  Opened opened;     // the engine or build it works on
  std::string path;  // of the lesson file
  SourceMap sources; // of its keys, for faults that are found by walking it
};

// A lesson file. What it works on is looked for beside it, then in `models_folder`. Problems: every fault of the file
// at once, those of its settings too; where there is none, those of the file it works on.
[[nodiscard]] Result<OpenedLesson> open_lesson(const std::filesystem::path& path,
                                               const std::filesystem::path& models_folder);

// One file of a folder of lessons, or what is wrong with it.
struct LessonInFolder {
  std::string path;
  Result<OpenedLesson> opened;
};
// Every file of the folder that ends in .toml, by file name. Empty when there is no such folder. A second lesson of the
// same name is a fault of the later file.
[[nodiscard]] std::vector<LessonInFolder> lessons_in(const std::filesystem::path& folder,
                                                     const std::filesystem::path& models_folder);

// "fitted.lay=1", as --set takes it, put into a build one after the other. What readings were taken with stays; where
// there were none, those that come are of what is fitted then. First parts: fitted, measured, stock. Problems: as of a
// build file that has them.
[[nodiscard]] Result<Build> set_in_build(const Build& build, const Engine& engine,
                                         const std::vector<std::string>& settings);

} // namespace phasewright
