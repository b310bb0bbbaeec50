#include "viewer/lobe_curves.hpp"

#include "geometry/angle.hpp"

#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr double beside_deg = 8.0; // of the base circle on either side

} // namespace

std::array<double, motions> motion_at(const ValveMotion& motion, double from_nose_deg) {
  const LiftState at = motion.lobe().at(radians(from_nose_deg));
  const double unit = radians(1.0);
  return {at.lift_mm, at.per_rad_mm * unit, at.per_rad2_mm * unit * unit, at.per_rad3_mm * unit * unit * unit};
}

LobeCurve lobe_curve(const ValveMotion& motion, double step_deg) {
  const double low = std::floor(degrees(motion.lobe().opens_rad()) - beside_deg);
  const double high = std::ceil(degrees(motion.lobe().closes_rad()) + beside_deg);
  const auto steps = static_cast<int>(std::lround((high - low) / step_deg));
  LobeCurve curve;
  for (int i = 0; i <= steps; ++i) {
    const double deg = low + step_deg * i;
    curve.cam_deg.push_back(deg);
    const std::array<double, motions> now = motion_at(motion, deg);
    for (std::size_t m = 0; m < motions; ++m) curve.value[m].push_back(now[m]);
  }
  return curve;
}

} // namespace phasewright::viewer
