#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::pocketed_engine;
using phasewright::testing::small_engine;

namespace {

constexpr std::array both_kinds{ValveKind::inlet, ValveKind::exhaust};

} // namespace

TEST_CASE("the phase curve is what solving at each phase gives", "[clearance]") {
  Fitted worn;
  worn.elongation_percent = 0.2;
  for (const Engine& engine : {small_engine(), overhead_engine(), pocketed_engine()}) {
    const Mechanism mechanism = *Mechanism::assemble(engine, worn);
    const ClearanceModel model = *ClearanceModel::make(mechanism, {});
    const PhaseCurve curve = model.phase_curve(-30.0, 30.0, 2.5);
    REQUIRE(curve.extra_deg.size() == 25);
    CHECK(curve.extra_deg.front() == -30.0);
    CHECK(curve.extra_deg.back() == 30.0);
    for (std::size_t kind = 0; kind < 2; ++kind) {
      REQUIRE(curve.least_mm[kind].size() == 25);
      for (std::size_t i = 0; i < 25; ++i)
        CHECK_THAT(curve.least_mm[kind][i],
                   WithinAbs(model.least_axial(both_kinds[kind], curve.extra_deg[i]).least_mm, 1e-7));
    }
  }
}

TEST_CASE("the sweep is the clearance at each crank angle", "[clearance]") {
  for (const Engine& engine : {small_engine(), overhead_engine(), pocketed_engine()}) {
    const Mechanism mechanism = *Mechanism::assemble(engine, {});
    const ClearanceModel model = *ClearanceModel::make(mechanism, {});
    const CycleSweep sweep = model.sweep(7.5);
    CHECK(sweep.step_deg == 7.5);
    for (std::size_t kind = 0; kind < 2; ++kind) {
      REQUIRE(sweep.axial_mm[kind].size() == 97); // both ends
      for (std::size_t i = 0; i < 97; ++i)
        CHECK_THAT(sweep.axial_mm[kind][i], WithinAbs(model.at(both_kinds[kind], 7.5 * static_cast<double>(i)), 1e-7));
    }
  }
}

// Brute force over the cycle, each distance by itself.
TEST_CASE("the least distances are those of the whole cycle", "[clearance]") {
  for (const double advance_deg : {-8.0, 0.0, 8.0}) {
    Fitted fitted;
    fitted.cam_key_deg = advance_deg / 2.0;
    const Mechanism mechanism = *Mechanism::assemble(pocketed_engine(), fitted);
    const ClearanceModel model = *ClearanceModel::make(mechanism, {});
    double any_way_mm[2] = {1e9, 1e9};
    double between_mm = 1e9;
    for (int i = 0; i < 1440; ++i) {
      const double crank_deg = 0.5 * i;
      any_way_mm[0] = std::fmin(any_way_mm[0], model.distance_at(ValveKind::inlet, crank_deg));
      any_way_mm[1] = std::fmin(any_way_mm[1], model.distance_at(ValveKind::exhaust, crank_deg));
      between_mm = std::fmin(between_mm, *model.between_at(crank_deg));
    }
    const Clearances least = model.least();
    CHECK(least.inlet->distance_mm <= any_way_mm[0] + 1e-9);
    CHECK(least.exhaust->distance_mm <= any_way_mm[1] + 1e-9);
    CHECK(least.between->least_mm <= between_mm + 1e-9);
    // Half a degree moves no valve or piston by more than this.
    CHECK(least.inlet->distance_mm >= any_way_mm[0] - 0.15);
    CHECK(least.exhaust->distance_mm >= any_way_mm[1] - 0.15);
    CHECK(least.between->least_mm >= between_mm - 0.15);
    CHECK_THAT(model.distance_at(ValveKind::inlet, least.inlet->distance_at_crank_deg),
               WithinAbs(least.inlet->distance_mm, 1e-9));
    CHECK_THAT(*model.between_at(least.between->at_crank_deg), WithinAbs(least.between->least_mm, 1e-9));
    CHECK(model.least_any_way(ValveKind::inlet).distance_mm == least.inlet->distance_mm);
  }
}

TEST_CASE("a phase that all camshafts share moves every distance as a key would", "[clearance]") {
  Fitted keyed;
  keyed.cam_key_deg = 3.0;
  const ClearanceModel straight = *ClearanceModel::make(*Mechanism::assemble(pocketed_engine(), {}), {});
  const ClearanceModel turned = straight.mounted_on(*Mechanism::assemble(pocketed_engine(), keyed));
  for (const ValveKind kind : both_kinds) {
    const LeastClearance by_phase = straight.least(kind, 6.0);
    const LeastClearance by_key = turned.least(kind);
    CHECK_THAT(by_phase.least_mm, WithinAbs(by_key.least_mm, 1e-9));
    CHECK_THAT(by_phase.distance_mm, WithinAbs(by_key.distance_mm, 1e-9));
  }
  CHECK_THAT(straight.least_between(6.0, 6.0)->least_mm, WithinAbs(turned.least_between()->least_mm, 1e-9));
  CHECK(straight.least_between(30.0, -30.0)->least_mm < turned.least_between()->least_mm);
}

