// How a lobe moves its follower, for the plots of lift, velocity, acceleration and jerk. It does not depend on what is
// fitted.
#pragma once

#include "mechanics/mechanism.hpp"

#include <array>
#include <vector>

namespace phasewright::viewer {

enum class Motion { lift, velocity, acceleration, jerk };
inline constexpr std::size_t motions = 4;

// At the tappet, by cam angle past the nose; with each order of derivative, cam degrees for radians.
struct LobeCurve {
  std::vector<double> cam_deg;
  std::array<std::vector<double>, motions> value; // mm, mm/deg, mm/deg^2, mm/deg^3
};

// Even steps of `step_deg` over the lobe and a little of its base circle, the ends and the nose among them.
[[nodiscard]] LobeCurve lobe_curve(const ValveMotion& motion, double step_deg = 0.5);

// The four figures at one cam angle.
[[nodiscard]] std::array<double, motions> motion_at(const ValveMotion& motion, double from_nose_deg);

} // namespace phasewright::viewer
