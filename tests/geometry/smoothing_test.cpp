// Smoothing readings: rounding goes, the shape stays.
#include "geometry/smoothing.hpp"
#include "geometry/spline.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>

using namespace phasewright;

namespace {

struct Points {
  std::vector<double> x;
  std::vector<double> y;
};

// A bump of the eighth degree over -1.4 to 1.4: 7 (1 - t^2)^4, t = x / 1.4.
double bump(double x) {
  const double in = std::max(0.0, 1 - x * x / 1.96);
  return 7 * in * in * in * in;
}
double bump_bend(double x) { // its second derivative
  const double in = std::max(0.0, 1 - x * x / 1.96);
  return 7 * (-8 / 1.96 * in * in * in + 48 * x * x / (1.96 * 1.96) * in * in);
}

Points points_of(const std::function<double(double)>& law, double step, double digit) {
  Points points;
  for (double x = -1.4; x < 1.4 + step / 2; x += step) {
    points.x.push_back(x);
    points.y.push_back(digit > 0 ? std::round(law(x) / digit) * digit : law(x));
  }
  return points;
}

double worst_bend(const Points& points, const std::vector<double>& y) {
  const FlatEndedSpline spline(points.x, y);
  double worst = 0;
  for (double x = -1.38; x < 1.38; x += 0.01) worst = std::max(worst, std::fabs(spline.at(x)[2] - bump_bend(x)));
  return worst;
}

} // namespace

TEST_CASE("Rounding is taken out of second derivatives", "[smoothing]") {
  for (const double step : {0.0175, 0.035}) {
    const Points points = points_of(bump, step, 0.01);
    const double raw = worst_bend(points, points.y);
    const double smooth = worst_bend(points, smoothed(points.x, points.y, 0.005, 0.02));
    INFO("step " << step << ": " << raw << ", smoothed " << smooth);
    CHECK(raw > 15);
    CHECK(smooth < 4);
  }
}

TEST_CASE("No figure moves further than it may, on the whole nor by itself, and the ends stay", "[smoothing]") {
  const Points points = points_of(bump, 0.0175, 0.01);
  for (const double most : {0.02, 0.004}) {
    const std::vector<double> z = smoothed(points.x, points.y, 0.005, most);
    REQUIRE(z.size() == points.y.size());
    double square = 0;
    for (std::size_t i = 0; i < z.size(); ++i) {
      CHECK(std::fabs(z[i] - points.y[i]) <= most);
      square += (z[i] - points.y[i]) * (z[i] - points.y[i]);
    }
    CHECK(std::sqrt(square / static_cast<double>(z.size())) <= 0.005);
    CHECK(std::sqrt(square / static_cast<double>(z.size())) > 0.0005); // it does something
    CHECK(std::fabs(z.front() - points.y.front()) < 1e-9);
    CHECK(std::fabs(z.back() - points.y.back()) < 1e-9);
  }
}

TEST_CASE("Uneven steps are smoothed as even ones", "[smoothing]") {
  Points points;
  std::mt19937 random(345); // NOLINT: the same steps every time
  for (double x = -1.4; x < 1.4; x += 0.01 + static_cast<double>(random() % 100u) / 5000) {
    points.x.push_back(x);
    points.y.push_back(std::round(bump(x) * 100) / 100);
  }
  const double raw = worst_bend(points, points.y);
  const double smooth = worst_bend(points, smoothed(points.x, points.y, 0.005, 0.02));
  INFO(raw << ", smoothed " << smooth);
  CHECK(raw > 15);
  CHECK(smooth < 4);
}

TEST_CASE("Exact or few figures stay as they are", "[smoothing]") {
  const Points points = points_of(bump, 0.1, 0.01);
  CHECK(smoothed(points.x, points.y, 0, 1) == points.y);
  CHECK(smoothed(points.x, points.y, 1, 0) == points.y);
  const std::vector<double> few{0, 1, 5, 0};
  const std::vector<double> at{0, 1, 2, 3};
  CHECK(smoothed(at, few, 1, 1) == few);
  CHECK(smoothed({}, {}, 1, 1).empty());
}
