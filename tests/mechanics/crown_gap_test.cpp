#include "mechanics/crown_gap.hpp"
#include "mechanics/crown_shape.hpp"
#include "mechanics/solid_sampling.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <random>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr double rad_per_deg = 0.017453292519943295;

// One leaning inlet valve over a flat piston.
Engine leaning_engine(double inclination_deg) {
  Engine engine;
  engine.block.bore_mm = 80.0;
  engine.block.deck_mm = 0.4;
  Valve valve;
  valve.head_mm = 32.0;
  valve.inclination_deg = inclination_deg;
  valve.offset_mm = {2.0, -16.0};
  valve.closed_height_mm = 6.0;
  engine.inlet_valve = valve;
  return engine;
}

double between(std::mt19937& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

// Invented, every shape of crown, upright or leaning, with pockets or without in turn.
Engine random_engine(int number, std::mt19937& random) {
  Engine engine;
  engine.block.bore_mm = between(random, 70.0, 110.0);
  engine.block.deck_mm = between(random, -0.5, 1.0);
  const int shape = number % 3;
  engine.block.crown = {shape == 0   ? CrownShape::flat
                        : shape == 1 ? CrownShape::dished
                                     : CrownShape::domed,
                        between(random, 1.0, 8.0), between(random, 0.15, 0.47) * engine.block.bore_mm};
  const auto valve = [&](double side) {
    Valve made;
    made.head_mm = between(random, 0.25, 0.45) * engine.block.bore_mm;
    made.margin_mm = between(random, 0.5, 3.0);
    if (number / 3 % 2 == 1) made.inclination_deg = between(random, -30.0, 30.0);
    made.offset_mm = {between(random, -5.0, 5.0), side * between(random, 10.0, 20.0)};
    made.closed_height_mm = between(random, 1.0, 8.0);
    if (number / 6 % 2 == 1) made.pocket = {between(random, 0.5, 5.0), made.head_mm / 2.0 + between(random, 0.5, 3.0)};
    return made;
  };
  engine.inlet_valve = valve(-1.0);
  engine.exhaust_valve = valve(1.0);
  return engine;
}

} // namespace

TEST_CASE("an upright valve over a flat crown is as far along its axis as in any direction", "[crown_gap]") {
  const Engine engine = leaning_engine(0.0);
  const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
  for (const double lift_mm : {0.0, 3.3, 6.4, 9.0})
    for (const double drop_mm : {0.0, 0.7, 20.0}) {
      const double mm = 6.0 + 0.4 - lift_mm + drop_mm;
      CHECK_THAT(gap.axial_mm(lift_mm, drop_mm), WithinAbs(mm, 1e-12));
      CHECK_THAT(gap.distance_mm(lift_mm, drop_mm), WithinAbs(std::fmax(0.0, mm), 1e-12));
    }
  CHECK(gap.axial_is_all());
  CHECK_FALSE(gap.radial_mm(3.0, 0.0).has_value());
}

// The rim's lowest point leads: it is a sin i below the face's middle, and the way to the flat is longer by 1 / cos i.
TEST_CASE("of a leaning valve over a flat crown the rim's lowest point leads", "[crown_gap]") {
  for (const double inclination_deg : {-20.0, 5.0, 12.0, 30.0}) {
    const CrownGap gap = *CrownGap::make(leaning_engine(inclination_deg), ValveKind::inlet);
    const double sine = std::fabs(std::sin(inclination_deg * rad_per_deg));
    const double cosine = std::cos(inclination_deg * rad_per_deg);
    for (const double lift_mm : {0.0, 2.0, 4.0})
      for (const double drop_mm : {0.0, 1.5, 9.0}) {
        const double height_mm = 6.4 + drop_mm - lift_mm * cosine - 16.0 * sine;
        CHECK_THAT(gap.axial_mm(lift_mm, drop_mm), WithinAbs(height_mm / cosine, 1e-9));
        CHECK_THAT(gap.distance_mm(lift_mm, drop_mm), WithinAbs(std::fmax(0.0, height_mm), 1e-9));
      }
  }
}

