// Why no lobe can be ground that moves its follower so.
#pragma once

#include "mechanics/lobe_contour.hpp"

#include <optional>
#include <string>

namespace phasewright {

[[nodiscard]] std::optional<Problem> contour_fault(const LobeContour& contour, const ValveGear& gear,
                                                   const LobeProfile& lobe, const std::string& key);

// "12.3 cam degrees before its nose, near row 33 of its table".
[[nodiscard]] std::string place_on_lobe(const LobeContour& contour, const ValveGear& gear, double from_nose_rad);

} // namespace phasewright
