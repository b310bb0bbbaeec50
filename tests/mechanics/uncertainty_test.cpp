#include "mechanics/uncertainty.hpp"

#include "support/catch.hpp"

#include <array>
#include <cmath>
#include <limits>

using namespace phasewright;

namespace {

constexpr double endless = std::numeric_limits<double>::infinity();

} // namespace

// By hand: mean 4, squares 4 + 0 + 4, so s = 2 and s / sqrt 3.
TEST_CASE("repeats give a mean and what it is known to", "[uncertainty]") {
  const TypeA repeats = type_a(std::array{2.0, 4.0, 6.0});
  CHECK_THAT(repeats.mean, WithinAbs(4.0, 1e-15));
  CHECK_THAT(repeats.deviation, WithinAbs(2.0, 1e-15));
  CHECK_THAT(repeats.u, WithinAbs(2.0 / std::sqrt(3.0), 1e-15));
  CHECK(repeats.freedom == 2.0);
}

TEST_CASE("one reading says nothing of its own scatter", "[uncertainty]") {
  const TypeA one = type_a(std::array{7.5});
  CHECK(one.mean == 7.5);
  CHECK(one.u == 0.0);
  CHECK(one.freedom == 0.0);
  CHECK(type_a({}).mean == 0.0);
  CHECK(type_a({}).freedom == 0.0);
}

// By hand: weights 100, 25 and 4.
TEST_CASE("a weighted mean leans to the better figures", "[uncertainty]") {
  const WeightedMean mean = weighted_mean(std::array{0.20, 0.24, 0.30}, std::array{0.1, 0.2, 0.5});
  CHECK_THAT(mean.mean, WithinAbs(27.2 / 129.0, 1e-15));
  CHECK_THAT(mean.u, WithinAbs(1.0 / std::sqrt(129.0), 1e-15));
  CHECK_FALSE(mean.scattered);
  CHECK(weighted_mean({}, {}).u == 0.0);
  CHECK_THAT(weighted_mean(std::array{3.0}, std::array{0.7}).u, WithinAbs(0.7, 1e-15));
}

// Two figures d apart with u 1 each: the sum of squares is d^2 / 2, and chi-squared's 95 % point is 3.841 for one
// degree of freedom (tables of the distribution; from memory).
TEST_CASE("figures that differ by more than chance widen their mean's uncertainty", "[uncertainty]") {
  const std::array u{1.0, 1.0};
  const double edge = std::sqrt(2.0 * 3.841);
  CHECK_FALSE(weighted_mean(std::array{0.0, edge - 0.01}, u).scattered);
  const WeightedMean wide = weighted_mean(std::array{0.0, 4.0}, u);
  CHECK(wide.scattered);
  CHECK_THAT(wide.u, WithinAbs(std::sqrt(8.0) / std::sqrt(2.0), 1e-14));
  CHECK_FALSE(birge_ratio(1000.0, 0.0).has_value());
  CHECK_FALSE(birge_ratio(9.48, 4.0).has_value()); // 9.488, likewise
  CHECK_THAT(birge_ratio(9.50, 4.0).value(), WithinAbs(std::sqrt(9.50 / 4.0), 1e-15));
}

// y = x1 x2 / x3 has relative variance the sum of the inputs' (JCGM 100:2008, 5.1.6).
TEST_CASE("a product's relative uncertainties add in squares", "[uncertainty]") {
  const std::array<Quantity, 3> inputs{
      {{"x1", 10.0, 0.01, endless}, {"x2", 4.0, 0.008, endless}, {"x3", 5.0, 0.005, endless}}};
  const Propagated made = propagate([](std::span<const double> x) { return x[0] * x[1] / x[2]; }, inputs);
  CHECK_THAT(made.value, WithinAbs(8.0, 1e-15));
  CHECK_THAT(made.u / made.value, WithinRel(std::sqrt(1e-6 + 4e-6 + 1e-6), 1e-5));
  CHECK_THAT(made.slopes[0], WithinRel(0.8, 1e-9));
  CHECK_THAT(made.slopes[2], WithinRel(-1.6, 1e-5));
  CHECK_THAT(made.parts[2], WithinRel(0.008, 1e-5));
  CHECK(made.freedom == endless);
}

// Ten resistors calibrated against one standard are out together: their sum's uncertainty is the plain sum (JCGM 100,
// 5.2.2, example); of a difference nothing is left.
TEST_CASE("what inputs share adds up in a sum and drops out of a difference", "[uncertainty]") {
  const std::vector<Quantity> ten(10, {"R", 1000.0, 0.1, endless});
  const std::vector<double> all_alike(100, 1.0);
  const auto sum = [](std::span<const double> r) {
    double total = 0.0;
    for (const double one : r) total += one;
    return total;
  };
  CHECK_THAT(propagate(sum, ten, all_alike).u, WithinAbs(1.0, 1e-9));
  CHECK_THAT(propagate(sum, ten).u, WithinAbs(0.1 * std::sqrt(10.0), 1e-9));
  const std::array<Quantity, 2> two{{{"a", 1.0 / 3.0, 0.1, endless}, {"b", 1.0 / 7.0, 0.1, endless}}};
  const auto difference = [](std::span<const double> x) { return x[0] - x[1]; };
  const Propagated left = propagate(difference, two, std::array{1.0, 1.0, 1.0, 1.0});
  CHECK_THAT(left.u, WithinAbs(0.0, 1e-7)); // and not the root of a negative rounding error
}

TEST_CASE("an input known exactly takes no part", "[uncertainty]") {
  const std::array<Quantity, 2> inputs{{{"exact", 3.0, 0.0, 1.0}, {"read", 2.0, 0.5, 4.0}}};
  const Propagated made = propagate([](std::span<const double> x) { return x[0] * x[1]; }, inputs);
  CHECK_THAT(made.u, WithinAbs(1.5, 1e-14));
  CHECK(made.parts[0] == 0.0);
  CHECK_THAT(made.freedom, WithinRel(4.0, 1e-12));
}

TEST_CASE("of an uncertainty that is itself not known nothing can be promised", "[uncertainty]") {
  const std::array<Quantity, 1> input{{{"guess", 1.0, 0.5, 0.0}}};
  const Propagated made = propagate([](std::span<const double> x) { return x[0]; }, input);
  CHECK(made.freedom == 0.0);
  CHECK(coverage_factor(made.freedom, 0.95) == endless);
  CHECK(coverage_factor(std::numeric_limits<double>::quiet_NaN(), 0.95) == endless);
}
