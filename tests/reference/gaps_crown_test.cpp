#include "mechanics/crown_gap.hpp"
#include "reference/drives.hpp"
#include "reference/gaps_fcl.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <sstream>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr std::array kinds{ValveKind::inlet, ValveKind::exhaust};

const Valve& valve_of(const Engine& engine, ValveKind kind) {
  return kind == ValveKind::inlet ? *engine.inlet_valve : *engine.exhaust_valve;
}

Valve random_valve(std::mt19937& random, const Block& block, bool upright, double side, bool pocket) {
  const double bore_mm = block.bore_mm;
  Valve valve;
  valve.head_mm = between(random, 0.34, 0.46) * bore_mm;
  valve.margin_mm = between(random, 0.8, 2.5);
  valve.inclination_deg = upright ? 0.0 : between(random, -30.0, 30.0);
  const glm::dvec2 way = random() % 2 == 0 ? glm::dvec2{0.0, 1.0} : glm::dvec2{1.0, 0.0};
  valve.offset_mm = side * between(random, 0.2, 0.26) * bore_mm * way;
  valve.offset_mm += glm::dvec2{between(random, -3.0, 3.0), between(random, -3.0, 3.0)};
  valve.closed_height_mm = between(random, 1.0, 9.0);
  if (!pocket) return valve;
  valve.pocket.radius_mm = valve.head_mm / 2.0 + between(random, 0.8, 2.5);
  valve.pocket.depth_mm =
      block.crown.shape == CrownShape::domed ? between(random, -7.0, 3.0) : between(random, 0.5, 6.0);
  return valve;
}

// Crowns in turn flat, dished and domed; a third of the valves upright; two thirds with pockets.
Engine random_layout(std::mt19937& random, int number) {
  Engine engine = small_engine();
  Block& block = engine.block;
  block.bore_mm = between(random, 60.0, 110.0);
  block.deck_mm = between(random, -0.5, 1.0);
  block.crown = {};
  if (number % 3 != 0) {
    block.crown.shape = number % 3 == 1 ? CrownShape::dished : CrownShape::domed;
    block.crown.height_mm = number % 3 == 1 ? between(random, 1.0, 8.0) : between(random, 2.0, 12.0);
    block.crown.radius_mm = between(random, 0.3, 0.5) * block.bore_mm;
  }
  const bool upright = number % 3 == int(random() % 3);
  engine.inlet_valve = random_valve(random, block, upright, 1.0, random() % 3 != 0);
  engine.exhaust_valve = random_valve(random, block, upright, -1.0, random() % 3 != 0);
  return engine;
}

std::string described(const Engine& engine) {
  std::ostringstream text;
  const Block& block = engine.block;
  text << "bore " << block.bore_mm << " deck " << block.deck_mm << " crown " << int(block.crown.shape) << " height "
       << block.crown.height_mm << " radius " << block.crown.radius_mm;
  for (const ValveKind kind : kinds) {
    const Valve& valve = valve_of(engine, kind);
    text << "\n"
         << to_word(kind) << " head " << valve.head_mm << " margin " << valve.margin_mm << " leans "
         << valve.inclination_deg << " at " << valve.offset_mm.x << ", " << valve.offset_mm.y << " closed "
         << valve.closed_height_mm << " pocket " << valve.pocket.depth_mm << " deep, " << valve.pocket.radius_mm;
  }
  return text.str();
}

// One valve over its piston by FCL.
class Judge {
public:
  Judge(const Engine& engine, const PistonSolid& solid, const Mesh& piston, ValveKind kind)
      : engine_(engine), valve_(valve_of(engine, kind)), solid_(solid), piston_(piston), head_(head_surface(valve_)) {}

  // 0 as well where the head is wholly buried.
  [[nodiscard]] double distance_mm(double lift_mm, double drop_mm) const {
    const glm::dvec3 face = over_crown(lift_mm, drop_mm);
    if (solid_.outside_mm(face) < 0.0) return 0.0;
    return head_.distance_mm(face, piston_, {});
  }

  // Middle of the face from the middle of the crown's flat.
  [[nodiscard]] glm::dvec3 over_crown(double lift_mm, double drop_mm) const {
    return face_middle_mm(valve_, lift_mm) + glm::dvec3{0.0, 0.0, engine_.block.deck_mm + drop_mm};
  }

  [[nodiscard]] double lowest_mm(double lift_mm, double drop_mm) const {
    return over_crown(lift_mm, drop_mm).z - valve_.head_mm / 2.0 * std::fabs(stem_way(valve_).y);
  }

private:
  const Engine& engine_;
  const Valve& valve_;
  const PistonSolid& solid_;
  const Mesh& piston_;
  Mesh head_;
};

