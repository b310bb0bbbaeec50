// That lobes, followers, levers and valves touch as drawn, whatever moves what.
#include "geometry/angle.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include "engines.hpp"
#include "parts_of.hpp"

#include <glm/geometric.hpp>
#include <glm/matrix.hpp>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using testing::each_vertex;
using testing::of_part;
using testing::origin;

namespace {

glm::dvec2 flat(glm::dvec3 point) {
  return {point.x, point.y};
}

// Nearest any vertex of an instance comes to a line along the crank.
double nearest_mm(const SceneModel& model, const Instance& instance, glm::dvec3 to) {
  double nearest = 1e9;
  each_vertex(model, instance, [&](glm::dvec3 at) { nearest = std::min(nearest, glm::length(flat(at) - flat(to))); });
  return nearest;
}

double reach_mm(const SceneModel& model, const Instance& instance, glm::dvec3 way) {
  double furthest = -1e9;
  each_vertex(model, instance, [&](glm::dvec3 at) { furthest = std::max(furthest, glm::dot(at, way)); });
  return furthest;
}

glm::dvec3 moved_with(const Instance& now, const Instance& before, glm::dvec3 point) {
  return glm::dvec3(now.placement * (glm::inverse(before.placement) * glm::dvec4(point, 1.0)));
}

// Where two circles cross, on the left of the way from the first middle to the second or on its right.
glm::dvec2 crossing(glm::dvec2 a, double a_mm, glm::dvec2 b, double b_mm, bool left) {
  const double apart_mm = glm::length(b - a);
  const double along_mm = (a_mm * a_mm - b_mm * b_mm + apart_mm * apart_mm) / (2.0 * apart_mm);
  const glm::dvec2 way = (b - a) / apart_mm;
  const double aside_mm = std::sqrt(a_mm * a_mm - along_mm * along_mm);
  return a + along_mm * way + (left ? aside_mm : -aside_mm) * left_of(way);
}

struct Posed {
  const testing::NamedEngine& named;
  const Mechanism& mechanism;
  const SceneModel& model;
  const Scene& scene;
  const ValvePose& valve;

  [[nodiscard]] const Instance& one(const std::string& what, std::size_t which = 0) const {
    const auto found = of_part(scene, std::string(to_word(valve.valve)) + what);
    INFO(what);
    REQUIRE(found.size() > which);
    return *found[which];
  }
  [[nodiscard]] bool has(const std::string& what) const {
    return !of_part(scene, std::string(to_word(valve.valve)) + what).empty();
  }
  [[nodiscard]] const ValveMotion& motion() const { return *mechanism.motion(valve.valve); }
};

template <class Check>
void each_pose(const testing::NamedEngine& named, double step_deg, Check check) {
  INFO(named.name);
  auto mechanism = Mechanism::assemble(named.engine, {});
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  const SceneModel model(named.engine);
  Scene scene;
  for (double crank_deg = 0.0; crank_deg < 720.0; crank_deg += step_deg) {
    INFO(crank_deg);
    model.compose(*mechanism, nullptr, {.crank_deg = crank_deg, .labels = false}, scene);
    const Pose pose = mechanism->pose(crank_deg);
    for (const ValvePose& valve : pose.valves)
      if (valve.cylinder == 1) check(Posed{named, *mechanism, model, scene, valve});
  }
}

} // namespace

TEST_CASE("the bead of contact lies on the follower's face or roller", "[contact]") {
  for (const testing::NamedEngine& named : testing::engines())
    each_pose(named, 7.0, [](const Posed& posed) {
      const glm::dvec3 bead = origin(posed.one(" lobe's contact"));
      if (posed.has(" finger's roller") || posed.motion().gear().follower == Follower::roller_tappet) {
        const bool finger = posed.has(" finger's roller");
        const Instance& roller = finger ? posed.one(" finger's roller") : posed.one(" tappet", 1);
        const double radius_mm =
            finger ? posed.motion().gear().finger->pad_radius_mm : posed.motion().gear().roller_radius_mm;
        CHECK_THAT(glm::length(flat(bead) - flat(origin(roller))), WithinAbs(radius_mm, 1e-6));
      } else if (!posed.has(" finger")) {
        const Instance& follower = posed.has(" bucket") ? posed.one(" bucket") : posed.one(" tappet");
        CHECK_THAT(glm::dot(bead - origin(follower), glm::dvec3(follower.placement[2])), WithinAbs(0.0, 1e-6));
      }
      // And on the lobe: a chord of its outline away at most.
      CHECK(nearest_mm(posed.model, posed.one(" lobes"), bead) < 0.8);
    });
}

