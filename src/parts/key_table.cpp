#include "parts/key_table.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

namespace phasewright {

namespace {

// DIN 6888:1956-08. Its rule t1 + t2 - h = 0.2 mm (top clearance) holds in every row, and was used where a digit of the
// copy read was damaged (t1 of 3x3.7 and 3x5, t2 of the 4 mm keys).
constexpr std::array<Keyway, 11> table{{
    {{1.0, 1.4, 4.0}, 1.0, 0.6},
    {{1.5, 2.6, 7.0}, 2.0, 0.8},
    {{2.0, 2.6, 7.0}, 1.8, 1.0},
    {{2.0, 3.7, 10.0}, 2.9, 1.0},
    {{2.5, 3.7, 10.0}, 2.9, 1.0},
    {{3.0, 3.7, 10.0}, 2.5, 1.4},
    {{3.0, 5.0, 13.0}, 3.8, 1.4},
    {{3.0, 6.5, 16.0}, 5.3, 1.4},
    {{4.0, 5.0, 13.0}, 3.5, 1.7},
    {{4.0, 6.5, 16.0}, 5.0, 1.7},
    {{4.0, 7.5, 19.0}, 6.0, 1.7},
}};

// ISO 286-1, from memory: grade 9, and how far P9 lies below nominal, for widths up to `most_mm`. Of the deviations in
// use here h9 is (-IT9, 0), N9 begins at 0 above 3 mm and at -4 um below, and JS9 has half of IT9 to either side.
struct WidthStep {
  double most_mm;
  double grade_mm;
  double tight_upper_mm;
  double sliding_seat_upper_mm;
};
constexpr std::array<WidthStep, 3> width_steps{{
    {3.0, 0.025, -0.006, -0.004},
    {6.0, 0.030, -0.012, 0.0},
    {10.0, 0.036, -0.015, 0.0},
}};

SizeLimits below(double upper_mm, double grade_mm) {
  return {upper_mm - grade_mm, upper_mm};
}

} // namespace

std::span<const Keyway> keyways() {
  return table;
}

std::optional<Keyway> find_keyway(const KeySize& key) {
  for (const Keyway& keyway : table)
    if (keyway.key == key) return keyway;
  return std::nullopt;
}

std::optional<KeyWidthLimits> key_width_limits(double width_mm, KeywayFit fit) {
  if (!(width_mm > 0.0)) return std::nullopt;
  for (const WidthStep& step : width_steps) {
    if (width_mm > step.most_mm) continue;
    const SizeLimits key = below(0.0, step.grade_mm);
    const SizeLimits tight = below(step.tight_upper_mm, step.grade_mm);
    if (fit == KeywayFit::tight) return KeyWidthLimits{key, tight, tight};
    return KeyWidthLimits{key, below(step.sliding_seat_upper_mm, step.grade_mm),
                          below(step.grade_mm / 2.0, step.grade_mm)};
  }
  return std::nullopt;
}

std::optional<KeySize> parse_key(std::string_view text) {
  std::array<double, 3> figure{};
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  for (std::size_t i = 0; i < figure.size(); ++i) {
    if (i > 0) {
      if (at == end || *at != 'x') return std::nullopt;
      ++at;
    }
    const auto [next, error] = std::from_chars(at, end, figure[i], std::chars_format::fixed);
    if (error != std::errc{} || !(figure[i] > 0.0) || !std::isfinite(figure[i])) return std::nullopt;
    at = next;
  }
  if (at != end) return std::nullopt;
  return KeySize{figure[0], figure[1], figure[2]};
}

std::string to_text(const KeySize& key) {
  return fmt::format("{}x{}x{}", key.width_mm, key.height_mm, key.diameter_mm);
}

} // namespace phasewright
