#include "bench/fit_words.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

std::string size_words(double mm) {
  return fmt::format("{:.2f} mm ({:.0f} thou)", std::fabs(mm), std::fabs(mm) / 0.0254);
}

std::string pieces_words(std::span<const double> pieces_mm) {
  std::string words;
  for (const double piece_mm : pieces_mm) words += fmt::format("{}{:.2f}", words.empty() ? "" : " + ", piece_mm);
  return words;
}

} // namespace phasewright
