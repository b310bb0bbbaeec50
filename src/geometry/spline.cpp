#include "geometry/spline.hpp"

#include <algorithm>
#include <stdexcept>

namespace phasewright {

FlatEndedSpline::FlatEndedSpline(std::span<const double> x, std::span<const double> y)
    : x_(x.begin(), x.end()), y_(y.begin(), y.end()), bend_(x.size(), 0.0) {
  const std::size_t n = x_.size();
  if (n < 2 || y_.size() != n) throw std::logic_error("a spline needs two points or more, with a value each");
  // Continuity of the first derivative gives one equation a point, tridiagonal in the second derivatives; solved by
  // elimination down and substitution up (Press et al., Numerical Recipes, section 3.3).
  std::vector<double> above(n, 0.5); // a flat end gives the first one its half
  const auto slope = [&](std::size_t i) { return (y_[i + 1] - y_[i]) / (x_[i + 1] - x_[i]); };
  bend_[0] = 3.0 * slope(0) / (x_[1] - x_[0]);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double before = x_[i] - x_[i - 1];
    const double after = x_[i + 1] - x_[i];
    const double pivot = 2.0 * (before + after) - before * above[i - 1];
    above[i] = after / pivot;
    bend_[i] = (6.0 * (slope(i) - slope(i - 1)) - before * bend_[i - 1]) / pivot;
  }
  const double last = x_[n - 1] - x_[n - 2];
  bend_[n - 1] = (-6.0 * slope(n - 2) / last - bend_[n - 2]) / (2.0 - above[n - 2]);
  for (std::size_t i = n - 1; i-- > 0;) bend_[i] -= above[i] * bend_[i + 1];
  per_x_ = static_cast<double>(n - 1) / (x_.back() - x_.front());
}

// Most tables are even or nearly so, and a look costs less than halving the table a dozen times.
std::size_t FlatEndedSpline::point_before(double x) const {
  const std::size_t last = x_.size() - 2;
  std::size_t i = std::min(last, static_cast<std::size_t>((x - x_.front()) * per_x_));
  for (int step = 0; step < 4; ++step) {
    if (x < x_[i])
      --i; // never below the first: x is not before it
    else if (i < last && x >= x_[i + 1])
      ++i;
    else
      return i;
  }
  return static_cast<std::size_t>(std::ranges::upper_bound(x_, x) - x_.begin()) - 1;
}

double FlatEndedSpline::value(double x) const {
  if (!(x > x_.front())) return y_.front();
  if (x >= x_.back()) return y_.back();
  const std::size_t i = point_before(x);
  const double h = x_[i + 1] - x_[i];
  const double a = (x_[i + 1] - x) / h;
  const double b = (x - x_[i]) / h;
  return a * y_[i] + b * y_[i + 1] + ((a * a * a - a) * bend_[i] + (b * b * b - b) * bend_[i + 1]) * h * h / 6.0;
}

std::array<double, 4> FlatEndedSpline::at(double x) const {
  if (!(x > x_.front())) return {y_.front(), 0.0, 0.0, 0.0};
  if (x >= x_.back()) return {y_.back(), 0.0, 0.0, 0.0};
  const std::size_t i = point_before(x);
  const double h = x_[i + 1] - x_[i];
  const double a = (x_[i + 1] - x) / h;
  const double b = (x - x_[i]) / h;
  const double value =
      a * y_[i] + b * y_[i + 1] + ((a * a * a - a) * bend_[i] + (b * b * b - b) * bend_[i + 1]) * h * h / 6.0;
  const double first =
      (y_[i + 1] - y_[i]) / h + ((3.0 * b * b - 1.0) * bend_[i + 1] - (3.0 * a * a - 1.0) * bend_[i]) * h / 6.0;
  return {value, first, a * bend_[i] + b * bend_[i + 1], (bend_[i + 1] - bend_[i]) / h};
}

} // namespace phasewright