struct Spot {
  double lift_mm = 0;
  double drop_mm = 0;
};

struct Coverage {
  int layouts_in_pocket = 0, layouts_near_dome = 0, states = 0, in_pocket = 0, buried = 0, leaning = 0,
      raised_floors = 0;
  double worst_mm = 0, worst_touch_mm = 0;
};

// What the program says of one place, against FCL, whose distance it returns.
double compare(const CrownGap& gap, const Judge& judge, Spot at, Coverage& coverage) {
  INFO("lift " << at.lift_mm << " drop " << at.drop_mm);
  const double fcl_mm = judge.distance_mm(at.lift_mm, at.drop_mm);
  const double said_mm = gap.distance_mm(at.lift_mm, at.drop_mm);
  CHECK_THAT(said_mm, WithinAbs(fcl_mm, 0.005));
  coverage.worst_mm = std::fmax(coverage.worst_mm, std::fabs(said_mm - fcl_mm));
  const double axial_mm = gap.axial_mm(at.lift_mm, at.drop_mm);
  CAPTURE(fcl_mm, said_mm, axial_mm);
  const double touch_mm = judge.distance_mm(at.lift_mm + axial_mm, at.drop_mm);
  CHECK(touch_mm < 0.005);
  coverage.worst_touch_mm = std::fmax(coverage.worst_touch_mm, touch_mm);
  CHECK(judge.distance_mm(at.lift_mm + axial_mm - 0.02, at.drop_mm) > 0.0);
  // Nothing is in the way before; pushed on, something is.
  if (axial_mm > 0.02) CHECK(judge.distance_mm(at.lift_mm + 0.6 * axial_mm, at.drop_mm) > 0.0);
  const double pushed_mm = at.lift_mm + axial_mm + 0.3;
  CHECK(judge.distance_mm(pushed_mm, at.drop_mm) == 0.0);
  CHECK(gap.distance_mm(pushed_mm, at.drop_mm) == 0.0);
  CHECK_THAT(gap.axial_mm(pushed_mm, at.drop_mm), WithinAbs(-0.3, 1e-6));
  ++coverage.states;
  return fcl_mm;
}

// A place where the head is anywhere over the crown, up to 8 mm from it.
Spot spot_above(std::mt19937& random, const Judge& judge) {
  for (;;) {
    const Spot at{between(random, 0.0, 16.0), between(random, 0.0, 16.0)};
    const double mm = judge.distance_mm(at.lift_mm, at.drop_mm);
    if (mm > 0.05 && mm < 8.0) return at;
  }
}

// A place with the head just over its pocket's floor, where the pocket still holds it sideways; it may stick out of a
// shallow one.
Spot spot_in_pocket(std::mt19937& random, const Judge& judge, const Valve& valve, const PistonSolid::Pocket& pocket) {
  const double aside_mm = pocket.radius_mm - valve.head_mm / 2.0;
  const double lean = std::fabs(pocket.way.y);
  const double drop_mm = between(random, 0.0, std::fmin(8.0, 0.9 * aside_mm / std::fmax(lean, 1e-6)));
  const glm::dvec3 from_floor = judge.over_crown(0.0, drop_mm) - pocket.floor;
  const double height_mm = from_floor.x * pocket.way.x + from_floor.y * pocket.way.y + from_floor.z * pocket.way.z;
  return {height_mm - between(random, 0.1, 0.4 * std::fmax(1.0, valve.pocket.depth_mm)), drop_mm};
}

} // namespace

