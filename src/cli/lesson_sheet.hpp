// A lesson as a sheet for a class, with or without its answers.
#pragma once

#include "bench/lesson_walk.hpp"
#include "cli/commands.hpp"

namespace phasewright::cli {

// `walk` is the lesson's own, without a fault.
[[nodiscard]] Answer lesson_sheet(const Lesson& lesson, const LessonWalk& walk, const std::string& engine,
                                  bool answers);

} // namespace phasewright::cli
