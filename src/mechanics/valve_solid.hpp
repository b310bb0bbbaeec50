// A valve's head as a solid: face disc, edge, and a 45 degree cone behind it; convex. See crown_gap.hpp.
//
// Frame: the crown's flat at z = 0 on the cylinder's axis, x across the crank, y along it, z up the cylinder.
#pragma once

#include "parts/engine.hpp"

#include <glm/vec3.hpp>

namespace phasewright {

// How near a point is to a solid, and which way leads away from the solid there (0 inside).
struct Nearness {
  double mm = 0;
  glm::dvec3 away{};
};

class ValveSolid {
public:
  // Shut, its piston at TDC. `deck_mm`: the crown's flat below the block face.
  ValveSolid(const Valve& valve, double deck_mm);

  // As the piston sees it.
  [[nodiscard]] ValveSolid moved(double lift_mm, double drop_mm) const;

  [[nodiscard]] Nearness near(glm::dvec3 point_mm) const;
  // The point of the head that is farthest that way; any length but 0.
  [[nodiscard]] glm::dvec3 farthest(glm::dvec3 way) const;
  // Least distance to the points lo to hi of a line. Through the head: 0.
  [[nodiscard]] double distance_mm(glm::dvec3 from_mm, glm::dvec3 unit_way, double lo_mm, double hi_mm) const;

  [[nodiscard]] glm::dvec3 face_mm() const { return face_mm_; } // its middle
  [[nodiscard]] glm::dvec3 up() const { return up_; }           // along the stem
  [[nodiscard]] glm::dvec3 across() const { return across_; }   // square to the stem, across the crank
  [[nodiscard]] double radius_mm() const { return radius_mm_; }
  [[nodiscard]] double margin_mm() const { return margin_mm_; }

private:
  double radius_mm_;
  double margin_mm_;
  glm::dvec3 up_;
  glm::dvec3 across_;
  glm::dvec3 face_mm_;
};

} // namespace phasewright
