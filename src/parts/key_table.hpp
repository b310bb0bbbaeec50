// Half-round (Woodruff) key sizes and their keyways.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace phasewright {

// Width x height x diameter of a half-round key (unit: mm).
struct KeySize {
  double width_mm;
  double height_mm;
  double diameter_mm;

  friend bool operator==(const KeySize&, const KeySize&) = default;
};

// Keyway depths that belong to a standard half-round key (unit: mm); both +0.1/0.
struct Keyway {
  KeySize key;
  double shaft_depth_mm; // t1, measured from the shaft's surface
  double hub_depth_mm;   // t2
};

// DIN 6888:1956-08, series A, widths 1 to 4 mm.
[[nodiscard]] std::span<const Keyway> keyways();
[[nodiscard]] std::optional<Keyway> find_keyway(const KeySize& key);

// "4x6.5x16" -> width 4, height 6.5, diameter 16. Nothing when it does not read so or a figure is not positive.
[[nodiscard]] std::optional<KeySize> parse_key(std::string_view text);
[[nodiscard]] std::string to_text(const KeySize& key);

} // namespace phasewright
