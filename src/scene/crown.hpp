// The piston's crown as drawn: the solid of mechanics/crown_gap.hpp, as a mesh and for a look along a line.
#pragma once

#include "parts/engine.hpp"
#include "scene/scene.hpp"

#include <glm/vec3.hpp>

#include <optional>
#include <vector>

namespace phasewright {

// Frame of a crown: the middle of its flat at the origin, x across the engine, y up the cylinder, z toward the timing
// end.
struct PocketSolid {
  glm::dvec3 floor_mm{}; // middle of the floor
  glm::dvec3 axis{};     // up the valve's stem
  double radius_mm = 0;
};

struct CrownSolid {
  double radius_mm = 0; // half the bore
  Crown stated;
  std::vector<PocketSolid> pockets;

  // Of a dome, from which its ball is part.
  [[nodiscard]] double ball_radius_mm() const;
};

[[nodiscard]] CrownSolid crown_solid(const Engine& engine);

// How far below the flat a pocket breaks out of the crown's edge; 0 where none does.
[[nodiscard]] double deepest_at_edge_mm(const CrownSolid& crown);

// How far from a point along a direction the crown is met; 0 from within it, nothing where the line misses it.
[[nodiscard]] std::optional<double> way_to_crown_mm(const CrownSolid& crown, glm::dvec3 from_mm, glm::dvec3 direction);

// Crown and what is under it: out to `outside_mm` for `land_mm` below the flat, and out to `core_mm` for
// `core_down_mm`. Frame of the pistons' meshes: x as above, y away from the timing end, z up; the flat at `flat_mm`.
struct CrownSizes {
  double outside_mm = 0;
  double land_mm = 0;
  double core_mm = 0;
  double core_down_mm = 0;
  double flat_mm = 0;
};
[[nodiscard]] Mesh crown_mesh(const CrownSolid& crown, const CrownSizes& sizes);

} // namespace phasewright