TEST_CASE("lobes touch tappets and buckets at every angle, and do not enter them", "[contact]") {
  for (const testing::NamedEngine& named : testing::engines())
    each_pose(named, 3.0, [](const Posed& posed) {
      const Instance& lobe = posed.one(" lobes");
      if (posed.motion().gear().follower == Follower::roller_tappet) {
        CHECK_THAT(nearest_mm(posed.model, lobe, origin(posed.one(" tappet", 1))),
                   WithinAbs(posed.motion().gear().roller_radius_mm, 0.01));
      } else if (!posed.has(" finger")) {
        const Instance& follower = posed.has(" bucket") ? posed.one(" bucket") : posed.one(" tappet");
        const glm::dvec3 way(follower.placement[2]);
        CHECK_THAT(reach_mm(posed.model, lobe, way), WithinAbs(-reach_mm(posed.model, follower, -way), 0.01));
      }
    });
}

TEST_CASE("lobes touch the pads and rollers of fingers, which swing about their posts", "[contact]") {
  int seen = 0;
  for (const testing::NamedEngine& named : testing::engines()) {
    if (!named.engine->camshafts[0].inlet || !named.engine->camshafts[0].inlet->finger) continue;
    const SceneModel model(named.engine);
    const Mechanism mechanism = *Mechanism::assemble(named.engine, {});
    // With No. 1 firing both valves are shut and both pads on their base circles.
    const Scene shut = model.compose(mechanism, nullptr, {.crank_deg = 360.0, .labels = false});
    each_pose(named, 3.0, [&](const Posed& posed) {
      ++seen;
      const ValveGear& gear = posed.motion().gear();
      const FingerArms& arms = *gear.finger;
      const Instance& finger = posed.one(" finger");
      const Instance& before = *of_part(shut, std::string(to_word(posed.valve.valve)) + " finger")[0];
      const glm::dvec2 cam = flat(origin(posed.one(" lobes")));
      const glm::dvec2 pivot = flat(origin(finger));
      CHECK(glm::length(pivot - flat(origin(before))) < 1e-9);
      CHECK_THAT(glm::length(pivot - cam), WithinAbs(glm::length(arms.pivot_mm), 1e-6));
      // The pad lies under the camshaft: on the far side of the line to the pivot from the valve's stem.
      const glm::dvec3 up(posed.one(" valve No. 1").placement[2]);
      const bool left = cross2(pivot - cam, flat(-up)) > 0.0;
      const glm::dvec2 pad = crossing(cam, gear.base_radius_mm + arms.pad_radius_mm, pivot, arms.pad_arm_mm, left);
      const glm::dvec3 at = moved_with(finger, before, {pad, 0.0});
      CHECK_THAT(nearest_mm(posed.model, posed.one(" lobes"), at), WithinAbs(arms.pad_radius_mm, 0.01));
      if (posed.has(" finger's roller"))
        CHECK_THAT(glm::length(flat(origin(posed.one(" finger's roller")) - at)), WithinAbs(0.0, 1e-6));
      const glm::dvec3 bead = origin(posed.one(" lobe's contact"));
      CHECK_THAT(glm::length(flat(bead - at)), WithinAbs(arms.pad_radius_mm, 1e-6));
    });
  }
  CHECK(seen > 0);
}

