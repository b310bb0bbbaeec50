#include "mechanics/valve_pair.hpp"
#include "reference/drives.hpp"
#include "reference/gaps_fcl.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Valve random_valve(std::mt19937& random, double side) {
  Valve valve;
  valve.head_mm = between(random, 22.0, 44.0);
  valve.margin_mm = between(random, 0.5, 3.0);
  valve.inclination_deg = random() % 3 == 0 ? 0.0 : side * between(random, -12.0, 32.0);
  valve.offset_mm = {between(random, -12.0, 12.0), side * between(random, 8.0, 24.0)};
  valve.closed_height_mm = between(random, 1.0, 9.0);
  return valve;
}

} // namespace

TEST_CASE("two valves come as near to each other as FCL says", "[pair]") {
  std::mt19937 random(82);
  int apart = 0, met = 0, near = 0;
  double worst_mm = 0.0;
  for (int pair = 0; pair < 50; ++pair) {
    Engine engine = small_engine();
    engine.inlet_valve = random_valve(random, 1.0);
    engine.exhaust_valve = random_valve(random, -1.0);
    const std::optional<ValvePair> made = ValvePair::make(engine);
    REQUIRE(made.has_value());
    const Mesh inlet(head_surface(*engine.inlet_valve)), exhaust(head_surface(*engine.exhaust_valve));
    for (int i = 0; i < 12; ++i) {
      const double inlet_mm = between(random, 0.0, 14.0), exhaust_mm = between(random, 0.0, 14.0);
      const double fcl_mm = inlet.distance_mm(face_middle_mm(*engine.inlet_valve, inlet_mm), exhaust,
                                              face_middle_mm(*engine.exhaust_valve, exhaust_mm));
      INFO("pair " << pair << " lifts " << inlet_mm << ", " << exhaust_mm);
      const double said_mm = made->distance_mm(inlet_mm, exhaust_mm);
      CHECK_THAT(said_mm, WithinAbs(fcl_mm, 0.005));
      worst_mm = std::fmax(worst_mm, std::fabs(said_mm - fcl_mm));
      ++(fcl_mm > 0.0 ? apart : met);
      near += fcl_mm > 0.0 && fcl_mm < 2.0 ? 1 : 0;
    }
  }
  CAPTURE(apart, met, near, worst_mm);
  CHECK(apart >= 250);
  CHECK(met >= 50);
  CHECK(near >= 40);
}

TEST_CASE("an engine with one valve has no pair", "[pair]") {
  Engine engine = small_engine();
  engine.exhaust_valve.reset();
  CHECK_FALSE(ValvePair::make(engine).has_value());
}
