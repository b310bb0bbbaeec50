#include "mechanics/card_flank.hpp"

#include "geometry/angle.hpp"

#include <boost/math/tools/roots.hpp>

#include <cmath>

namespace phasewright {

CardFlank::CardFlank(double lift_mm, double seat_rad, const LobeRamp& ramp, double power)
    : lift_mm_(lift_mm), seat_rad_(seat_rad), ramp_mm_(ramp.lift_mm),
      ramp_rad_(ramp.lift_mm > 0.0 ? radians(ramp.length_deg) / 2.0 : 0.0), power_(power) {
  // Derivatives by x at x = 1: value, slope, no bend, third.
  const double value = ramp_mm_ / lift_mm_ - 1.0;
  const double longer = ramp_rad_ > 0.0 ? seat_rad_ / ramp_rad_ : 0.0;
  const double slope = -2.0 * ramp_mm_ * longer / lift_mm_;
  const double third = 12.0 * ramp_mm_ * longer * longer * longer / lift_mm_;
  // x d/dx takes x^p to p x^p, so the conditions are the sums of c p^n, n = 0 to 3, and with p = 2 + k i those of c
  // i^n.
  const double n0 = value;
  const double n1 = (slope - 2.0 * value) / power;
  const double n2 = (slope - 4.0 * slope + 4.0 * value) / (power * power);
  const double n3 = (third + slope - 6.0 * slope + 12.0 * slope - 8.0 * value) / (power * power * power);
  c_[3] = (n3 - 3.0 * n2 + 2.0 * n1) / 6.0;
  c_[2] = (n2 - n1 - 6.0 * c_[3]) / 2.0;
  c_[1] = n1 - 2.0 * c_[2] - 3.0 * c_[3];
  c_[0] = n0 - c_[1] - c_[2] - c_[3];
}

LiftState CardFlank::at(double out_rad) const {
  const double x = out_rad / seat_rad_;
  if (x > 1.0) {
    // The ramp: h (2 u^3 - u^4), as steep as it gets and without bend at its top.
    const double u = ramp_rad_ > 0.0 ? (ends_rad() - out_rad) / ramp_rad_ : 0.0;
    if (!(u > 0.0)) return {};
    return {ramp_mm_ * u * u * u * (2.0 - u), -ramp_mm_ * u * u * (6.0 - 4.0 * u) / ramp_rad_,
            ramp_mm_ * 12.0 * u * (1.0 - u) / (ramp_rad_ * ramp_rad_),
            -ramp_mm_ * (12.0 - 24.0 * u) / (ramp_rad_ * ramp_rad_ * ramp_rad_)};
  }
  const double w = std::pow(x, power_);
  double value = 0.0;
  double slope = 0.0;
  double bend = 0.0;
  double third = 0.0;
  for (int i = 3; i >= 0; --i) {
    const double p = 2.0 + power_ * i;
    const double c = c_[static_cast<std::size_t>(i)];
    value = value * w + c;
    slope = slope * w + c * p;
    bend = bend * w + c * p * (p - 1.0);
    if (i > 0) third = third * w + c * p * (p - 1.0) * (p - 2.0); // the square has none
  }
  const double per_x = 1.0 / seat_rad_;
  third = x > 0.0 ? third * w / x : 0.0;
  return {lift_mm_ * (1.0 + x * x * value), lift_mm_ * x * slope * per_x, lift_mm_ * bend * per_x * per_x,
          lift_mm_ * third * per_x * per_x * per_x};
}

double CardFlank::lift_mm(double out_rad) const {
  const double x = out_rad / seat_rad_;
  if (x > 1.0) return at(out_rad).lift_mm;
  const double w = std::pow(x, power_);
  return lift_mm_ * (1.0 + x * x * (c_[0] + w * (c_[1] + w * (c_[2] + w * c_[3]))));
}

double CardFlank::reaches_rad(double level_mm) const {
  boost::uintmax_t steps = 200;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double out_rad) { return lift_mm(out_rad) - level_mm; }, 0.0, seat_rad_, lift_mm_ - level_mm,
      ramp_mm_ - level_mm, boost::math::tools::eps_tolerance<double>(52), steps);
  return 0.5 * (low + high);
}

bool CardFlank::falls_all_the_way() const {
  constexpr int looks = 400;
  for (int i = 1; i <= looks; ++i)
    if (at(seat_rad_ * i / looks).per_rad_mm > 1e-9 * lift_mm_) return false;
  return true;
}

} // namespace phasewright