TEST_CASE("rockers and fingers meet the tips of their valves but for the lash", "[contact]") {
  int open = 0;
  for (const testing::NamedEngine& named : testing::engines()) {
    if (!named.engine->inlet_valve) continue;
    each_pose(named, 5.0, [&](const Posed& posed) {
      const bool finger = posed.has(" finger");
      if (!finger && !posed.has(" rocker")) return;
      const Instance& lever = posed.one(finger ? " finger" : " rocker");
      const Instance& valve = posed.one(" valve No. 1");
      const glm::dvec3 up(valve.placement[2]);
      const glm::dvec3 across(valve.placement[0]);
      double lowest_mm = 1e9;
      each_vertex(posed.model, lever, [&](glm::dvec3 at) {
        if (std::fabs(glm::dot(at - origin(valve), across)) < 2.0) lowest_mm = std::min(lowest_mm, glm::dot(at, up));
      });
      const double gap_mm = posed.motion().gear().lash_mm - posed.motion().linkage().valve_mm(posed.valve.tappet_mm);
      CHECK_THAT(lowest_mm - reach_mm(posed.model, valve, up), WithinAbs(std::max(gap_mm, 0.0), 0.01));
      if (gap_mm < 0.0) ++open;
    });
  }
  CHECK(open > 100);
}

TEST_CASE("buckets meet the tips of their valves but for the lash", "[contact]") {
  int open = 0;
  for (const testing::NamedEngine& named : testing::engines()) {
    if (!named.engine->inlet_valve) continue;
    each_pose(named, 11.0, [&](const Posed& posed) {
      if (!posed.has(" bucket")) return;
      const Instance& bucket = posed.one(" bucket");
      const Instance& valve = posed.one(" valve No. 1");
      const glm::dvec3 down(bucket.placement[2]);
      const double tip_mm = -reach_mm(posed.model, valve, -down);
      const double crown_mm = glm::dot(origin(bucket), down) + 3.0; // thickness of the bucket's top
      const double gap_mm = posed.motion().gear().lash_mm - posed.valve.tappet_mm;
      CHECK_THAT(tip_mm - crown_mm, WithinAbs(std::max(gap_mm, 0.0), 0.01));
      if (gap_mm < 0.0) ++open;
    });
  }
  CHECK(open > 20);
}

TEST_CASE("heads stand where the file leans and offsets them", "[contact]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    if (!named.engine->inlet_valve) continue;
    each_pose(named, 90.0, [](const Posed& posed) {
      const Valve& stated =
          posed.valve.valve == ValveKind::inlet ? *posed.named.engine->inlet_valve : *posed.named.engine->exhaust_valve;
      const Instance& valve = posed.one(" valve No. 1");
      const Instance& piston = *of_part(posed.scene, "piston No. 1")[0];
      const glm::dvec3 up(piston.placement[2]);
      const glm::dvec3 right(piston.placement[0]);
      const glm::dvec3 axis(valve.placement[2]);
      CHECK_THAT(glm::dot(axis, up), WithinAbs(cos_deg(stated.inclination_deg), 1e-12));
      CHECK_THAT(glm::dot(axis, right), WithinAbs(sin_deg(stated.inclination_deg), 1e-12));
      const glm::dvec3 from = origin(valve) + posed.valve.lift_mm * axis - origin(piston);
      CHECK_THAT(glm::dot(from, right), WithinAbs(stated.offset_mm.y, 1e-9));
      CHECK_THAT(from.z, WithinAbs(stated.offset_mm.x, 1e-9));
    });
  }
}

TEST_CASE("what the file's places do not let stand as drawn is confessed", "[contact]") {
  const auto confessed = [](const Engine& engine) {
    const auto shared = testing::share(engine);
    const SceneModel model(shared);
    return model.compose(*Mechanism::assemble(shared, {}), nullptr, {}).confessions;
  };
  CHECK(confessed(testing::bucket_engine()).empty());
  CHECK(confessed(testing::leaning_engine()).empty());
  CHECK(confessed(testing::finger_engine(10.0)).empty());
  Engine aside = testing::bucket_engine();
  aside.inlet_valve->offset_mm.y = 2.0;
  CHECK(confessed(aside) == std::vector<std::string>{"valve stems drawn toward what presses them"});
  Engine ratio = testing::finger_engine(10.0);
  for (ValveGear* gear : {&*ratio.camshafts[0].inlet, &*ratio.camshafts[0].exhaust}) gear->finger.reset();
  ratio.inlet_valve->offset_mm.y = ratio.exhaust_valve->offset_mm.y = 0.0;
  CHECK(confessed(ratio) == std::vector<std::string>{"fingers drawn as buckets: their arms are not stated"});
}
