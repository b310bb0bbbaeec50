#include "mechanics/convex_distance.hpp"
#include "mechanics/solid_sampling.hpp"
#include "mechanics/valve_pair.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <random>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr double rad_per_deg = 0.017453292519943295;

Engine pair_engine(double inclination_deg, double along_mm = 0.0) {
  Engine engine;
  engine.block.bore_mm = 90.0;
  Valve valve;
  valve.head_mm = 30.0;
  valve.margin_mm = 1.2;
  valve.closed_height_mm = 5.0;
  valve.inclination_deg = -inclination_deg;
  valve.offset_mm = {along_mm, -18.0};
  engine.inlet_valve = valve;
  valve.inclination_deg = inclination_deg;
  valve.offset_mm = {-along_mm, 18.0};
  engine.exhaust_valve = valve;
  return engine;
}

// Least distance to the other head over the outline of one, tried at random.
double sampled_between(const SampledValve& one, const SampledValve& other, std::mt19937& random) {
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  const glm::dvec3 across(one.up.z, 0.0, -one.up.x);
  // `way`: 0 to 1 over the face, to 2 up the edge, to 3 up the cone.
  const auto distance = [&](double way, double rad) {
    const double r = way < 1.0 ? way * one.radius : way < 2.0 ? one.radius : (3.0 - way) * one.radius;
    const double h = way < 1.0 ? 0.0 : way < 2.0 ? (way - 1.0) * one.margin : one.margin + (way - 2.0) * one.radius;
    return other.distance(one.face + h * one.up +
                          r * (std::cos(rad) * across + std::sin(rad) * glm::dvec3(0.0, 1.0, 0.0)));
  };
  double best = 1e300;
  for (int start = 0; start < 6; ++start) {
    double way = 1.5 + 1.5 * unit(random), rad = 3.2 * unit(random), here = distance(way, rad), step = 1.0;
    for (int missed = 0; step > 1e-8;) {
      const double other_way = std::clamp(way + step * unit(random), 0.0, 3.0);
      const double other_rad = rad + 3.0 * step * unit(random);
      if (const double mm = distance(other_way, other_rad); mm < here) {
        here = mm, way = other_way, rad = other_rad, missed = 0;
        step *= 1.5;
      } else if (++missed > 50) {
        step *= 0.7, missed = 0;
      }
    }
    best = std::min(best, here);
  }
  return best;
}

} // namespace

TEST_CASE("upright heads side by side are apart by their centres less their radii at any equal lift", "[valve_pair]") {
  const ValvePair pair = *ValvePair::make(pair_engine(0.0));
  CHECK_THAT(pair.distance_mm(0.0, 0.0), WithinAbs(6.0, 1e-9));
  CHECK_THAT(pair.distance_mm(7.0, 7.0), WithinAbs(6.0, 1e-9));
  CHECK_THAT(pair.distance_mm(1.0, 0.3), WithinAbs(6.0, 1e-9)); // their edges still overlap in height
  // Beyond that the lower one's cone leads away: from its edge's upper corner to the other's face's rim.
  CHECK_THAT(pair.distance_mm(4.0, 0.0), WithinAbs(std::hypot(6.0, 4.0 - 1.2), 1e-9));
}

TEST_CASE("leaning heads draw nearer as they open, and meet", "[valve_pair]") {
  const double lean_deg = 25.0;
  const ValvePair pair = *ValvePair::make(pair_engine(lean_deg));
  // Mirror images: the nearer edge of each stands off the middle by half their distance. Of the lower edge's corner and
  // the upper one's the lower leads, for the stems lean outward.
  const double sine = std::sin(lean_deg * rad_per_deg);
  const double cosine = std::cos(lean_deg * rad_per_deg);
  double last_mm = 1e9;
  for (const double lift_mm : {0.0, 2.0, 4.0, 6.0}) {
    const double centre_mm = 18.0 - lift_mm * sine;
    const double mm = pair.distance_mm(lift_mm, lift_mm);
    CHECK_THAT(mm, WithinAbs(2.0 * (centre_mm - 15.0 * cosine), 1e-9));
    CHECK(mm < last_mm);
    last_mm = mm;
  }
  CHECK(pair.distance_mm(12.0, 12.0) == 0.0);
  CHECK(pair.at_least_mm(6.0, 6.0) <= last_mm);
}

TEST_CASE("an engine with one valve has no pair", "[valve_pair]") {
  Engine engine = pair_engine(0.0);
  engine.exhaust_valve.reset();
  CHECK_FALSE(ValvePair::make(engine).has_value());
}

TEST_CASE("no two points of the heads tried at random are nearer, and some come as near", "[valve_pair]") {
  std::mt19937 random(3);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  for (int number = 0; number < 40; ++number) {
    Engine engine = pair_engine(0.0);
    for (Valve* valve : {&*engine.inlet_valve, &*engine.exhaust_valve}) {
      valve->head_mm = between(20.0, 34.0);
      valve->margin_mm = between(0.5, 3.0);
      valve->inclination_deg = between(-35.0, 35.0);
      valve->offset_mm.x = number % 3 == 0 ? 0.0 : between(-5.0, 5.0);
      valve->closed_height_mm = between(2.0, 8.0);
    }
    const double inlet_mm = between(0.0, 10.0);
    const double exhaust_mm = between(0.0, 10.0);
    const double found_mm = sampled_between(SampledValve(*engine.inlet_valve, 0.0, inlet_mm, 0.0),
                                            SampledValve(*engine.exhaust_valve, 0.0, exhaust_mm, 0.0), random);
    INFO("pair " << number);
    const ValvePair pair = *ValvePair::make(engine);
    CHECK_THAT(pair.distance_mm(inlet_mm, exhaust_mm), WithinAbs(found_mm, 2e-6));
    CHECK(pair.at_least_mm(inlet_mm, exhaust_mm) <= found_mm + 1e-9);
  }
}