// Both solids tessellated from the words of crown_gap.hpp (gaps_solids.cpp), chords off by less than 0.002 mm.
TEST_CASE("a valve comes as near to its piston as FCL says", "[crown]") {
  std::mt19937 random(80);
  Coverage all;
  for (int number = 0; number < 50; ++number) {
    const Engine engine = random_layout(random, number);
    INFO("layout " << number << ": " << described(engine));
    const PistonSolid solid(engine);
    const Mesh piston(solid.surface());
    bool in_pocket = false, near_dome = false;
    std::size_t pocket = 0;
    for (const ValveKind kind : kinds) {
      INFO(to_word(kind));
      const Valve& valve = valve_of(engine, kind);
      const Result<CrownGap> gap = CrownGap::make(engine, kind);
      INFO((gap ? std::string() : to_text(gap.problems())));
      REQUIRE(gap.ok());
      const Judge judge(engine, solid, piston, kind);
      all.leaning += valve.inclination_deg != 0.0 ? 1 : 0;
      std::vector<Spot> spots{spot_above(random, judge), spot_above(random, judge)};
      if (valve.pocket.radius_mm > 0.0) {
        for (int i = 0; i < 2; ++i) {
          const Spot at = spot_in_pocket(random, judge, valve, solid.pockets()[pocket]);
          if (!(judge.distance_mm(at.lift_mm, at.drop_mm) > 0.02)) continue;
          spots.push_back(at);
          const double share = solid.share_in_pocket(valve, pocket, judge.over_crown(at.lift_mm, at.drop_mm));
          in_pocket = in_pocket || share == 1.0;
          all.in_pocket += share == 1.0 ? 1 : 0;
          // A floor above the flat is a step in the dome: its outer side lies open.
          all.raised_floors += share > 0.2 && valve.pocket.depth_mm < 0.0 ? 1 : 0;
        }
        ++pocket;
      }
      for (const Spot at : spots) {
        const double mm = compare(*gap, judge, at, all);
        // Nearer to something than to the flat: on a domed crown that is the dome, or what a pocket left of it.
        if (engine.block.crown.shape == CrownShape::domed && mm < 3.0 &&
            judge.lowest_mm(at.lift_mm, at.drop_mm) > mm + 0.05)
          near_dome = true;
      }
    }
    all.layouts_in_pocket += in_pocket ? 1 : 0;
    all.layouts_near_dome += near_dome ? 1 : 0;
  }
  CAPTURE(all.states, all.in_pocket, all.raised_floors, all.leaning, all.worst_mm, all.worst_touch_mm);
  CHECK(all.layouts_in_pocket >= 15);
  CHECK(all.layouts_near_dome >= 10);
  CHECK(all.raised_floors >= 3);
  CHECK(all.leaning >= 30);
}

// By hand: the head in its own pocket is off its middle by what the lean makes of the drop.
TEST_CASE("sideways a head has what its pocket leaves, less what the lean makes of the drop", "[crown]") {
  std::mt19937 random(81);
  int upright = 0, leaning = 0;
  for (int i = 0; i < 80; ++i) {
    Engine engine = small_engine();
    engine.block.bore_mm = between(random, 80.0, 110.0);
    engine.block.crown = {};
    engine.inlet_valve = random_valve(random, engine.block, i % 2 == 0, 0.6, true);
    Valve& valve = *engine.inlet_valve;
    valve.pocket.depth_mm = between(random, 1.0, 6.0) + valve.head_mm * std::fabs(stem_way(valve).y);
    engine.exhaust_valve.reset();
    const PistonSolid solid(engine);
    const double aside_mm = valve.pocket.radius_mm - valve.head_mm / 2.0;
    const glm::dvec3 way = stem_way(valve);
    const double lean = std::fabs(way.y);
    const double drop_mm = between(random, 0.0, 0.9) * aside_mm / std::fmax(lean, 0.1);
    // A fifth of a millimetre over the floor, which goes down with the piston.
    const double lift_mm =
        (valve.closed_height_mm + engine.block.deck_mm) / way.z + drop_mm * way.z + valve.pocket.depth_mm - 0.2;
    const glm::dvec3 face = face_middle_mm(valve, lift_mm) + glm::dvec3{0.0, 0.0, engine.block.deck_mm + drop_mm};
    if (solid.share_in_pocket(valve, 0, face) < 1.0) continue; // out through the piston's side
    ++(lean > 0.0 ? leaning : upright);
    INFO(described(engine) << "\nlift " << lift_mm << " drop " << drop_mm);
    const CrownGap gap = *CrownGap::make(engine, ValveKind::inlet);
    const std::optional<double> radial_mm = gap.radial_mm(lift_mm, drop_mm);
    REQUIRE(radial_mm.has_value());
    CHECK_THAT(*radial_mm, WithinAbs(aside_mm - drop_mm * lean, 1e-6));
    CHECK_FALSE(gap.radial_mm(0.0, 60.0).has_value());
    // Upright, the edge leaves the pocket with the face at the crown.
    if (lean == 0.0) {
      const double at_crown_mm = valve.closed_height_mm + engine.block.deck_mm + drop_mm;
      CHECK(gap.radial_mm(at_crown_mm + 0.01, drop_mm).has_value());
      CHECK_FALSE(gap.radial_mm(at_crown_mm - 0.01, drop_mm).has_value());
    }
    valve.pocket = {};
    CHECK_FALSE(CrownGap::make(engine, ValveKind::inlet)->radial_mm(lift_mm, drop_mm).has_value());
  }
  CHECK(upright >= 30);
  CHECK(leaning >= 20);
}
