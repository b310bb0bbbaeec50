// JCGM 100:2008, "Guide to the expression of uncertainty in measurement": its example H.1 (an end gauge) and the
// figures of its clauses 4.2, 4.3 and G.4.
#include "mechanics/uncertainty.hpp"

#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

using namespace phasewright;

namespace {

constexpr double endless = std::numeric_limits<double>::infinity();

// H.1, lengths in nm: the gauge's is that of the standard plus the difference read, less what an unlike expansion and
// an unlike temperature do, l = ls + d - ls (d_alpha theta + alpha d_theta).
double gauge_nm(std::span<const double> x) {
  const auto [ls, d, d_alpha, theta, alpha, d_theta] = std::array{x[0], x[1], x[2], x[3], x[4], x[5]};
  return ls + d - ls * (d_alpha * theta + alpha * d_theta);
}

// The difference is known by its repeats, by the comparator's random and by its systematic effects: 5.8 nm of 24, 3.9
// nm of 5 and 6.7 nm of 8 degrees of freedom (H.1.3.2). The temperature is the mean of the bed, 0.2 deg C, and a cyclic
// swing of 0.5 deg C, which is likelier at its ends (H.1.3.4).
Quantity difference_nm() {
  const std::array<Quantity, 3> effects{
      {{"repeats", 215.0, 5.8, 24.0}, {"random", 0.0, 3.9, 5.0}, {"systematic", 0.0, 6.7, 8.0}}};
  const Propagated made = propagate([](std::span<const double> x) { return x[0] + x[1] + x[2]; }, effects);
  return {"d", made.value, made.u, made.freedom};
}

std::array<Quantity, 6> inputs_nm() {
  return {{{"ls", 50'000'623.0, 25.0, 18.0},
           difference_nm(),
           {"d_alpha", 0.0, u_rectangular(1e-6), 50.0}, // H.1.6: u known to 10 %
           {"theta", -0.1, std::hypot(0.2, u_arcsine(0.5)), endless},
           {"alpha", 11.5e-6, u_rectangular(2e-6), endless},
           {"d_theta", 0.0, u_rectangular(0.05), 2.0}}}; // H.1.6: u known to 50 %
}

} // namespace

// H.1.7: 50.000 838 mm with a combined uncertainty of 32 nm, of which 25, 9.7, 2.9 and 16.6 nm come from the standard,
// the difference, the expansion and the temperature (table H.1 and H.1.6). Its 34 nm takes terms of second order with
// it, which a law of the first order leaves out (H.1.7).
TEST_CASE("the end gauge of H.1 comes out to its printed digits", "[gum]") {
  const Quantity difference = difference_nm();
  CHECK_THAT(difference.u, WithinAbs(9.7, 0.05));
  // Printed 25.6, which takes u rounded to 9.7; from 9.68 it is 25.4.
  CHECK_THAT(difference.freedom * std::pow(9.7 / difference.u, 4), WithinAbs(25.6, 0.05));
  const Propagated length = propagate(gauge_nm, inputs_nm());
  CHECK_THAT(length.value, WithinAbs(50'000'838.0, 0.5));
  CHECK_THAT(length.u, WithinAbs(32.0, 0.5));
  CHECK_THAT(length.parts[0], WithinAbs(25.0, 0.05));
  CHECK_THAT(length.parts[1], WithinAbs(9.7, 0.05));
  CHECK_THAT(length.parts[2], WithinAbs(2.9, 0.05));
  CHECK_THAT(length.parts[5], WithinAbs(16.6, 0.05));
  CHECK_THAT(length.parts[3], WithinAbs(0.0, 1e-6)); // H.1.4: no slope at d_alpha = 0
  CHECK_THAT(length.parts[4], WithinAbs(0.0, 1e-6)); // nor at d_theta = 0
}

// H.1.6: 16 effective degrees of freedom (from memory), t99 = 2.92, and U99 = 93 nm. The formula gives 16.7, which is
// rounded down before the table is entered (G.4.1).
TEST_CASE("the end gauge of H.1 is known to 93 nm with 99 in 100", "[gum]") {
  const Propagated length = propagate(gauge_nm, inputs_nm());
  const double freedom = std::floor(length.freedom);
  CHECK(freedom == 16.0);
  CHECK_THAT(coverage_factor(freedom, 0.99), WithinAbs(2.92, 0.005));
  CHECK_THAT(coverage_factor(freedom, 0.99) * length.u, WithinAbs(93.0, 0.6));
}

