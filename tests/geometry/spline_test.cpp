#include "geometry/spline.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <limits>
#include <vector>

using namespace phasewright;

namespace {

// Uneven points of a function whose slope is 0 at both ends.
std::vector<double> uneven_points(int count) {
  std::vector<double> x;
  for (int i = 0; i <= count; ++i) x.push_back(3.0 * i / count + 0.3 / count * std::sin(5.0 * i) * (i % count != 0));
  return x;
}

double hump(double x) {
  return 1.0 - std::cos(2.0 * 3.14159265358979323846 * x / 3.0);
}

} // namespace

TEST_CASE("the spline goes through its points and is flat at its ends", "[spline]") {
  const std::vector<double> x{0.0, 0.4, 1.1, 1.3, 2.5, 3.0};
  const std::vector<double> y{0.0, 0.3, 2.0, 2.1, 0.4, 0.0};
  const FlatEndedSpline spline(x, y);
  for (std::size_t i = 0; i < x.size(); ++i) CHECK_THAT(spline.at(x[i])[0], WithinAbs(y[i], 1e-14));
  CHECK_THAT(spline.at(1e-9)[1], WithinAbs(0.0, 1e-7));
  CHECK_THAT(spline.at(3.0 - 1e-9)[1], WithinAbs(0.0, 1e-7));
  CHECK(spline.at(-1.0) == std::array{0.0, 0.0, 0.0, 0.0});
  CHECK(spline.at(4.0) == std::array{0.0, 0.0, 0.0, 0.0});
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(spline.at(nan) == std::array{0.0, 0.0, 0.0, 0.0});
  CHECK(spline.value(nan) == 0.0);
}

TEST_CASE("value, slope and bend have no step at a point", "[spline]") {
  const std::vector<double> x{0.0, 0.4, 1.1, 1.3, 2.5, 3.0};
  const std::vector<double> y{0.0, 0.3, 2.0, 2.1, 0.4, 0.0};
  const FlatEndedSpline spline(x, y);
  for (std::size_t i = 1; i + 1 < x.size(); ++i)
    for (std::size_t derivative = 0; derivative < 3; ++derivative)
      CHECK_THAT(spline.at(x[i] - 1e-10)[derivative], WithinAbs(spline.at(x[i] + 1e-10)[derivative], 1e-6));
}

TEST_CASE("slope, bend and third are the derivatives of the value", "[spline]") {
  const std::vector<double> x = uneven_points(20);
  std::vector<double> y;
  for (const double at : x) y.push_back(hump(at));
  const FlatEndedSpline spline(x, y);
  constexpr double h = 1e-5;
  for (double at = 0.05; at < 2.95; at += 0.031) {
    CHECK_THAT((spline.at(at + h)[0] - spline.at(at - h)[0]) / (2.0 * h), WithinAbs(spline.at(at)[1], 1e-7));
    CHECK_THAT((spline.at(at + h)[1] - spline.at(at - h)[1]) / (2.0 * h), WithinAbs(spline.at(at)[2], 1e-5));
    CHECK(spline.value(at) == spline.at(at)[0]);
  }
  // The third is the same from point to point, so it is looked at between them.
  for (std::size_t i = 0; i + 1 < x.size(); ++i) {
    const double middle = 0.5 * (x[i] + x[i + 1]);
    CHECK_THAT((spline.at(middle + h)[2] - spline.at(middle - h)[2]) / (2.0 * h),
               WithinAbs(spline.at(middle)[3], 1e-6));
  }
}

// Points crowded at one end defeat the guess by even spacing; the search behind it has to find them.
TEST_CASE("a spline through very uneven points still goes through them", "[spline]") {
  std::vector<double> x;
  std::vector<double> y;
  for (int i = 0; i <= 40; ++i) {
    x.push_back(3.0 * std::pow(i / 40.0, 6.0));
    y.push_back(hump(x.back()));
  }
  for (int i = 1; i <= 20; ++i) {
    x.push_back(100.0 + i);
    y.push_back(0.0);
  }
  const FlatEndedSpline spline(x, y);
  for (std::size_t i = 0; i < x.size(); ++i) CHECK_THAT(spline.value(x[i]), WithinAbs(y[i], 1e-12));
  for (std::size_t i = 0; i + 1 < x.size(); ++i) {
    const double inside = std::nextafter(x[i + 1], x[i]);
    if (inside > x[i]) CHECK_THAT(spline.value(inside), WithinAbs(y[i + 1], 1e-9));
  }
}

// A clamped cubic spline's error falls with the fourth power of the spacing (de Boor, A Practical Guide to Splines,
// chapter V; from memory).
TEST_CASE("halving the spacing cuts the error about sixteenfold", "[spline]") {
  const auto worst = [](int count) {
    const std::vector<double> x = uneven_points(count);
    std::vector<double> y;
    for (const double at : x) y.push_back(hump(at));
    const FlatEndedSpline spline(x, y);
    double error = 0.0;
    for (double at = 0.0; at <= 3.0; at += 0.0013) error = std::fmax(error, std::fabs(spline.at(at)[0] - hump(at)));
    return error;
  };
  const double ratio = worst(40) / worst(80);
  CHECK(ratio > 10.0);
  CHECK(ratio < 24.0);
}
