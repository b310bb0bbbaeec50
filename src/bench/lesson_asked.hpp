// What the quantities of a lesson are worked out from, for those that work them out.
#pragma once

#include "bench/lesson.hpp"

#include <cstddef>

namespace phasewright {

struct Asked {
  const LessonMoment& moment;
  const Mechanism& of;      // the state that is asked about
  std::size_t camshaft = 0; // index into Engine::camshafts
  int cylinder = 1;
};

[[nodiscard]] inline QuantityRead figure_of(double figure) {
  return {figure, {}, {}};
}
[[nodiscard]] inline QuantityRead figure_of(const std::optional<double>& figure, const char* why_not) {
  return figure ? figure_of(*figure) : QuantityRead{{}, {}, why_not};
}
[[nodiscard]] inline QuantityRead word_of(std::string word) {
  return {{}, std::move(word), {}};
}
[[nodiscard]] inline QuantityRead unknown(std::string why_not) {
  return {{}, {}, std::move(why_not)};
}
// The first problem in words.
[[nodiscard]] inline QuantityRead unknown(const Problems& problems) {
  return unknown(to_text(problems.front()));
}

// Each of its own part of the table in parts/lesson_quantities; nothing of another's.
[[nodiscard]] std::optional<QuantityRead> read_motion(LessonQuantity what, const Asked& asked);
[[nodiscard]] std::optional<QuantityRead> read_valves(LessonQuantity what, const Asked& asked);
[[nodiscard]] std::optional<QuantityRead> read_drive(LessonQuantity what, const Asked& asked);
[[nodiscard]] std::optional<QuantityRead> read_readings(LessonQuantity what, const Asked& asked);

} // namespace phasewright
