// Lobes that can be ground and turned, and yet would not last.
#pragma once

#include "mechanics/valve_gear.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// A nose of less radius than this presses so hard that it wears at once (unit: mm). Our own guess, no source.
inline constexpr double pointed_radius_mm = 1.0;

// "the inlet lobe comes to a point: radius of curvature 0.42 mm, 1.5 cam degrees past its nose".
[[nodiscard]] std::optional<std::string> lobe_caution(const ValveMotion& motion);

// Of every camshaft, inlet first; of lobes that cannot be made there is nothing to say here.
[[nodiscard]] std::vector<std::string> lobe_cautions(const Engine& engine);

} // namespace phasewright
