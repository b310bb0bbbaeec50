#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

Mechanism assembled(const Engine& engine, const Fitted& fitted = {}) {
  return *Mechanism::assemble(engine, fitted);
}

} // namespace

// Brute force, and from its own parts: closed height + deck - lift + drop.
TEST_CASE("the least clearance is the least of the whole cycle", "[clearance]") {
  for (const double cam_key_deg : {-8.0, -2.0, 0.0, 2.0, 8.0}) {
    Fitted fitted;
    fitted.cam_key_deg = cam_key_deg;
    const Mechanism mechanism = assembled(small_engine(), fitted);
    const ClearanceModel model = *ClearanceModel::make(mechanism, {});
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      double least_mm = 1e9, at_deg = 0.0;
      for (int i = 0; i < 72000; ++i) {
        const double crank_deg = 0.01 * i;
        const double mm =
            4.5 + 0.35 - mechanism.valve_lift_mm(kind, 1, crank_deg) + mechanism.piston_drop_mm(1, crank_deg);
        if (mm < least_mm) {
          least_mm = mm;
          at_deg = crank_deg;
        }
      }
      const LeastClearance least = model.least(kind);
      CHECK_THAT(least.least_mm, WithinAbs(least_mm, 1e-5));
      CHECK_THAT(wrap_180(least.at_crank_deg - at_deg), WithinAbs(0.0, 0.05));
      CHECK_THAT(model.at(kind, least.at_crank_deg), WithinAbs(least.least_mm, 1e-12));
    }
  }
}

TEST_CASE("advance brings the inlet valve nearer and takes the exhaust valve away", "[clearance]") {
  const Mechanism mechanism = assembled(small_engine());
  const ClearanceModel model = *ClearanceModel::make(mechanism, {});
  for (double phase_deg = -20.0; phase_deg < 20.0; phase_deg += 1.0) {
    CHECK(model.least(ValveKind::inlet, phase_deg + 1.0).least_mm < model.least(ValveKind::inlet, phase_deg).least_mm);
    CHECK(model.least(ValveKind::exhaust, phase_deg + 1.0).least_mm >=
          model.least(ValveKind::exhaust, phase_deg).least_mm);
  }
}

TEST_CASE("a valve retarded out of the piston's way is nearest when shut at TDC", "[clearance]") {
  const Mechanism mechanism = assembled(small_engine());
  const ClearanceModel model = *ClearanceModel::make(mechanism, {});
  const LeastClearance least = model.least(ValveKind::inlet, -120.0);
  CHECK_THAT(least.least_mm, WithinAbs(4.85, 1e-9));
}

TEST_CASE("a clearance measured on the bench goes before the drawing", "[clearance]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured;
  measured.clearance = {{ValveKind::inlet, 12.0, 2.9}};
  const ClearanceModel model = *ClearanceModel::make(mechanism, measured);
  CHECK_THAT(model.at(ValveKind::inlet, 12.0), WithinAbs(2.9, 1e-12));
  const ClearanceModel drawn = *ClearanceModel::make(mechanism, {});
  CHECK(model.at(ValveKind::exhaust, 700.0) == drawn.at(ValveKind::exhaust, 700.0));
  CHECK(model.fit(ValveKind::inlet).readings == 1);
  CHECK(model.fit(ValveKind::exhaust).readings == 0);
  // The head sits where the readings say for every distance, not only along its axis.
  CHECK_THAT(model.distance_at(ValveKind::inlet, 12.0), WithinAbs(2.9, 1e-12));

  // The readings belong to the build they were taken on; another is asked for with the same gap.
  Fitted keyed;
  keyed.cam_key_deg = 2.0;
  const ClearanceModel moved = model.mounted_on(assembled(small_engine(), keyed));
  const double closed_mm = model.at(ValveKind::inlet, 360.0);
  CHECK_THAT(moved.at(ValveKind::inlet, 360.0), WithinAbs(closed_mm, 1e-12));
  CHECK(moved.least(ValveKind::inlet).least_mm < model.least(ValveKind::inlet).least_mm);
}

