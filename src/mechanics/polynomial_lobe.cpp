#include "mechanics/lobe_law.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

namespace phasewright {

namespace {

// s/h = 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7, the 4-5-6-7 polynomial of cam design texts (Norton, Design of Machinery,
// "Double-dwell cam design"; from memory): velocity, acceleration and jerk are 0 at both ends of rise and fall, so that
// a rise and a fall of different lengths still meet smoothly at the nose.
struct PolynomialLaw final : LobeProfile::Law {
  double height_mm;
  double rise_rad;
  double fall_rad;

  PolynomialLaw(double lift_mm, double rise_crank_deg, double fall_crank_deg)
      : height_mm(lift_mm), rise_rad(radians(rise_crank_deg) / 2.0), fall_rad(radians(fall_crank_deg) / 2.0) {}

  static double shape(double x) {
    const double x2 = x * x;
    return x2 * x2 * (35.0 + x * (-84.0 + x * (70.0 - 20.0 * x)));
  }
  [[nodiscard]] LiftState at(double from_nose_rad) const override {
    const bool falling = from_nose_rad > 0.0;
    const double per_x = falling ? -1.0 / fall_rad : 1.0 / rise_rad; // d x / d angle
    const double x = 1.0 + per_x * from_nose_rad;
    if (!(x > 0.0)) return {};
    const double x2 = x * x;
    const double slope = 140.0 * x2 * x * (1.0 + x * (-3.0 + x * (3.0 - x)));
    const double bend = 420.0 * x2 * (1.0 + x * (-4.0 + x * (5.0 - 2.0 * x)));
    const double third = 840.0 * x * (1.0 + x * (-6.0 + x * (10.0 - 5.0 * x)));
    const double h = height_mm;
    return {h * shape(x), h * slope * per_x, h * bend * per_x * per_x, h * third * per_x * per_x * per_x};
  }
  [[nodiscard]] double lift_mm(double from_nose_rad) const override {
    const double x = 1.0 + (from_nose_rad > 0.0 ? -1.0 / fall_rad : 1.0 / rise_rad) * from_nose_rad;
    return x > 0.0 ? height_mm * shape(x) : 0.0;
  }
  [[nodiscard]] double opens_rad() const override { return -rise_rad; }
  [[nodiscard]] double closes_rad() const override { return fall_rad; }
};

} // namespace

Result<std::shared_ptr<const LobeProfile::Law>> polynomial_law(const LobePolynomial& lobe, const std::string& key) {
  const double rise_deg = lobe.rise_deg.value_or(lobe.duration_deg / 2.0);
  const double fall_deg = lobe.duration_deg - rise_deg;
  if (!(rise_deg > 0.0 && fall_deg > 0.0))
    return problem_at(key + ".rise_deg", fmt::format("{}", rise_deg),
                      fmt::format("more than 0 and less than the duration, {}", lobe.duration_deg));
  if (!(rise_deg <= 360.0 && fall_deg <= 360.0))
    return problem_at(key + ".rise_deg", fmt::format("{}", rise_deg),
                      fmt::format("{} to 360", lobe.duration_deg > 360.0 ? lobe.duration_deg - 360.0 : 0.0),
                      "half a turn of the camshaft is the most either side of the nose");
  return std::shared_ptr<const LobeProfile::Law>(std::make_shared<PolynomialLaw>(lobe.lift_mm, rise_deg, fall_deg));
}

} // namespace phasewright
