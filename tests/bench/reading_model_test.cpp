#include "bench/reading_model.hpp"

#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

LobeReading at_lift(ValveKind valve, double lift_mm, int cylinder = 1, std::optional<CheckAt> at = {}) {
  return {.valve = valve, .cylinder = cylinder, .lift_mm = lift_mm, .at = at, .opens_deg = 0, .closes_deg = 0};
}

double lift_in_pose_mm(const Mechanism& mechanism, const LobeReading& reading, double crank_deg, Turning turning) {
  for (const ValvePose& valve : mechanism.pose(crank_deg, turning).valves)
    if (valve.valve == reading.valve && valve.cylinder == reading.cylinder)
      return reading_at(mechanism.engine(), reading) == CheckAt::tappet ? valve.tappet_mm : valve.lift_mm;
  FAIL("no such valve");
  return 0.0;
}

} // namespace

TEST_CASE("a pair and its middle may run through 720", "[reading_model]") {
  const FlankPair pair{{700.0, 0.05}, {100.0, -0.05}};
  CHECK_THAT(pair.duration_deg(), WithinAbs(120.0, 1e-12));
  CHECK_THAT(pair.middle_deg(), WithinAbs(40.0, 1e-12));
  const FlankPair late{{610.0, 0.05}, {20.0, -0.05}};
  CHECK_THAT(late.middle_deg(), WithinAbs(675.0, 1e-12));
}

// The pose is another way from crank angle to lift: at the foretold angles it shows the very lift, and the slope is
// that of its differences.
TEST_CASE("where a pair is foretold the indicator shows its lift", "[reading_model]") {
  Fitted fitted;
  fitted.lay = 1;
  fitted.elongation_percent = 0.4;
  for (const Engine& engine : {small_engine(), overhead_engine()}) {
    Fitted with = fitted;
    if (engine.camshafts.size() > 1) with = Fitted{};
    const Mechanism mechanism = *Mechanism::assemble(engine, with);
    for (const Turning turning : {Turning::forward, Turning::backward})
      for (const CheckAt at : {CheckAt::tappet, CheckAt::valve})
        for (const ValveKind valve : {ValveKind::inlet, ValveKind::exhaust})
          for (const int cylinder : {1, 2, 3, 4})
            for (const double lift_mm : {0.2, 1.27, 5.0}) {
              const LobeReading reading = at_lift(valve, lift_mm, cylinder, at);
              const FlankPair pair = *foretell_pair(mechanism, reading, turning);
              for (const Flank& flank : {pair.opens, pair.closes}) {
                const auto lift_at = [&](double deg) { return lift_in_pose_mm(mechanism, reading, deg, turning); };
                CHECK_THAT(lift_at(flank.crank_deg), WithinAbs(lift_mm, 1e-8));
                const double slope = (lift_at(flank.crank_deg + 0.01) - lift_at(flank.crank_deg - 0.01)) / 0.02;
                CHECK_THAT(flank.mm_per_deg, WithinAbs(slope, 1e-6));
              }
              CHECK(pair.opens.mm_per_deg > 0.0);
              CHECK(pair.closes.mm_per_deg < 0.0);
            }
  }
}

TEST_CASE("at the check lift a pair is the card's events", "[reading_model]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  const KindEvents exhaust = *valve_events(mechanism, 3)->camshafts[0].exhaust;
  const FlankPair pair = *foretell_pair(mechanism, at_lift(ValveKind::exhaust, 1.27, 3));
  CHECK_THAT(pair.opens.crank_deg, WithinAbs(exhaust.at_check.opens_deg, 1e-9));
  CHECK_THAT(pair.closes.crank_deg, WithinAbs(exhaust.at_check.closes_deg, 1e-9));
  CHECK_THAT(pair.middle_deg(), WithinAbs(exhaust.centre_crank_deg, 1e-9));
}

// Turned back, a camshaft hangs back by the slack and passes every lift with the crank not so far on.
TEST_CASE("a pair read while turning back comes early by the slack", "[reading_model]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  const LobeReading reading = at_lift(ValveKind::inlet, 3.0);
  const FlankPair forward = *foretell_pair(mechanism, reading);
  const FlankPair backward = *foretell_pair(mechanism, reading, Turning::backward);
  const double early_deg = forward.opens.crank_deg - backward.opens.crank_deg;
  CHECK(early_deg > 0.1);
  CHECK_THAT(early_deg, WithinAbs(mechanism.drive().hang_back(backward.opens.crank_deg).crank_deg, 0.01 * early_deg));
}

