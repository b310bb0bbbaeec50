// Lengths as the words of alignment, end float and keys say them.
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <span>
#include <string>

namespace phasewright {

// "0.89 mm (35 thou)", of a size, sign left out.
[[nodiscard]] inline std::string size_words(double mm) {
  return fmt::format("{:.2f} mm ({:.0f} thou)", std::fabs(mm), std::fabs(mm) / 0.0254);
}

// "0.50 + 0.25 + 0.13"
[[nodiscard]] inline std::string pieces_words(std::span<const double> pieces_mm) {
  std::string words;
  for (const double piece_mm : pieces_mm) words += fmt::format("{}{:.2f}", words.empty() ? "" : " + ", piece_mm);
  return words;
}

} // namespace phasewright