TEST_CASE("a pocket adds its depth and shows its wall", "[clearance]") {
  Engine engine = small_engine();
  engine.inlet_valve->closed_height_mm = 1.5;
  engine.inlet_valve->pocket = {3.0, 18.0};
  const Mechanism mechanism = assembled(engine);
  const LeastClearance with = ClearanceModel::make(mechanism, {})->least(ValveKind::inlet);
  const double without_mm = ClearanceModel::make(assembled(small_engine()), {})->least(ValveKind::inlet).least_mm;
  CHECK_THAT(with.least_mm, WithinAbs(without_mm, 1e-12)); // as much lower as the pocket is deep
  REQUIRE(with.radial_mm.has_value());
  CHECK_THAT(*with.radial_mm, WithinAbs(1.5, 1e-12));
  CHECK_THAT(with.distance_mm, WithinAbs(1.5, 1e-9)); // the wall is nearer than the floor
  CHECK(ClearanceModel::make(assembled(small_engine()), {})->least(ValveKind::inlet).radial_mm == std::nullopt);
}

TEST_CASE("a head that would not enter its pocket is refused", "[clearance]") {
  Engine engine = small_engine();
  engine.inlet_valve->inclination_deg = 12.0;
  engine.exhaust_valve->pocket = {1.0, 16.0};
  const Result<ClearanceModel> model = ClearanceModel::make(assembled(engine), {});
  REQUIRE_FALSE(model.ok());
  CHECK(
      to_text(model.problems()) ==
      "valve.exhaust.pocket.radius_mm: found 16 mm, allowed more than 16.5 mm; the head would not enter its pocket\n");
}

TEST_CASE("a lobe whose valve nobody described has no clearance to be trusted", "[clearance]") {
  Engine engine = small_engine();
  engine.exhaust_valve.reset();
  const Result<ClearanceModel> model = ClearanceModel::make(assembled(engine), {});
  REQUIRE_FALSE(model.ok());
  CHECK(to_text(model.problems()) == "valve.exhaust: found nothing, allowed the valve that its lobe moves\n");
  engine.camshafts[0].exhaust.reset();
  CHECK(ClearanceModel::make(assembled(engine), {}).ok());
}

TEST_CASE("limits count for the valves the engine has", "[clearance]") {
  Target target;
  target.min_clearance_inlet_mm = 2.0;
  target.min_clearance_exhaust_mm = 2.5;
  Clearances clearances;
  CHECK(within_limits(clearances, target));
  const auto least = [](double axial_mm, double distance_mm) {
    LeastClearance made;
    made.least_mm = axial_mm;
    made.distance_mm = distance_mm;
    return made;
  };
  clearances.inlet = least(2.0, 1.0);
  CHECK(within_limits(clearances, target));
  clearances.inlet->distance_mm = 0.999; // any way: the radial limit, 1 mm
  CHECK_FALSE(within_limits(clearances, target));
  target.min_clearance_inlet_mm = 0.9; // or the axial one where that is less
  CHECK(within_limits(clearances, target));
  clearances.between = ValveToValve{0.99, 3.0};
  CHECK_FALSE(within_limits(clearances, target));
  const std::vector<JudgedClearance> close = judge(clearances, target).too_close();
  REQUIRE(close.size() == 1);
  CHECK(close[0].criterion == ClearanceCriterion::between);
  CHECK(close[0].figure_mm == 0.99);
  CHECK(close[0].limit_mm == 1.0);
  CHECK(close[0].at_crank_deg == 3.0);
  CHECK_FALSE(close[0].kind.has_value());
  clearances.between->least_mm = 1.0;
  CHECK(within_limits(clearances, target));
  clearances.exhaust = least(2.49, 2.0);
  CHECK_FALSE(within_limits(clearances, target));
  clearances.exhaust->least_mm = std::nan("");
  CHECK_FALSE(within_limits(clearances, target));
}

TEST_CASE("worn means at the wear limit, or worse if it is worse already", "[clearance]") {
  const Engine engine = small_engine();
  Fitted fitted;
  fitted.elongation_percent = 0.4;
  CHECK(worn(engine, fitted).elongation_percent == 1.5);
  fitted.elongation_percent = 2.0;
  CHECK(worn(engine, fitted).elongation_percent == 2.0);
}

TEST_CASE("what is asked about does not change what was measured", "[clearance]") {
  Measured measured;
  measured.clearance = {{ValveKind::inlet, 12.0, 2.9}};
  const ClearanceModel then = *ClearanceModel::make(assembled(small_engine()), measured);
  Fitted tooth_forward;
  tooth_forward.lay = 1;
  const ClearanceModel asked = *ClearanceModel::make(assembled(small_engine(), tooth_forward), measured);
  CHECK_THAT(asked.at(ValveKind::inlet, 360.0), WithinAbs(then.at(ValveKind::inlet, 360.0), 1e-12));
  CHECK(asked.least(ValveKind::inlet).least_mm < then.least(ValveKind::inlet).least_mm - 1.0);
  measured.with.elongation_percent = std::nan("");
  CHECK_FALSE(ClearanceModel::make(assembled(small_engine()), measured).ok());
}

