#include "geometry/angle.hpp"
#include "mechanics/mechanism.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

TEST_CASE("a pose holds every valve and piston, each behind No. 1 by its place in the firing order", "[mechanism]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  const Pose pose = mechanism.pose(46.0);
  REQUIRE(pose.valves.size() == 8);
  REQUIRE(pose.pistons.size() == 4);
  for (const ValvePose& valve : pose.valves) {
    CHECK(valve.lift_mm == mechanism.valve_lift_mm(valve.valve, valve.cylinder, 46.0));
    const double delay_deg = cylinder_delay_deg(mechanism.engine().block, valve.cylinder);
    // The chain's ripple is what keeps cylinders from being exact copies.
    CHECK_THAT(valve.lift_mm, WithinAbs(mechanism.valve_lift_mm(valve.valve, 1, 46.0 - delay_deg), 0.01));
  }
  for (const PistonPose& piston : pose.pistons)
    CHECK(piston.drop_mm == mechanism.piston_drop_mm(piston.cylinder, 46.0));
  CHECK(pose.pistons[0].drop_mm == pose.pistons[3].drop_mm);
}

// The inlet valve is lifted on the way down from overlap TDC, the exhaust valve on the way up to it (four-stroke
// cycle).
TEST_CASE("inlet follows overlap TDC and exhaust comes before it", "[mechanism]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  CHECK_THAT(mechanism.valve_lift_mm(ValveKind::inlet, 1, 106.0), WithinAbs(6.9 * 1.3 - 0.3, 1e-3));
  CHECK_THAT(mechanism.valve_lift_mm(ValveKind::exhaust, 1, 610.0), WithinAbs(6.9 * 1.3 - 0.3, 1e-3));
  CHECK(mechanism.valve_lift_mm(ValveKind::inlet, 1, 360.0) == 0.0);
  CHECK(mechanism.valve_lift_mm(ValveKind::exhaust, 1, 360.0) == 0.0);
}

TEST_CASE("advance opens every valve earlier", "[mechanism]") {
  Fitted fitted;
  fitted.cam_key_deg = 2.0;
  const Mechanism card = *Mechanism::assemble(small_engine(), {});
  const Mechanism advanced = *Mechanism::assemble(small_engine(), fitted);
  for (double crank_deg = 0.0; crank_deg < 720.0; crank_deg += 9.0)
    CHECK_THAT(advanced.valve_lift_mm(ValveKind::inlet, 1, crank_deg),
               WithinAbs(card.valve_lift_mm(ValveKind::inlet, 1, crank_deg + 4.0), 0.005));
}

TEST_CASE("the engine's faults and the drive's are told together", "[mechanism]") {
  Engine engine = small_engine();
  engine.loops[0].chain.links = 50;
  engine.camshafts[0].inlet->lobe =
      LobeCard{.lift_mm = 6.9, .duration_deg = 262.0, .seat_duration_deg = 264.0, .ramp = {}, .closing_ramp = {}};
  const Result<Mechanism> mechanism = Mechanism::assemble(engine, {});
  REQUIRE_FALSE(mechanism.ok());
  CHECK(mechanism.problems().size() == 2);
}

TEST_CASE("an engine without exhaust lobes has no exhaust motion", "[mechanism]") {
  Engine engine = small_engine();
  engine.camshafts[0].exhaust.reset();
  const Mechanism mechanism = *Mechanism::assemble(engine, {});
  CHECK(mechanism.motion(ValveKind::exhaust) == nullptr);
  CHECK(mechanism.valve_lift_mm(ValveKind::exhaust, 1, 600.0) == 0.0);
  CHECK(mechanism.pose(0.0).valves.size() == 4);
}

TEST_CASE("an engine whose pistons leave no room at TDC is refused", "[mechanism]") {
  Engine engine = small_engine();
  engine.block.crown_cc = -500.0;
  const Result<Mechanism> mechanism = Mechanism::assemble(engine, {});
  REQUIRE_FALSE(mechanism.ok());
  CHECK(to_text(mechanism.problems()) == "block.chamber_cc: found -460.76 cc left at TDC, chamber, gasket, deck and "
                                         "crown together, allowed more than 0\n");
}

TEST_CASE("turned backward, every valve follows its own camshaft that hangs back", "[mechanism]") {
  const Mechanism mechanism = *Mechanism::assemble(overhead_engine(), Fitted{});
  for (const double crank_deg : {0.0, 20.0, 100.0, 640.0}) {
    const Pose pose = mechanism.pose(crank_deg, Turning::backward);
    CHECK(pose.drive.turning == Turning::backward);
    for (const ValvePose& valve : pose.valves) {
      const ValveMotion& gear = *mechanism.motion(valve.valve);
      const double cam_rad =
          mechanism.drive().camshaft_rad(radians(crank_deg), gear.camshaft_index(), Turning::backward);
      const double delay_deg = cylinder_delay_deg(mechanism.engine().block, valve.cylinder);
      CHECK(valve.lift_mm == gear.valve_lift_mm(gear.from_nose_rad(cam_rad, delay_deg)));
    }
  }
  // The inlet valve, closing, has not been let down as far as the crank went back: it stands as it would further on.
  const auto inlet_mm = [&](Turning turning) { return mechanism.pose(150.0, turning).valves.front().lift_mm; };
  CHECK(inlet_mm(Turning::backward) < inlet_mm(Turning::forward));
}

TEST_CASE("refitted, an engine moves as if assembled so", "[mechanism]") {
  Fitted fitted;
  fitted.lay = 1;
  fitted.elongation_percent = 0.8;
  const Mechanism first = *Mechanism::assemble(small_engine(), {});
  const Mechanism refitted = *first.refitted(fitted);
  const Mechanism assembled = *Mechanism::assemble(small_engine(), fitted);
  CHECK(refitted.fitted() == fitted);
  CHECK(refitted.engine_shared() == first.engine_shared());
  for (double crank_deg = 0.0; crank_deg < 720.0; crank_deg += 31.0)
    CHECK(refitted.valve_lift_mm(ValveKind::inlet, 2, crank_deg) ==
          assembled.valve_lift_mm(ValveKind::inlet, 2, crank_deg));
  fitted.elongation_percent = 60.0;
  CHECK_FALSE(first.refitted(fitted).ok());
}
