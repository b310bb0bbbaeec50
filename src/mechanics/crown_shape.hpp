// The two solids of CrownGap, and what is worked out about them once.
#pragma once

#include "mechanics/crown_gap.hpp"
#include "mechanics/crown_solid.hpp"
#include "mechanics/turn_search.hpp"
#include "mechanics/valve_solid.hpp"

#include <optional>
#include <vector>

namespace phasewright {

// An edge where two flats of the crown meet: a line along the crank.
struct CrownRidge {
  glm::dvec3 on_mm{};
  CrownFace face = CrownFace::none;
  CrownFace other = CrownFace::none;
};

// An edge where a pocket's floor cuts the dome: part of a circle, its axis across() x (0, 1, 0).
struct CrownRing {
  glm::dvec3 centre_mm{};
  glm::dvec3 across{};
  double radius_mm = 0;
  CrownFace floor = CrownFace::none;

  [[nodiscard]] glm::dvec3 at_mm(glm::dvec2 turn) const {
    return centre_mm + (radius_mm * turn.x) * across + glm::dvec3(0.0, radius_mm * turn.y, 0.0);
  }
};

struct CrownGap::Shape {
  Shape(const Engine& engine, ValveKind kind);

  [[nodiscard]] const CrownWall* own() const { return crown.pocket(kind); }
  // The valve shut, as a piston so far down sees it.
  [[nodiscard]] ValveSolid shut(double drop_mm) const { return valve.moved(0.0, drop_mm); }

  // CrownGap::closed_mm, and a bound that it is not below.
  [[nodiscard]] double closed_mm(double drop_mm) const;
  [[nodiscard]] double closed_at_least_mm(double drop_mm) const;
  // The same where the crown is simple enough for a formula, or nothing.
  [[nodiscard]] std::optional<double> closed_by_formula_mm(const ValveSolid& shut) const;
  // By looking over every edge of the crown within the head's shadow along its axis.
  [[nodiscard]] double closed_by_search_mm(const ValveSolid& shut) const;
  [[nodiscard]] double distance_mm(const ValveSolid& where) const;
  [[nodiscard]] std::optional<double> radial_mm(const ValveSolid& where) const;

  CrownSolid crown;
  ValveSolid valve; // shut, piston at TDC
  ValveKind kind;
  std::vector<CrownRidge> ridges;
  std::vector<CrownRing> rings;
  std::vector<TurnLooks> wall_looks;       // of each wall of the crown
  std::vector<TurnLooks> ring_looks;       // of each ring
  double lowest_mm;                        // of the shut head over the crown's top, piston at TDC
  std::optional<double> closed_upright_mm; // of an upright valve at TDC: going down, the piston does nothing else
};

} // namespace phasewright