// `found_deg` sets the camshaft ahead the same way, through the drive itself.
TEST_CASE("a camshaft set further ahead is foretold as one fitted so", "[reading_model]") {
  const Mechanism plain = *Mechanism::assemble(small_engine(), {});
  Fitted ahead;
  ahead.found_deg = 7.3;
  const Mechanism fitted = *Mechanism::assemble(small_engine(), ahead);
  for (const Turning turning : {Turning::forward, Turning::backward}) {
    const LobeReading reading = at_lift(ValveKind::exhaust, 3.0, 2);
    const FlankPair extra = *foretell_pair(plain, reading, turning, 7.3);
    const FlankPair found = *foretell_pair(fitted, reading, turning);
    CHECK_THAT(extra.opens.crank_deg, WithinAbs(found.opens.crank_deg, 1e-9));
    CHECK_THAT(extra.closes.crank_deg, WithinAbs(found.closes.crank_deg, 1e-9));
    CHECK_THAT(extra.closes.mm_per_deg, WithinAbs(found.closes.mm_per_deg, 1e-9));
    CHECK_THAT(foretell_pair(plain, reading, turning)->middle_deg() - extra.middle_deg(), WithinAbs(7.3, 0.1));
  }
}

TEST_CASE("what cannot be read is not foretold", "[reading_model]") {
  Engine engine = small_engine();
  const Mechanism whole = *Mechanism::assemble(engine, {});
  CHECK_FALSE(foretell_pair(whole, at_lift(ValveKind::inlet, 6.95)).has_value());
  CHECK(foretell_pair(whole, at_lift(ValveKind::inlet, 6.85)).has_value());
  CHECK(foretell_pair(whole, at_lift(ValveKind::inlet, 6.95, 1, CheckAt::valve)).has_value());
  CHECK_FALSE(foretell_pair(whole, at_lift(ValveKind::inlet, 3.0, 5)).has_value());
  CHECK_FALSE(foretell_pair(whole, at_lift(ValveKind::inlet, 3.0, 0)).has_value());
  engine.camshafts[0].exhaust.reset();
  CHECK_FALSE(foretell_pair(*Mechanism::assemble(engine, {}), at_lift(ValveKind::exhaust, 3.0)).has_value());
}

TEST_CASE("an indicator stands where the camshaft's check lift is taken unless the reading says otherwise",
          "[reading_model]") {
  Engine engine = small_engine();
  CHECK(reading_at(engine, at_lift(ValveKind::inlet, 1.0)) == CheckAt::tappet);
  CHECK(reading_at(engine, at_lift(ValveKind::inlet, 1.0, 1, CheckAt::valve)) == CheckAt::valve);
  engine.camshafts[0].check_at = CheckAt::valve;
  CHECK(reading_at(engine, at_lift(ValveKind::inlet, 1.0)) == CheckAt::valve);
  Engine twin = overhead_engine(); // exhaust first
  twin.camshafts[1].check_at = CheckAt::valve;
  CHECK(reading_at(twin, at_lift(ValveKind::exhaust, 1.0)) == CheckAt::tappet);
  CHECK(reading_at(twin, at_lift(ValveKind::inlet, 1.0)) == CheckAt::valve);
}

// Without offset the law of cosines gives the angle in closed form: with the gudgeon pin at height y over the crank,
// cos t = (r^2 + y^2 - l^2) / (2 r y).
TEST_CASE("a piston meets a stop at equal angles either side but for its pin's offset", "[reading_model]") {
  const SliderCrank straight(87.0, 152.0, 0.0);
  for (const double drop_mm : {2.0, 20.0, 60.0}) {
    const double y_mm = 43.5 + 152.0 - drop_mm;
    const double deg = degrees(std::acos((43.5 * 43.5 + y_mm * y_mm - 152.0 * 152.0) / (2.0 * 43.5 * y_mm)));
    const std::array<double, 2> stop = *foretell_stop(straight, drop_mm);
    CHECK_THAT(stop[0], WithinAbs(-deg, 1e-9));
    CHECK_THAT(stop[1], WithinAbs(deg, 1e-9));
  }
  const SliderCrank offset(87.0, 152.0, 1.5);
  for (const double drop_mm : {2.0, 20.0, 60.0}) {
    const std::array<double, 2> stop = *foretell_stop(offset, drop_mm);
    CHECK_THAT(offset.drop_mm(stop[0]), WithinAbs(drop_mm, 1e-9));
    CHECK_THAT(offset.drop_mm(stop[1]), WithinAbs(drop_mm, 1e-9));
    CHECK(stop[0] < 0.0);
    CHECK(stop[1] + stop[0] > 0.005); // offset to the side it goes down on: the way down takes longer
  }
  CHECK_FALSE(foretell_stop(straight, 87.5).has_value());
  CHECK_FALSE(foretell_stop(straight, 0.0).has_value());
  CHECK_FALSE(foretell_stop(straight, -1.0).has_value());
}
