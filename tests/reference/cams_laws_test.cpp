#include "geometry/angle.hpp"
#include "mechanics/lobe.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <vector>

using namespace phasewright;

namespace {

// A law of motion by the shape of its acceleration over the rise, x from 0 to 1: lift and speed follow by integration.
struct LawShape {
  const char* name;
  std::function<double(double)> bend;
  double velocity, acceleration; // peak factors as cam texts print them
};

// The shapes are those of Norton, Cam Design and Manufacturing Handbook, and Rothbart, Cam Design Handbook, and so are
// the factors, both from memory; the digits here are worked out again by `factors` below.
std::vector<LawShape> laws() {
  const double a = 4.0 * pi;
  return {
      {"simple harmonic", [](double x) { return std::cos(pi * x); }, 1.5708, 4.9348},
      {"cycloidal", [](double x) { return std::sin(2.0 * pi * x); }, 2.0000, 6.2832},
      {"3-4-5", [](double x) { return x * (1.0 - x) * (1.0 - 2.0 * x); }, 1.8750, 5.7735},
      {"modified sine",
       [a](double x) {
         return x < 0.125 ? std::sin(a * x) : x < 0.875 ? std::sin(a * x / 3.0 + pi / 3.0) : std::sin(a * (x - 0.5));
       },
       1.7596, 5.5280},
      {"modified trapezoid",
       [a](double x) {
         const double way = x < 0.5 ? 1.0 : -1.0;
         const double from_middle = std::fabs(x - 0.5);
         const double from_end = 0.5 - from_middle;
         return way * (from_end < 0.125      ? std::sin(a * from_end)
                       : from_middle < 0.125 ? std::sin(a * from_middle)
                                             : 1.0);
       },
       2.0000, 4.8881},
  };
}

// Integral from 0 to `to` of (to - u)^power bend(u), by Gauss and Legendre's five points between every 16th of the
// rise, where the shapes have their corners.
double integral(const LawShape& law, double to, int power) {
  static constexpr std::array points{-0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831,
                                     0.9061798459386640};
  static constexpr std::array weights{0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665,
                                      0.2369268850561891};
  double sum = 0.0;
  for (int piece = 0; piece < 64; ++piece) {
    const double from = piece / 64.0, end = std::fmin(to, (piece + 1) / 64.0);
    if (!(end > from)) break;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double u = 0.5 * (from + end) + 0.5 * (end - from) * points[i];
      sum += 0.5 * (end - from) * weights[i] * (power == 0 ? 1.0 : to - u) * law.bend(u);
    }
  }
  return sum;
}

struct Factors {
  double velocity = 0, acceleration = 0;
};

Factors factors(const LawShape& law) {
  const double lift = integral(law, 1.0, 1);
  Factors found;
  for (int i = 0; i <= 4000; ++i) {
    const double x = i / 4000.0;
    found.velocity = std::fmax(found.velocity, std::fabs(integral(law, x, 0) / lift));
    found.acceleration = std::fmax(found.acceleration, std::fabs(law.bend(x) / lift));
  }
  return found;
}

constexpr double lift_mm = 8.0;
constexpr int flank_deg = 75;

// Up by the law, and down the same way.
LobeTable table_of(const LawShape& law, double step_deg) {
  LobeTable table;
  const double whole = integral(law, 1.0, 1);
  const int rows = static_cast<int>(std::lround(flank_deg / step_deg));
  for (int i = -rows; i <= rows; ++i) {
    table.cam_deg.push_back(i * step_deg);
    const double x = 1.0 - std::fabs(i * step_deg) / flank_deg;
    table.lift_mm.push_back(i == 0 ? lift_mm : lift_mm * integral(law, x, 1) / whole);
  }
  return table;
}

Factors peaks(const LobeProfile& lobe) {
  Factors found;
  const double flank_rad = radians(flank_deg);
  for (int i = -60000; i <= 60000; ++i) {
    const LiftState state = lobe.at(flank_rad * i / 60000.0);
    found.velocity = std::fmax(found.velocity, std::fabs(state.per_rad_mm) * flank_rad / lift_mm);
    found.acceleration = std::fmax(found.acceleration, std::fabs(state.per_rad2_mm) * flank_rad * flank_rad / lift_mm);
  }
  return found;
}

} // namespace

TEST_CASE("the laws' shapes integrate to the textbooks' peak factors", "[cam law]") {
  for (const LawShape& law : laws()) {
    INFO(law.name);
    const Factors found = factors(law);
    CHECK_THAT(found.velocity, WithinAbs(law.velocity, 5e-5));
    CHECK_THAT(found.acceleration, WithinAbs(law.acceleration, 5e-5));
  }
}

