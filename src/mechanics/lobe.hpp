// Lift of one lobe at the tappet, as a smooth function of cam angle.
#pragma once

#include "parts/engine.hpp"
#include "parts/problem.hpp"

#include <array>
#include <memory>
#include <optional>
#include <string>

namespace phasewright {

// Lift and its derivatives with respect to cam angle in radians.
struct LiftState {
  double lift_mm = 0;
  double per_rad_mm = 0;  // first derivative (mm / rad)
  double per_rad2_mm = 0; // second derivative (mm / rad^2)
  double per_rad3_mm = 0; // third derivative (mm / rad^3); of a table the steps of its spline
};

// What a "card" lobe needs to know of its gear, at the tappet (unit: mm).
struct CardLevels {
  double check_mm = 1.27;
  double lash_mm = 0;
};

class LobeProfile {
public:
  // A table (checked by the file reader: single-nosed, closed, fine enough) is smoothed within its last digit and
  // becomes a cubic spline with flat ends, twice continuously differentiable between them; a 4-5-6-7 polynomial is
  // evaluated in closed form; a card becomes ramps and a polynomial in powers 2, 2 + k, 2 + 2k, 2 + 3k of the angle
  // from the nose, k such that both durations come out. A table is taken as tappet lift, whatever its lift_of (see
  // tappet_table in lobe_contour.hpp). Problems, under `key`: a table of fewer than 4 rows or with angles that do not
  // rise; a card whose figures no such lobe has.
  static Result<LobeProfile> make(const Lobe& lobe, const std::string& key, const CardLevels& card = {});

  // `from_nose_rad`: cam angle past the nose, any size; positive = closing side.
  [[nodiscard]] LiftState at(double from_nose_rad) const;
  [[nodiscard]] double lift_mm(double from_nose_rad) const; // at().lift_mm alone, for who asks a million times

  [[nodiscard]] double opens_rad() const;  // cam angle before the nose where lift begins (negative)
  [[nodiscard]] double closes_rad() const; // where it ends (positive)
  [[nodiscard]] double greatest_lift_mm() const { return greatest_lift_mm_; }
  // Cam angle of the greatest lift: 0, or as near as a table has it.
  [[nodiscard]] double greatest_at_rad() const { return greatest_at_rad_; }

  // Cam angles at which the lift passes `lift_mm` going up and coming down: {before, after} the greatest lift. Nothing
  // when the lobe never lifts so far. 0 gives the ends of the lobe.
  [[nodiscard]] std::optional<std::array<double, 2>> crossings_rad(double lift_mm) const;

  struct Law; // in lobe_law.hpp

private:
  explicit LobeProfile(std::shared_ptr<const Law> law);

  std::shared_ptr<const Law> law_;
  double greatest_lift_mm_ = 0;
  double greatest_at_rad_ = 0;
};

} // namespace phasewright
