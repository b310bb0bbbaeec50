// A convex solid less other convex solids, as a closed mesh with clean edges.
#pragma once

#include "scene/scene.hpp"

#include <glm/vec3.hpp>

#include <span>
#include <vector>

namespace phasewright {

// How a face is shaded: as it is, or as part of a round.
struct Shade {
  enum class Round { no, about_axis, about_point };
  Round round = Round::no;
  glm::dvec3 middle_mm{};
  glm::dvec3 axis{}; // of unit length
};

struct FlatFace {
  std::vector<glm::dvec3> corners_mm; // convex, anticlockwise seen from outside
  glm::dvec3 out{};                   // of unit length
  Shade shade;
};

struct ConvexSolid {
  std::vector<FlatFace> faces;
};

// A prism of many sides about an axis, its corners on the radius.
[[nodiscard]] ConvexSolid round_prism(glm::dvec3 low_mm, glm::dvec3 axis, double radius_mm, double height_mm,
                                      int sides);
// The top of a ball above a plane square to z, its corners on the ball.
[[nodiscard]] ConvexSolid ball_cap(glm::dvec3 ball_mm, double ball_radius_mm, double plane_z_mm, int rings, int sides);

// `cuts` may overlap one another and reach out of the solid.
[[nodiscard]] Mesh carve(const ConvexSolid& solid, std::span<const ConvexSolid> cuts);

} // namespace phasewright