TEST_CASE("how good a clearance is: its slope, its uncertainty and the room to its limit", "[clearance]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  const Instruments instruments{.wheel_deg = 0.6, .indicator_mm = 0.01, .dimension_mm = 0.3};
  const ClearanceModel model = *ClearanceModel::make(mechanism, {}, instruments);
  for (const ValveKind kind : both_kinds) {
    const double now_mm = model.least_axial(kind).least_mm;
    const ClearanceQuality quality = model.quality(kind, now_mm - 0.5);
    const double slope = (model.least_axial(kind, 0.05).least_mm - model.least_axial(kind, -0.05).least_mm) / 0.1;
    CHECK_THAT(quality.slope_mm_per_deg, WithinAbs(slope, 2e-3));
    CHECK((kind == ValveKind::inlet) == (quality.slope_mm_per_deg < 0.0));
    // JCGM 100:2008, 5.1.2: the gap's own, and the phase's through the slope.
    CHECK_THAT(quality.u_mm,
               WithinAbs(std::sqrt((0.3 * 0.3 + std::pow(quality.slope_mm_per_deg * 0.6, 2)) / 3.0), 1e-12));
    // Advance brings the inlet valve to its limit, retard the exhaust valve.
    const std::optional<double>& reached =
        kind == ValveKind::inlet ? quality.advance_to_limit_deg : quality.retard_to_limit_deg;
    const std::optional<double>& away =
        kind == ValveKind::inlet ? quality.retard_to_limit_deg : quality.advance_to_limit_deg;
    REQUIRE(reached.has_value());
    CHECK((kind == ValveKind::inlet) == (*reached > 0.0));
    CHECK_THAT(model.least_axial(kind, *reached).least_mm, WithinAbs(now_mm - 0.5, 1e-7));
    CHECK_FALSE(away.has_value());
    // From below, the limit is where the clearance comes back up to it.
    const ClearanceQuality short_of = model.quality(kind, now_mm + 0.5);
    const std::optional<double>& back =
        kind == ValveKind::inlet ? short_of.retard_to_limit_deg : short_of.advance_to_limit_deg;
    REQUIRE(back.has_value());
    CHECK_THAT(model.least_axial(kind, *back).least_mm, WithinAbs(now_mm + 0.5, 1e-7));
  }
}

TEST_CASE("with the lash taken up an open valve is nearer by the lash, a shut one is not", "[clearance]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  Measured measured;
  measured.clearance = {{ValveKind::inlet, 12.0, 2.9}};
  const ClearanceModel model = *ClearanceModel::make(mechanism, measured);
  const ClearanceModel tight = model.lash_taken_up();
  // The readings stay those of the lash they were taken with.
  CHECK(tight.fit(ValveKind::inlet).correction_mm == model.fit(ValveKind::inlet).correction_mm);
  CHECK_THAT(tight.at(ValveKind::inlet, 12.0), WithinAbs(2.9 - 0.3, 1e-12));
  CHECK(tight.at(ValveKind::inlet, 360.0) == model.at(ValveKind::inlet, 360.0));
  CHECK_THAT(tight.least_axial(ValveKind::exhaust).least_mm,
             WithinAbs(model.least_axial(ValveKind::exhaust).least_mm - 0.3, 1e-9));
  // It stays taken up on another drive.
  Fitted keyed;
  keyed.cam_key_deg = 1.0;
  const Mechanism other = *Mechanism::assemble(small_engine(), keyed);
  CHECK(tight.mounted_on(other).at(ValveKind::inlet, 12.0) ==
        model.mounted_on(other).lash_taken_up().at(ValveKind::inlet, 12.0));
}

TEST_CASE("quick looks are sure where they say yes, and do say yes where there is room", "[clearance]") {
  const Engine engine = pocketed_engine();
  const ClearanceModel model = *ClearanceModel::make(*Mechanism::assemble(engine, {}), {});
  const CycleLooks looks = model.looks();
  constexpr double room_mm = 0.4; // what the parts move in a crank degree where they are near each other, and a little
  int sure = 0;
  for (double extra_deg = -20.0; extra_deg <= 20.0; extra_deg += 4.0) {
    for (const ValveKind kind : both_kinds) {
      const double least_mm = model.least_any_way(kind, extra_deg).distance_mm;
      CHECK_FALSE(looks.piston_farther_than(least_mm, kind, extra_deg));
      if (least_mm <= room_mm) continue;
      CHECK(looks.piston_farther_than(least_mm - room_mm, kind, extra_deg));
      ++sure;
    }
    const double between_mm = model.least_between(extra_deg, -extra_deg)->least_mm;
    CHECK_FALSE(looks.between_farther_than(between_mm, extra_deg, -extra_deg));
    if (between_mm > room_mm) CHECK(looks.between_farther_than(between_mm - room_mm, extra_deg, -extra_deg));
  }
  CHECK(sure > 10);
}
