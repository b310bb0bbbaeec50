// The crank as a hand turns it.
#include "bench/crank_by_hand.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;

namespace {

// Angle of the throw at which a piston without offset is so far down, from the triangle of throw, rod and cylinder
// axis (law of cosines): rod^2 = throw^2 + height^2 - 2 throw height cos(angle).
double throw_angle_deg(double throw_mm, double rod_mm, double drop_mm) {
  const double height_mm = throw_mm + rod_mm - drop_mm;
  return degrees(
      std::acos((throw_mm * throw_mm + height_mm * height_mm - rod_mm * rod_mm) / (2 * throw_mm * height_mm)));
}

} // namespace

TEST_CASE("a piston stop holds the crank on both sides of TDC, where the triangle has it", "[lesson]") {
  const SliderCrank crank(87.0, 152.0, 0.0);
  for (const double stop_mm : {1.0, 18.0, 60.0}) {
    INFO(stop_mm);
    const double deg = throw_angle_deg(43.5, 152.0, stop_mm);
    const PistonStop stop = piston_stop(crank, stop_mm).value();
    CHECK(std::fabs(held_by(stop, 200, 700) - (360 - deg)) < 1e-9);
    CHECK(std::fabs(held_by(stop, 200, -700) - deg) < 1e-9);
    CHECK(std::fabs(held_by(stop, 920, 5000) - (1080 - deg)) < 1e-9);
    CHECK(std::fabs(held_by(stop, -200, -5000) - (-360 + deg)) < 1e-9);
    CHECK(held_by(stop, 180, 185) == 185);
    CHECK(bears_on(stop, 360 - deg));
    CHECK(bears_on(stop, 720 + deg));
    CHECK_FALSE(bears_on(stop, 360 - deg - 0.5));
    // Against the stop it stays, away from it it goes.
    CHECK(std::fabs(held_by(stop, 360 - deg, 400) - (360 - deg)) < 1e-6);
    CHECK(std::fabs(held_by(stop, 360 - deg, -400) - deg) < 1e-9);
    CHECK(held_by(stop, deg, 200) == 200);
    CHECK(std::fabs(held_by(stop, deg, -10) - deg) < 1e-6);
  }
}

TEST_CASE("with an offset pin the two sides of the stop lie unlike, at the same height", "[lesson]") {
  const SliderCrank crank(87.0, 152.0, 4.0);
  const PistonStop stop = piston_stop(crank, 18).value();
  const double before_deg = held_by(stop, 200, 700);
  const double after_deg = held_by(stop, 200, -700);
  CHECK(std::fabs(crank.drop_mm(before_deg) - 18) < 1e-9);
  CHECK(std::fabs(crank.drop_mm(after_deg) - 18) < 1e-9);
  CHECK(std::fabs(360 - before_deg - after_deg) > 0.1);
}

TEST_CASE("a stop out of reach, or already passed, holds nothing", "[lesson]") {
  const SliderCrank crank(87.0, 152.0, 0.0);
  CHECK_FALSE(piston_stop(crank, 90).has_value());
  const PistonStop stop = piston_stop(crank, 18).value();
  CHECK(goes_in(stop, 180));
  CHECK(goes_in(stop, stop.before_deg + 720));
  CHECK_FALSE(goes_in(stop, 5));
  CHECK_FALSE(goes_in(stop, 355));
  CHECK(held_by(stop, 5, 40) == 40);
  CHECK(held_by(stop, -5, -400) == -400);
}

TEST_CASE("turned back the crank owes what was lost, and pays it turning on", "[lesson]") {
  Fitted fitted;
  fitted.elongation_percent = 0.9;
  const auto mechanism = Mechanism::assemble(phasewright::testing::small_engine(), fitted);
  REQUIRE(mechanism.ok());
  const CrankByHand back = turned(*mechanism, {100, Turning::forward, 0}, -20);
  CHECK(back.crank_deg == 80);
  CHECK(back.turning == Turning::backward);
  const double owed_deg = mechanism->drive().hang_back(80).turn_forward_deg;
  CHECK(owed_deg > 0.5);
  CHECK(back.turn_forward_deg == owed_deg);
  const CrankByHand half = turned(*mechanism, back, owed_deg / 2);
  CHECK(half.turning == Turning::backward);
  CHECK(std::fabs(half.turn_forward_deg - owed_deg / 2) < 1e-9);
  const CrankByHand on = turned(*mechanism, half, owed_deg / 2 + 1);
  CHECK(on.turning == Turning::forward);
  CHECK(on.turn_forward_deg == 0);
}
