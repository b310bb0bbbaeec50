// One flank of a card lobe, from the nose to the base circle: main part and ramp.
#pragma once

#include "mechanics/lobe.hpp"

#include <array>

namespace phasewright {

// Cam angles here are counted from the nose outward, on either side (unit: rad).
class CardFlank {
public:
  // `seat_rad`: where the ramp's top is. A ramp of no lift is none. `power`: k of the main part,
  // lift y = 1 + x^2 (c0 + c1 w + c2 w^2 + c3 w^3) of the greatest, x = angle / seat, w = x^k: the c are such that
  // value and first three derivatives go over into the ramp's at x = 1.
  CardFlank(double lift_mm, double seat_rad, const LobeRamp& ramp, double power);

  [[nodiscard]] LiftState at(double out_rad) const;
  [[nodiscard]] double lift_mm(double out_rad) const;
  [[nodiscard]] double ends_rad() const { return seat_rad_ + ramp_rad_; }

  [[nodiscard]] double bend_at_nose() const { return 2.0 * c_[0]; } // d2y / dx2
  // Where the lift is `level_mm`, between the ramp's height and the nose's.
  [[nodiscard]] double reaches_rad(double level_mm) const;
  [[nodiscard]] bool falls_all_the_way() const; // from the nose to the ramp's top

private:
  double lift_mm_;
  double seat_rad_;
  double ramp_mm_;
  double ramp_rad_;
  double power_;
  std::array<double, 4> c_{};
};

} // namespace phasewright