// G.4.2 on the four components as H.1.6 prints them.
TEST_CASE("effective degrees of freedom go by Welch and Satterthwaite", "[gum]") {
  const std::array<Quantity, 4> printed{
      {{"ls", 0.0, 25.0, 18.0}, {"d", 0.0, 9.7, 25.6}, {"d_alpha", 0.0, 2.9, 50.0}, {"d_theta", 0.0, 16.6, 2.0}}};
  const Propagated sum = propagate([](std::span<const double> x) { return x[0] + x[1] + x[2] + x[3]; }, printed);
  const double fourths =
      std::pow(25.0, 4) / 18.0 + std::pow(9.7, 4) / 25.6 + std::pow(2.9, 4) / 50.0 + std::pow(16.6, 4) / 2.0;
  CHECK_THAT(sum.freedom, WithinRel(std::pow(sum.u, 4) / fourths, 1e-12));
  CHECK_THAT(sum.freedom, WithinAbs(16.7, 0.1));
  // G.4.2: never more than all degrees of freedom together.
  CHECK(sum.freedom <= 18.0 + 25.6 + 50.0 + 2.0);
}

// 4.3.7, 4.3.9 and H.1.3.4; each also as the root of its own second moment, summed over the distribution.
TEST_CASE("half widths become standard uncertainties by their distribution", "[gum]") {
  CHECK_THAT(u_rectangular(1e-6), WithinRel(0.58e-6, 0.01)); // H.1.3.3
  CHECK_THAT(u_rectangular(0.05), WithinAbs(0.029, 0.0005)); // H.1.3.6
  CHECK_THAT(u_arcsine(0.5), WithinAbs(0.35, 0.005));        // H.1.3.4
  constexpr int steps = 200'000;
  double rectangular = 0.0, triangular = 0.0, arcsine = 0.0, triangle_weights = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double x = -1.0 + (2.0 * i + 1.0) / steps;
    const double triangle = 1.0 - std::fabs(x);
    const double swing = std::sin(3.14159265358979323846 * x / 2.0); // evenly spaced phases of a swing
    rectangular += x * x / steps;
    triangular += triangle * x * x;
    triangle_weights += triangle;
    arcsine += swing * swing / steps;
  }
  CHECK_THAT(u_rectangular(3.0), WithinAbs(3.0 * std::sqrt(rectangular), 1e-6));
  CHECK_THAT(u_triangular(3.0), WithinAbs(3.0 * std::sqrt(triangular / triangle_weights), 1e-6));
  CHECK_THAT(u_arcsine(3.0), WithinAbs(3.0 * std::sqrt(arcsine), 1e-6));
}

// 4.4.3, figure 1: twenty temperatures (table 1, from memory), mean 100.14 deg C, s 1.49, u 0.33.
TEST_CASE("repeats as in 4.4.3", "[gum]") {
  const std::array temperatures{96.90,  98.18,  98.25,  98.61,  99.03,  99.49,  99.56,  99.74,  99.89,  100.07,
                                100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72};
  const TypeA repeats = type_a(temperatures);
  CHECK_THAT(repeats.mean, WithinAbs(100.14, 0.0051));
  CHECK_THAT(repeats.deviation, WithinAbs(1.49, 0.005));
  CHECK_THAT(repeats.u, WithinAbs(0.33, 0.005));
  CHECK(repeats.freedom == 19.0);
}

// Table G.2, from memory; the last column of its first row and its last row are those of the normal law.
TEST_CASE("coverage factors are those of table G.2", "[gum]") {
  struct Row {
    double freedom, t90, t95, t99;
  };
  for (const Row& row : {Row{1, 6.31, 12.71, 63.66}, Row{2, 2.92, 4.30, 9.92}, Row{5, 2.02, 2.57, 4.03},
                         Row{10, 1.81, 2.23, 3.17}, Row{16, 1.75, 2.12, 2.92}, Row{17, 1.74, 2.11, 2.90},
                         Row{50, 1.68, 2.01, 2.68}, Row{endless, 1.645, 1.960, 2.576}}) {
    CHECK_THAT(coverage_factor(row.freedom, 0.90), WithinAbs(row.t90, 0.005));
    CHECK_THAT(coverage_factor(row.freedom, 0.95), WithinAbs(row.t95, 0.005));
    CHECK_THAT(coverage_factor(row.freedom, 0.99), WithinAbs(row.t99, 0.005));
  }
  CHECK_THAT(coverage_factor(endless, 0.9545), WithinAbs(2.0, 0.001));
}
