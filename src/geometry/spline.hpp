// Clamped cubic spline through points at any spacing.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

namespace phasewright {

// Twice continuously differentiable, with slope 0 at both ends. The general-purpose libraries at hand interpolate
// evenly spaced points only; lobe tables need not be so.
class FlatEndedSpline {
public:
  // At least 2 points, `x` strictly rising; anything else is a programming mistake.
  FlatEndedSpline(std::span<const double> x, std::span<const double> y);

  // Value, first, second and third derivative; the third has a step at every point. 0 derivatives and the end value
  // outside the points.
  [[nodiscard]] std::array<double, 4> at(double x) const;
  // The value alone.
  [[nodiscard]] double value(double x) const;

  [[nodiscard]] double first() const { return x_.front(); }
  [[nodiscard]] double last() const { return x_.back(); }
  [[nodiscard]] const std::vector<double>& points() const { return x_; }

private:
  // The point before `x`, which is inside the points.
  [[nodiscard]] std::size_t point_before(double x) const;

  std::vector<double> x_;
  std::vector<double> y_;
  std::vector<double> bend_; // second derivative at each point
  double per_x_ = 0;         // points to one of x, were they even
};

} // namespace phasewright
