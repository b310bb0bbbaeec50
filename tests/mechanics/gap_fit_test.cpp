#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/gap_fit.hpp"
#include "mechanics/judgement.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <array>
#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

// JCGM 100:2008, 4.3.7: limits of +-a with nothing between likelier give a variance of a^2 / 3.
TEST_CASE("an instrument's limits give a rectangular distribution's uncertainty", "[gap_fit]") {
  CHECK_THAT(u_of_limit(0.3), WithinAbs(0.17320508075688773, 1e-15));
}

// By hand: weights 100, 25 and 4, so (100 x 0.20 + 25 x 0.24 + 4 x 0.30) / 129 and u = 1 / sqrt(129).
TEST_CASE("readings weigh by their uncertainty", "[gap_fit]") {
  const std::array<SingleGap, 3> readings{{{0.20, 0.1, 0.0}, {0.24, 0.2, 0.0}, {0.30, 0.5, 0.0}}};
  const GapFit fit = fit_gap(readings, 9.0);
  CHECK(fit.readings == 3);
  CHECK_THAT(fit.correction_mm, WithinAbs(27.2 / 129.0, 1e-15));
  CHECK_THAT(fit.u_mm, WithinAbs(1.0 / std::sqrt(129.0), 1e-15));
  CHECK_FALSE(fit.scattered);
  REQUIRE(fit.left_mm.size() == 3);
  CHECK_THAT(fit.left_mm[2], WithinAbs(0.30 - 27.2 / 129.0, 1e-15));
}

// By hand: two alike, u 0.1 of their own and 0.2 shared, come to hypot(0.1 / sqrt 2, 0.2); shared with opposite signs,
// at either side of the least gap, it cancels.
TEST_CASE("what readings share does not average out", "[gap_fit]") {
  const std::array<SingleGap, 2> alike{{{0.2, 0.1, 0.2}, {0.2, 0.1, 0.2}}};
  CHECK_THAT(fit_gap(alike, 9.0).u_mm, WithinAbs(std::hypot(0.1 / std::sqrt(2.0), 0.2), 1e-15));
  const std::array<SingleGap, 2> either_side{{{0.2, 0.1, 0.2}, {0.2, 0.1, -0.2}}};
  CHECK_THAT(fit_gap(either_side, 9.0).u_mm, WithinAbs(0.1 / std::sqrt(2.0), 1e-15));
}

TEST_CASE("without readings the drawing's own uncertainty stands", "[gap_fit]") {
  const GapFit fit = fit_gap({}, 0.12);
  CHECK(fit.readings == 0);
  CHECK(fit.correction_mm == 0.0);
  CHECK(fit.u_mm == 0.12);
  CHECK_FALSE(fit.scattered);
}

// Two readings 0.4 apart with u 0.1 each: the sum of squares is 2 x 2^2 = 8, over the 95 % point 3.84 of chi-squared
// with one degree of freedom (tables of the distribution; from memory), and the Birge ratio is sqrt(8).
TEST_CASE("readings that disagree by more than the instruments explain widen the uncertainty", "[gap_fit]") {
  const std::array<SingleGap, 2> apart{{{0.1, 0.1, 0.0}, {0.5, 0.1, 0.0}}};
  const GapFit fit = fit_gap(apart, 9.0);
  CHECK(fit.scattered);
  CHECK_THAT(fit.u_mm, WithinAbs(0.1 / std::sqrt(2.0) * std::sqrt(8.0), 1e-15));
  // 1.9 x 0.1 x sqrt 2 apart is within 3.84 still.
  const std::array<SingleGap, 2> nearer{{{0.1, 0.1, 0.0}, {0.1 + 0.19 * std::sqrt(2.0), 0.1, 0.0}}};
  CHECK_FALSE(fit_gap(nearer, 9.0).scattered);
}

namespace {

// What the builder would read at these crank angles with the head so much farther off than drawn.
Measured readings_of(const ClearanceModel& drawn, double farther_mm, std::initializer_list<double> at_deg) {
  Measured measured;
  for (const double deg : at_deg)
    measured.clearance.push_back({ValveKind::inlet, deg, drawn.at(ValveKind::inlet, deg) + farther_mm});
  return measured;
}

} // namespace

