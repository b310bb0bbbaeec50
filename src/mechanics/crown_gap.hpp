// How near one valve's head stands to its piston's crown: exact for a flat, dished or domed crown with valve pockets
// and a valve that leans across the crank.
//
// Solids. Valve head: face disc of radius a, edge of margin_mm, and a 45 degree cone behind it (real heads are
// hollower, so the cone errs to the safe side). Piston: everything below its crown's flat out to half the bore, less
// the dish or with the dome, less both valves' pockets: cylinders along each valve's own axis as it stands with the
// piston at TDC, with flat floors, open upward.
#pragma once

#include "parts/engine.hpp"
#include "parts/problem.hpp"

#include <memory>
#include <optional>

namespace phasewright {

class CrownGap {
public:
  // The engine must have that valve. Problems: a head that would not enter its own pocket.
  static Result<CrownGap> make(const Engine& engine, ValveKind kind);

  // `lift_mm` along the valve's axis, `drop_mm` of the piston below TDC.
  // How far the valve could still be pushed along its own axis before it touched anything of the piston (unit: mm), as
  // a builder feels it. Negative: so far it would have to be drawn back, the least way.
  [[nodiscard]] double axial_mm(double lift_mm, double drop_mm) const;
  // Least distance between the two solids in any direction; 0 when they meet.
  [[nodiscard]] double distance_mm(double lift_mm, double drop_mm) const;
  // From the head's edge sideways to its own pocket's wall; nothing without a pocket or while the head's edge is wholly
  // above the pocket.
  [[nodiscard]] std::optional<double> radial_mm(double lift_mm, double drop_mm) const;

  // A bound radial_mm() is not below, quick.
  [[nodiscard]] double radial_at_least_mm(double drop_mm) const;
  // axial_mm with the valve shut. Along its own axis the valve meets whatever it is lifted into, so
  // axial_mm(lift, drop) = closed_mm(drop) - lift.
  [[nodiscard]] double closed_mm(double drop_mm) const;
  // Whether distance_mm is axial_mm (or 0) wherever valve and piston stand: an upright valve over nothing higher than
  // the flat, with some of the flat under it.
  [[nodiscard]] bool axial_is_all() const;
  // A bound closed_mm() is not below, quick and rough.
  [[nodiscard]] double closed_at_least_mm(double drop_mm) const;

  struct Shape;

private:
  explicit CrownGap(std::shared_ptr<const Shape> shape);
  std::shared_ptr<const Shape> shape_;
};

} // namespace phasewright
