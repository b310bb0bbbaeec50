#include "geometry/angle.hpp"

#include <cmath>

namespace phasewright {

namespace {

double wrap(double value, double low, double period) {
  double r = std::fmod(value - low, period);
  if (r < 0.0) r += period;
  if (r >= period) r = 0.0; // a tiny negative remainder rounds up to the period itself
  return low + r;
}

} // namespace

double sin_deg(double deg) {
  double a = std::fmod(deg, 360.0);
  // Fold into [-90, 90], where the sine is single-valued; every step is exact in floating point.
  if (a > 180.0) a -= 360.0;
  if (a < -180.0) a += 360.0;
  if (a > 90.0) a = 180.0 - a;
  if (a < -90.0) a = -180.0 - a;
  if (a == 0.0) return 0.0;
  if (a == 90.0) return 1.0;
  if (a == -90.0) return -1.0;
  if (a == 30.0) return 0.5;
  if (a == -30.0) return -0.5;
  return std::sin(radians(a));
}

double cos_deg(double deg) {
  const double a = std::fabs(std::fmod(deg, 360.0));
  // cos a = sin(90 - a); the subtraction is exact wherever the quadrants matter.
  return sin_deg(a > 180.0 ? a - 270.0 : 90.0 - a);
}

double wrap_360(double deg) {
  return wrap(deg, 0.0, 360.0);
}
double wrap_180(double deg) {
  return wrap(deg, -180.0, 360.0);
}
double wrap_720(double deg) {
  return wrap(deg, 0.0, 720.0);
}
double wrap_pi(double rad) {
  return wrap(rad, -pi, turn_rad);
}

double rounded_up(double value, double step) {
  constexpr double slip = 1e-9; // of a step
  return std::ceil(value / step - slip) * step;
}

glm::dvec2 unit_vector(double rad) {
  return {std::cos(rad), std::sin(rad)};
}

double length2(glm::dvec2 v) {
  return std::sqrt(v.x * v.x + v.y * v.y);
}

} // namespace phasewright
