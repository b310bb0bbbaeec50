// Angles: units, wrapping, and sine and cosine that are exact at the quadrants.
#pragma once

#include <glm/vec2.hpp>

#include <numbers>

namespace phasewright {

inline constexpr double pi = std::numbers::pi;
inline constexpr double turn_rad = 2.0 * pi;

// The one place where degrees become radians and back. Files, screen and paper speak degrees; mechanics speak radians.
[[nodiscard]] constexpr double radians(double deg) {
  return deg * (pi / 180.0);
}
[[nodiscard]] constexpr double degrees(double rad) {
  return rad * (180.0 / pi);
}

// Sine and cosine of an angle in degrees. Exact (0, 1/2 or 1 to the last bit) at multiples of 90 deg, and at the
// multiples of 30 deg where the true value is +-1/2, so that dead centres land where they should.
[[nodiscard]] double sin_deg(double deg);
[[nodiscard]] double cos_deg(double deg);

// The equivalent angle in [0, 360), [-180, 180), [0, 720) or [-pi, pi). Any finite angle.
[[nodiscard]] double wrap_360(double deg);
[[nodiscard]] double wrap_180(double deg);
[[nodiscard]] double wrap_720(double deg);
[[nodiscard]] double wrap_pi(double rad);

// The least multiple of `step`, more than 0, that is not below the value but for rounding: for figures of which too
// little would not do.
[[nodiscard]] double rounded_up(double value, double step);

// Unit vector at an angle (unit: rad) anticlockwise from +x.
[[nodiscard]] glm::dvec2 unit_vector(double rad);

// Left-hand normal: the vector turned by +90 deg.
[[nodiscard]] constexpr glm::dvec2 left_of(glm::dvec2 v) {
  return {-v.y, v.x};
}
[[nodiscard]] constexpr double dot2(glm::dvec2 a, glm::dvec2 b) {
  return a.x * b.x + a.y * b.y;
}
[[nodiscard]] constexpr double cross2(glm::dvec2 a, glm::dvec2 b) {
  return a.x * b.y - a.y * b.x;
}
// The vector turned as the unit vector `by` is from +x. Chains of points turn by the same small angle again and again.
[[nodiscard]] constexpr glm::dvec2 turned_by(glm::dvec2 v, glm::dvec2 by) {
  return {v.x * by.x - v.y * by.y, v.x * by.y + v.y * by.x};
}
[[nodiscard]] double length2(glm::dvec2 v); // Euclidean length of a plane vector

} // namespace phasewright