// Over its floor: g0 - lift + drop cos i. As the piston drops by d, the pocket moves d sin i sideways under the head.
TEST_CASE("a head in its pocket stands over the floor and nears the wall as the piston drops", "[crown_gap]") {
  for (const double inclination_deg : {0.0, 10.0, -18.0}) {
    Engine engine = leaning_engine(inclination_deg);
    engine.inlet_valve->pocket = {7.0, 17.5};
    const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
    const double cosine = std::cos(inclination_deg * rad_per_deg);
    const double closed_mm = 6.4 / cosine + 7.0;
    for (const double lift_mm : {0.0, 4.0, 9.0})
      for (const double drop_mm : {0.0, 1.0, 2.5})
        CHECK_THAT(gap.axial_mm(lift_mm, drop_mm), WithinAbs(closed_mm - lift_mm + drop_mm * cosine, 1e-9));
    // Just over the floor there is wall all round.
    for (const double drop_mm : {0.0, 1.0, 2.5}) {
      const double deep_mm = closed_mm + drop_mm * cosine - 0.5;
      const std::optional<double> wall_mm = gap.radial_mm(deep_mm, drop_mm);
      REQUIRE(wall_mm.has_value());
      const double aside_mm = drop_mm * std::fabs(std::sin(inclination_deg * rad_per_deg));
      CHECK_THAT(*wall_mm, WithinAbs(1.5 - aside_mm, 1e-9));
      const double floor_mm = gap.axial_mm(deep_mm, drop_mm);
      CHECK_THAT(gap.distance_mm(deep_mm, drop_mm), WithinAbs(std::fmin(1.5 - aside_mm, floor_mm), 1e-9));
    }
  }
}

TEST_CASE("a head that no longer fits into its pocket sideways meets the crown's edge", "[crown_gap]") {
  Engine engine = leaning_engine(20.0);
  engine.inlet_valve->pocket = {7.0, 16.5};
  const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
  const double fits_mm = 0.5 / std::sin(20.0 * rad_per_deg);
  CHECK(gap.closed_mm(fits_mm + 1e-6) < gap.closed_mm(fits_mm - 1e-6) - 0.9);
  CHECK_FALSE(gap.axial_is_all());
}

TEST_CASE("an upright valve over a dish stands over its floor only if all of its face is inside", "[crown_gap]") {
  Engine engine = leaning_engine(0.0);
  engine.block.crown = {CrownShape::dished, 3.0, 33.0}; // 16 + 16.1 from the axis to the rim
  CHECK_THAT(CrownGap::make(engine, ValveKind::inlet)->closed_mm(1.0), WithinAbs(6.4 + 3.0 + 1.0, 1e-12));
  engine.block.crown.radius_mm = 32.0;
  CHECK_THAT(CrownGap::make(engine, ValveKind::inlet)->closed_mm(1.0), WithinAbs(6.4 + 1.0, 1e-12));
}

TEST_CASE("over a dome's top an upright valve is nearer by its height", "[crown_gap]") {
  Engine engine = leaning_engine(0.0);
  engine.block.crown = {CrownShape::domed, 4.0, 35.0};
  engine.inlet_valve->offset_mm = {0.0, -10.0}; // the top under its face
  const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
  CHECK_THAT(gap.axial_mm(1.0, 0.5), WithinAbs(6.4 - 4.0 - 1.0 + 0.5, 1e-9));
  CHECK_THAT(gap.distance_mm(1.0, 0.5), WithinAbs(6.4 - 4.0 - 1.0 + 0.5, 1e-9));
}

TEST_CASE("a pocket no wider than its head is refused", "[crown_gap]") {
  Engine engine = leaning_engine(0.0);
  engine.inlet_valve->pocket = {1.0, 16.0};
  const Result<CrownGap> gap = CrownGap::make(engine, ValveKind::inlet);
  REQUIRE_FALSE(gap.ok());
  CHECK(to_text(gap.problems()) ==
        "valve.inlet.pocket.radius_mm: found 16 mm, allowed more than 16 mm; the head would not enter its pocket\n");
}

