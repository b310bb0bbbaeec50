// A second way to the driven angle: the taut strand as the coupler of a four-bar linkage, solved by a general-purpose
// geometric constraint solver (libslvs) that knows nothing of chains.
#pragma once

#include <glm/vec2.hpp>

#include <optional>

namespace phasewright::testing {

struct FourBar {
  glm::dvec2 driver_pin_mm{}; // end of the driving arm, at its given angle
  glm::dvec2 driven_pivot_mm{};
  double coupler_mm = 0;
  double driven_arm_mm = 0;
  glm::dvec2 start_mm{}; // where to begin looking for the driven arm's pin
};

// Where the driven arm's pin comes to stand, or nothing when the solver gives up.
[[nodiscard]] std::optional<glm::dvec2> solve_four_bar(const FourBar& linkage);

} // namespace phasewright::testing
