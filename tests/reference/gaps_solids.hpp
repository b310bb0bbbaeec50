// Valve heads and pistons as triangles, from the words of the engine file alone: each bounding face by its own
// parameters, cut where another face begins by looking on which side points lie. A second account of the solids that
// shares nothing with the mechanics.
//
// Frame: x along the crank, y across it, z along the cylinder's axis, away from the crank.
#pragma once

#include "parts/engine.hpp"

#include <glm/vec3.hpp>

#include <array>
#include <vector>

namespace phasewright::testing {

using Triangle = std::array<glm::dvec3, 3>;
using Soup = std::vector<Triangle>;

// Toward the stem, along a valve's axis.
[[nodiscard]] glm::dvec3 stem_way(const Valve& valve);

// Middle of the head's face over the block face.
[[nodiscard]] glm::dvec3 face_middle_mm(const Valve& valve, double lift_mm);

// Face disc, edge and 45 degree cone; the face's middle is the origin.
[[nodiscard]] Soup head_surface(const Valve& valve);

// The piston, its crown's flat at z = 0.
class PistonSolid {
public:
  explicit PistonSolid(const Engine& engine);

  // Every face of it down to 60 mm below the crown. Chords are off by less than 0.002 mm.
  [[nodiscard]] Soup surface() const;

  // No more than the distance to the surface; negative inside.
  [[nodiscard]] double outside_mm(glm::dvec3 point) const;

  // The share of the head's rim, its face's middle there, that lies in that pocket below the crown as it would be
  // without pockets.
  [[nodiscard]] double share_in_pocket(const Valve& valve, std::size_t pocket, glm::dvec3 face) const;

  struct Pocket {
    glm::dvec3 floor{}; // its middle
    glm::dvec3 way{};   // toward the stem
    double radius_mm = 0;
  };
  [[nodiscard]] const std::vector<Pocket>& pockets() const { return pockets_; }

private:
  void add_pocket(Soup& soup, std::size_t own) const;
  [[nodiscard]] double outside_body_mm(glm::dvec3 point) const; // the piston without pockets
  [[nodiscard]] int body_faces_near(glm::dvec3 point, double near_mm) const;

  double bore_radius_mm_;
  Crown crown_;
  double ball_radius_mm_ = 0;
  std::vector<Pocket> pockets_;
};

} // namespace phasewright::testing