// What the spline through the rows loses of the printed digits: of the speed nothing that shows, of the acceleration up
// to 0.0012 with a row each half degree (modified sine) and 0.0053 each degree (modified trapezoid), both on a flank of
// 75 degrees, where these two laws' corners fall between rows.
TEST_CASE("tables of the textbooks' laws have their peak factors", "[cam law]") {
  for (const double step_deg : {0.5, 1.0})
    for (const LawShape& law : laws()) {
      const LobeProfile lobe = *LobeProfile::make(table_of(law, step_deg), "lobe");
      const Factors found = peaks(lobe);
      INFO(law.name << " each " << step_deg << " deg: " << found.velocity << ", " << found.acceleration);
      CHECK_THAT(found.velocity, WithinAbs(law.velocity, 1e-4));
      CHECK_THAT(found.acceleration, WithinAbs(law.acceleration, step_deg < 1.0 ? 2e-3 : 8e-3));
      CHECK_THAT(lobe.greatest_lift_mm(), WithinAbs(lift_mm, 1e-12));
    }
}

// 2.1875, 7.5132 and 52.5: cam texts, from memory; 7.5131884 is the greatest of 420 x^2 (1 - x)^2 (1 - 2 x) with the
// powers multiplied out and differentiated by hand. The rise may take another share of the duration than half.
TEST_CASE("the program's own 4-5-6-7 lobe has the textbooks' peak factors on flanks of any length", "[cam law]") {
  for (const double rise_share : {0.5, 0.43, 0.58}) {
    const double duration_deg = 290.0;
    LobePolynomial polynomial{.lift_mm = 7.7, .duration_deg = duration_deg, .rise_deg = rise_share * duration_deg};
    if (rise_share == 0.5) polynomial.rise_deg.reset();
    const LobeProfile lobe = *LobeProfile::make(polynomial, "lobe");
    for (const double side : {-1.0, 1.0}) {
      const double flank_rad = radians(duration_deg / 2.0) * (side < 0.0 ? rise_share : 1.0 - rise_share);
      INFO("side " << side << " flank " << degrees(flank_rad));
      CHECK_THAT(side < 0.0 ? -lobe.opens_rad() : lobe.closes_rad(), WithinAbs(flank_rad, 1e-12));
      std::array<double, 3> peak{};
      for (int i = 0; i <= 100000; ++i) {
        const double x = i / 100000.0;
        const LiftState state = lobe.at(side * flank_rad * (1.0 - x));
        const long double p = x; // 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7, power by power
        const auto power = [p](int n) { return std::pow(p, static_cast<long double>(n)); };
        const long double lift = 35 * power(4) - 84 * power(5) + 70 * power(6) - 20 * power(7);
        const long double slope = 140 * power(3) - 420 * power(4) + 420 * power(5) - 140 * power(6);
        const long double bend = 420 * power(2) - 1680 * power(3) + 2100 * power(4) - 840 * power(5);
        const long double jerk = 840 * power(1) - 5040 * power(2) + 8400 * power(3) - 4200 * power(4);
        if (i % 1000 == 0) {
          CHECK_THAT(state.lift_mm / 7.7, WithinAbs(static_cast<double>(lift), 1e-13));
          CHECK_THAT(state.per_rad_mm * -side * flank_rad / 7.7, WithinAbs(static_cast<double>(slope), 1e-11));
          CHECK_THAT(state.per_rad2_mm * std::pow(flank_rad, 2) / 7.7, WithinAbs(static_cast<double>(bend), 1e-10));
          CHECK_THAT(state.per_rad3_mm * -side * std::pow(flank_rad, 3) / 7.7,
                     WithinAbs(static_cast<double>(jerk), 1e-9));
        }
        peak[0] = std::fmax(peak[0], std::fabs(state.per_rad_mm) * flank_rad / 7.7);
        peak[1] = std::fmax(peak[1], std::fabs(state.per_rad2_mm) * std::pow(flank_rad, 2) / 7.7);
        peak[2] = std::fmax(peak[2], std::fabs(state.per_rad3_mm) * std::pow(flank_rad, 3) / 7.7);
      }
      CHECK_THAT(peak[0], WithinAbs(2.1875, 1e-8));
      CHECK_THAT(peak[1], WithinAbs(7.5131884, 1e-6));
      CHECK_THAT(peak[2], WithinAbs(52.5, 1e-6));
    }
  }
}
