#include "bench/curves.hpp"
#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

Engine rocker_engine() {
  Engine engine = small_engine();
  RockerArms arms;
  arms.push_arm_mm = 22.0;
  arms.valve_arm_mm = 30.0;
  arms.push_arm_deg = -8.0;
  arms.valve_arm_deg = -14.0;
  engine.camshafts[0].inlet->rocker = arms;
  return engine;
}

} // namespace

// Second method: differences of the derivative before, over a thousandth of a radian.
TEST_CASE("each derivative of a motion is the rate of the one before", "[curves]") {
  for (const Engine& engine : {small_engine(), rocker_engine()}) {
    const Mechanism mechanism = *Mechanism::assemble(engine, {});
    const ValveMotion& inlet = *mechanism.motion(ValveKind::inlet);
    const double aside_rad = 1e-3;
    int open = 0;
    for (double rad = -1.3; rad <= 1.3; rad += 0.05) {
      for (MotionState (*const motion)(const ValveMotion&, double) : {&tappet_motion, &valve_motion}) {
        const MotionState before = (*motion)(inlet, rad - aside_rad);
        const MotionState at = (*motion)(inlet, rad);
        const MotionState after = (*motion)(inlet, rad + aside_rad);
        if (!(before.lift_mm > 0.0) || !(after.lift_mm > 0.0)) continue; // the valve leaves its seat with a jerk
        ++open;
        const auto rate = [&](double MotionState::*of) { return (after.*of - before.*of) / (2.0 * aside_rad); };
        CHECK_THAT(rate(&MotionState::lift_mm), WithinAbs(at.first, 1e-3));
        CHECK_THAT(rate(&MotionState::first), WithinAbs(at.second, 1e-3));
        CHECK_THAT(rate(&MotionState::second), WithinAbs(at.third, 1e-2));
      }
    }
    CHECK(open > 80);
    const MotionState shut = valve_motion(inlet, pi);
    CHECK((shut.lift_mm == 0.0 && shut.first == 0.0 && shut.second == 0.0 && shut.third == 0.0));
  }
}

TEST_CASE("real arms give the valve another jerk than their ratio alone", "[curves]") {
  const Mechanism mechanism = *Mechanism::assemble(rocker_engine(), {});
  const ValveMotion& inlet = *mechanism.motion(ValveKind::inlet);
  const double rad = -0.6;
  const MotionState tappet = tappet_motion(inlet, rad);
  const double ratio = inlet.linkage().at(tappet.lift_mm).ratio;
  CHECK(std::fabs(valve_motion(inlet, rad).third - ratio * tappet.third) > 0.1);
}

TEST_CASE("rows run from end to end, each as wide as its heading", "[curves]") {
  Engine engine = small_engine();
  engine.camshafts[0].exhaust.reset();
  engine.exhaust_valve.reset();
  const Mechanism mechanism = *Mechanism::assemble(engine, {});
  const ClearanceModel clearances = *ClearanceModel::make(mechanism, {});
  for (const CurveTable& table : {cycle_curves(mechanism, &clearances, 7.0), cycle_curves(mechanism, nullptr, 0.3),
                                  phase_curves(mechanism, clearances, 3.0), lobe_curves(mechanism, 11.0)}) {
    for (const auto& row : table.rows) CHECK(row.size() == table.columns.size());
    for (std::size_t i = 1; i < table.rows.size(); ++i) CHECK(table.rows[i][0] > table.rows[i - 1][0]);
    for (const std::string& column : table.columns) CHECK(column.find("exhaust") == std::string::npos);
  }
  CHECK(cycle_curves(mechanism, nullptr, 7.0).rows.back()[0] == 720.0);
  CHECK(cycle_curves(mechanism, nullptr, 0.3).rows.size() == 2401);
  CHECK(phase_curves(mechanism, clearances, 3.0).rows.back()[0] == 20.0);
  CHECK(lobe_curves(mechanism, 11.0).rows.back()[0] == 180.0);
}
