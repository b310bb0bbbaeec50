// What of a straight line lies in a cylinder, a ball, or above a plane.
#pragma once

#include <glm/geometric.hpp>
#include <glm/vec3.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

// Of a line from a point along a unit vector: from `lo_mm` to `hi_mm` of it; nothing where hi is not above lo.
struct Stretch {
  static constexpr double far_mm = 1e4;       // farther than any engine is large
  static constexpr double rounding_mm = 1e-9; // more than rounding puts a point off the face it was worked out on

  double lo_mm = 1.0;
  double hi_mm = -1.0;

  [[nodiscard]] bool empty() const { return !(hi_mm > lo_mm); }
};

inline constexpr Stretch whole_line{-Stretch::far_mm, Stretch::far_mm};

// Where a s^2 + 2 b s + c is below 0; a >= 0.
[[nodiscard]] inline Stretch below_zero(double a, double b, double c) {
  if (a < 1e-24) return c < 0.0 ? whole_line : Stretch{};
  const double inner = b * b - a * c;
  if (!(inner > 0.0)) return {};
  const double root = std::sqrt(inner);
  return {(-b - root) / a, (-b + root) / a};
}

[[nodiscard]] inline Stretch in_cylinder(glm::dvec3 from_mm, glm::dvec3 way, glm::dvec3 on_axis_mm, glm::dvec3 axis,
                                         double radius_mm) {
  const glm::dvec3 p = from_mm - on_axis_mm;
  const glm::dvec3 p_aside = p - glm::dot(p, axis) * axis;
  const glm::dvec3 way_aside = way - glm::dot(way, axis) * axis;
  return below_zero(glm::dot(way_aside, way_aside), glm::dot(p_aside, way_aside),
                    glm::dot(p_aside, p_aside) - radius_mm * radius_mm);
}

[[nodiscard]] inline Stretch in_ball(glm::dvec3 from_mm, glm::dvec3 way, glm::dvec3 centre_mm, double radius_mm) {
  const glm::dvec3 p = from_mm - centre_mm;
  return below_zero(1.0, glm::dot(p, way), glm::dot(p, p) - radius_mm * radius_mm);
}

// Above a level along `up`.
[[nodiscard]] inline Stretch above(glm::dvec3 from_mm, glm::dvec3 way, glm::dvec3 up, double level_mm) {
  const double climb = glm::dot(way, up);
  const double over = glm::dot(from_mm, up) - level_mm;
  if (std::fabs(climb) < 1e-12) return over > Stretch::rounding_mm ? whole_line : Stretch{};
  return climb > 0.0 ? Stretch{-over / climb, Stretch::far_mm} : Stretch{-Stretch::far_mm, -over / climb};
}

[[nodiscard]] inline Stretch both(Stretch a, Stretch b) {
  return {std::max(a.lo_mm, b.lo_mm), std::min(a.hi_mm, b.hi_mm)};
}

} // namespace phasewright
