// Lift of one lobe at the tappet, as a smooth function of cam angle.
#pragma once

#include "parts/engine.hpp"
#include "parts/problem.hpp"

#include <memory>

namespace phasewright {

// Lift and its derivatives with respect to cam angle in radians.
struct LiftState {
  double lift_mm = 0;
  double per_rad_mm = 0;   // first derivative (mm / rad)
  double per_rad2_mm = 0;  // second derivative (mm / rad^2)
};

class LobeProfile {
public:
  // A table becomes a C2 spline with flat ends; a polynomial is evaluated in closed form. Refuses (with the row named)
  // tables that are not single-nosed, do not close, or are too coarse (fewer than 9 rows, or steps over 10 cam degrees);
  // "card" lobes are not computed yet. `key` is the file key to blame.
  static Result<LobeProfile> make(const Lobe& lobe, const std::string& key);

  // `from_nose_rad`: cam angle past the nose, any size; positive = closing side.
  [[nodiscard]] LiftState at(double from_nose_rad) const;
  [[nodiscard]] double lift_mm(double from_nose_rad) const { return at(from_nose_rad).lift_mm; }

  [[nodiscard]] double opens_rad() const;        // cam angle before the nose where lift begins (negative)
  [[nodiscard]] double closes_rad() const;       // where it ends (positive)
  [[nodiscard]] double greatest_lift_mm() const;

  struct Law;
private:
  std::shared_ptr<const Law> law_;
  explicit LobeProfile(std::shared_ptr<const Law> law) : law_(std::move(law)) {}
};

} // namespace phasewright