TEST_CASE("readings stay with the engine they were taken on", "[clearance]") {
  Measured measured;
  measured.clearance = {{ValveKind::inlet, 12.0, 2.9}};
  measured.engine = std::make_shared<const Engine>(small_engine());
  Engine faced = small_engine();
  faced.block.deck_mm -= 0.5;
  const ClearanceModel then = *ClearanceModel::make(assembled(small_engine()), measured);
  const ClearanceModel lower = *ClearanceModel::make(assembled(faced), measured);
  CHECK_THAT(lower.at(ValveKind::inlet, 12.0), WithinAbs(2.4, 1e-9));
  Engine levered = small_engine();
  levered.camshafts[0].inlet->rocker_ratio = 1.6;
  const ClearanceModel nearer = *ClearanceModel::make(assembled(levered), measured);
  CHECK_THAT(nearer.at(ValveKind::inlet, 360.0), WithinAbs(then.at(ValveKind::inlet, 360.0), 1e-12));
  CHECK(nearer.at(ValveKind::inlet, 12.0) < 2.9);
}

// Brute force as above, each valve's lift from its own camshaft's angle.
TEST_CASE("each valve's clearance is that of the camshaft that moves it", "[clearance]") {
  Fitted fitted;
  fitted.cam_key_of = {{"inlet", 6.0}, {"exhaust", -1.0}};
  const Mechanism mechanism = assembled(overhead_engine(), fitted);
  const ClearanceModel model = *ClearanceModel::make(mechanism, {});
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const ValveMotion& gear = *mechanism.motion(kind);
    CHECK(mechanism.engine().camshafts[gear.camshaft_index()].name == to_word(kind));
    double least_mm = 1e9;
    for (int i = 0; i < 72000; ++i) {
      const double crank_deg = 0.01 * i;
      const double cam_rad = mechanism.drive().camshaft_rad(radians(crank_deg), gear.camshaft_index());
      const double lift_mm = gear.valve_lift_mm(gear.from_nose_rad(cam_rad, 0.0));
      least_mm = std::fmin(least_mm, 4.5 + 0.35 - lift_mm + mechanism.piston_drop_mm(1, crank_deg));
    }
    CHECK_THAT(model.least(kind).least_mm, WithinAbs(least_mm, 1e-5));
  }
  // As if its own camshaft stood so much further on: 4 crank degrees are 2 of the cam, ripple apart.
  Fitted further = fitted;
  further.cam_key_of["inlet"] += 2.0;
  CHECK_THAT(model.least(ValveKind::inlet, 4.0).least_mm,
             WithinAbs(model.mounted_on(assembled(overhead_engine(), further)).least(ValveKind::inlet).least_mm, 1e-9));
}

TEST_CASE("a drive that can take up no more is worn before its limit", "[clearance]") {
  Engine engine = overhead_engine();
  engine.loops[0].chain.wear_limit_percent = 0.5;
  CHECK(worn(engine, {}).elongation_percent == engine.loops[0].chain.wear_limit_percent);
  engine.loops[0].chain.wear_limit_percent = 5.0;
  const double last_percent = worn(engine, {}).elongation_percent;
  CHECK(last_percent > 0.1);
  CHECK(last_percent < 5.0);
  Fitted fitted;
  fitted.elongation_percent = last_percent;
  CHECK(Drive::assemble(engine, fitted).ok());
  fitted.elongation_percent += 2e-4;
  CHECK_FALSE(Drive::assemble(engine, fitted).ok());
  // What cannot be even now stays at the limit, for whoever asks to be told why.
  CHECK(worn(engine, fitted).elongation_percent == 5.0);
}

TEST_CASE("of several chains the last to be renewed sets the wear limit", "[clearance]") {
  Engine engine = jackshaft_engine();
  engine.loops[0].chain.wear_limit_percent = 0.8;
  engine.loops[1].chain.wear_limit_percent = 1.1;
  CHECK(wear_limit_percent(engine) == 1.1);
  CHECK(worn(engine, {}).elongation_percent == 1.1);
}