TEST_CASE("several readings of one gap give it back, wherever they were taken", "[gap_fit]") {
  for (const double inclination_deg : {0.0, 9.0}) {
    Engine engine = small_engine();
    engine.inlet_valve->inclination_deg = inclination_deg;
    engine.inlet_valve->pocket = {2.0, 19.0};
    const Mechanism mechanism = *Mechanism::assemble(engine, {});
    const ClearanceModel drawn = *ClearanceModel::make(mechanism, {});
    const ClearanceModel model =
        *ClearanceModel::make(mechanism, readings_of(drawn, 0.31, {5.0, 10.0, 20.0, 340.0, 700.0}));
    const GapFit& fit = model.fit(ValveKind::inlet);
    CHECK_THAT(fit.correction_mm, WithinAbs(0.31, 1e-12));
    CHECK_FALSE(fit.scattered);
    for (const double left_mm : fit.left_mm) CHECK_THAT(left_mm, WithinAbs(0.0, 1e-12));
    CHECK_THAT(model.at(ValveKind::inlet, 15.0), WithinAbs(drawn.at(ValveKind::inlet, 15.0) + 0.31, 1e-12));
    CHECK_THAT(model.least_axial(ValveKind::inlet).least_mm,
               WithinAbs(drawn.least_axial(ValveKind::inlet).least_mm + 0.31, 1e-9));
  }
}

// u^2 = (indicator / sqrt 3)^2 + (wheel / sqrt 3 x slope)^2; the slope by differences of the model itself.
TEST_CASE("a reading where the gap changes fast counts for less", "[gap_fit]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  const ClearanceModel drawn = *ClearanceModel::make(mechanism, {});
  const Instruments instruments{.wheel_deg = 0.5, .indicator_mm = 0.02, .dimension_mm = 0.3};
  const auto u_mm = [&](double deg) {
    const double slope = (drawn.at(ValveKind::inlet, deg + 0.05) - drawn.at(ValveKind::inlet, deg - 0.05)) / 0.1;
    return std::sqrt((0.02 * 0.02 + 0.25 * slope * slope) / 3.0);
  };
  const double nearest_deg = drawn.least_axial(ValveKind::inlet).at_crank_deg;
  CHECK(u_mm(nearest_deg) < 0.02);
  CHECK(u_mm(30.0) > 0.05);
  Measured measured = readings_of(drawn, 0.0, {nearest_deg, 30.0});
  measured.clearance[0].clearance_mm += 0.10;
  const ClearanceModel model = *ClearanceModel::make(mechanism, measured, instruments);
  const double w0 = 1.0 / (u_mm(nearest_deg) * u_mm(nearest_deg));
  const double w1 = 1.0 / (u_mm(30.0) * u_mm(30.0));
  CHECK_THAT(model.fit(ValveKind::inlet).correction_mm, WithinAbs(0.10 * w0 / (w0 + w1), 1e-9));
  CHECK_THAT(model.fit(ValveKind::inlet).u_mm, WithinAbs(1.0 / std::sqrt(w0 + w1), 1e-9));
  CHECK_THAT(model.fit(ValveKind::exhaust).u_mm, WithinAbs(0.3 / std::sqrt(3.0), 1e-15));
}

TEST_CASE("a correction that no drawing is wrong by is called wild", "[gap_fit]") {
  CHECK(wild_over_mm(0.1) == 2.0);
  CHECK(wild_over_mm(0.5) == 5.0);
}

TEST_CASE("the nearer limit of two states counts each way, and one out of reach does not", "[gap_fit]") {
  const PhaseRoom room = nearer({-12.0, std::nullopt}, {-9.5, 30.0});
  CHECK(room.retard_deg == -9.5);
  CHECK(room.advance_deg == 30.0);
  const PhaseRoom none = nearer({}, {});
  CHECK_FALSE(none.retard_deg);
  CHECK_FALSE(none.advance_deg);
}