TEST_CASE("points tried at random find no crown nearer, and come as near", "[crown_gap]") {
  std::mt19937 random(7);
  for (int number = 0; number < 24; ++number) {
    const Engine engine = random_engine(number, random);
    const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
    const double lift_mm = between(random, 0.0, 10.0);
    const double drop_mm = between(random, 0.0, 10.0);
    const SampledValve head(*engine.inlet_valve, engine.block.deck_mm, lift_mm, drop_mm);
    INFO("engine " << number << ", lift " << lift_mm << ", drop " << drop_mm);
    const double axial_mm = sampled_axial(engine, head, random, 300);
    CHECK_THAT(gap.axial_mm(lift_mm, drop_mm), WithinAbs(axial_mm, 1e-5));
    const double distance_mm = sampled_distance(engine, head, random, 1500);
    CHECK(gap.distance_mm(lift_mm, drop_mm) <= distance_mm + 1e-6);
    CHECK(gap.distance_mm(lift_mm, drop_mm) >= distance_mm - 0.1); // random steps come slowly along an edge
  }
}

TEST_CASE("where a formula gives the axial gap, looking over all the crown gives the same", "[crown_gap]") {
  std::mt19937 random(11);
  int formulas = 0;
  for (int number = 0; number < 300; ++number) {
    const Engine engine = random_engine(number, random);
    const CrownGap::Shape shape(engine, number % 2 == 0 ? ValveKind::inlet : ValveKind::exhaust);
    const ValveSolid head = shape.shut(between(random, 0.0, 12.0));
    const std::optional<double> by_formula_mm = shape.closed_by_formula_mm(head);
    if (!by_formula_mm) continue;
    ++formulas;
    INFO("engine " << number);
    CHECK_THAT(shape.closed_by_search_mm(head), WithinAbs(*by_formula_mm, 1e-6));
  }
  CHECK(formulas > 200);
}

TEST_CASE("the bounds of a gap are bounds", "[crown_gap]") {
  std::mt19937 random(13);
  for (int number = 0; number < 200; ++number) {
    const Engine engine = random_engine(number, random);
    const CrownGap gap = *CrownGap::make(engine, ValveKind::exhaust);
    const double drop_mm = between(random, 0.0, 12.0);
    const double lift_mm = between(random, 0.0, 12.0);
    CHECK(gap.closed_at_least_mm(drop_mm) <= gap.closed_mm(drop_mm) + 1e-9);
    CHECK(gap.distance_mm(lift_mm, drop_mm) <= std::fmax(0.0, gap.axial_mm(lift_mm, drop_mm)) + 1e-9);
    if (const std::optional<double> wall_mm = gap.radial_mm(lift_mm, drop_mm))
      CHECK(gap.radial_at_least_mm(drop_mm) <= *wall_mm + 1e-9);
    if (gap.axial_is_all())
      CHECK_THAT(gap.distance_mm(lift_mm, drop_mm), WithinAbs(std::fmax(0.0, gap.axial_mm(lift_mm, drop_mm)), 1e-12));
  }
}

// A pocket shallower than a dish that reaches past the dish's wall leaves a thin rim either side of it, whose ends are
// nearest to the head.
TEST_CASE("of a thin rim between dish and bore the end beside a pocket is found", "[crown_gap]") {
  std::mt19937 random(5);
  for (int number = 0; number < 40; ++number) {
    Engine engine;
    engine.block.bore_mm = 80.0;
    engine.block.deck_mm = 0.2;
    engine.block.crown = {CrownShape::dished, between(random, 2.0, 6.0), between(random, 38.0, 39.9)};
    Valve valve;
    valve.head_mm = between(random, 38.0, 46.0);
    valve.inclination_deg = number % 3 == 0 ? between(random, -15.0, 15.0) : 0.0;
    valve.offset_mm = {between(random, -4.0, 4.0), between(random, 20.0, 26.0)};
    valve.closed_height_mm = between(random, 2.0, 6.0);
    valve.pocket = {between(random, 0.5, 1.5), valve.head_mm / 2.0 + between(random, 0.5, 2.0)};
    engine.inlet_valve = valve;
    const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
    const double lift_mm = between(random, 0.0, 6.0);
    const double drop_mm = between(random, 0.0, 6.0);
    INFO("engine " << number << ", lift " << lift_mm << ", drop " << drop_mm);
    const SampledValve head(valve, engine.block.deck_mm, lift_mm, drop_mm);
    CHECK(gap.distance_mm(lift_mm, drop_mm) <= sampled_distance(engine, head, random, 1500) + 1e-6);
  }
}
