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

// Least and greatest size, as they lie above the nominal one (unit: mm).
struct SizeLimits {
  double lower_mm;
  double upper_mm;
};

// How wide a key and its two keyways may be.
struct KeyWidthLimits {
  SizeLimits key;  // h9
  SizeLimits seat; // the shaft's keyway
  SizeLimits hub;  // the sprocket's
};

// tight: P9 in shaft and hub. sliding, of a sprocket that is pushed on and drawn off: N9 in the shaft, J9 in the hub
// (today's JS9). Which class belongs to which width: DIN 6888:1956-08. Their sizes are ISO 286's, from memory.
enum class KeywayFit { tight, sliding };

// Nothing for widths above 10 mm, or not above 0.
[[nodiscard]] std::optional<KeyWidthLimits> key_width_limits(double width_mm, KeywayFit fit);

// "4x6.5x16" -> width 4, height 6.5, diameter 16. Nothing when it does not read so or a figure is not positive.
[[nodiscard]] std::optional<KeySize> parse_key(std::string_view text);
[[nodiscard]] std::string to_text(const KeySize& key);

} // namespace phasewright
