// What must be so of a lesson file beyond types and ranges.
#pragma once

#include "files/files.hpp"
#include "files/reader.hpp"
#include "parts/lesson.hpp"

namespace phasewright {

// A quantity that there is not. `found` may be empty: as it stands in the file.
void refuse_quantity(const std::string& key, const std::string& found, const std::string& name, Report& report);

// What a step's keys ask of each other. `table` is the step's, all of its keys read.
void check_step(const LessonStep& step, Reader& table);
// The lesson's name, its last step, the figures in its texts.
void check_lesson(const Lesson& lesson, Report& report);
// Names and numbers of the engine's parts, and its settings, tried one after the other as the answers come.
void check_with_engine(const Lesson& lesson, const Opened& opened, Report& report);

} // namespace phasewright
