// Drives of more than two sprockets: several camshafts, guides and a tensioner, chains in stages, the chain's back.
#include "geometry/angle.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include "engines.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>
#include <map>

using namespace phasewright;

namespace {

// A camshaft and then an idler on the chain's back would be unusual; here the camshaft stands beside the strand that
// enters the crank and is turned by its back, against the crank, and an idler holds the chain up.
Engine back_cam_engine() {
  Engine engine = testing::small_engine();
  Loop& loop = engine.loops[0];
  Sprocket cam = loop.sprockets[1];
  cam.wrap = Wrap::outside;
  cam.centre_mm = {70.0, 100.0};
  Sprocket idler = loop.sprockets[0];
  idler.name = "idler";
  idler.centre_mm = {0.0, 205.0};
  loop.sprockets = {loop.sprockets[0], idler, cam};
  // The idler goes up until a chain fits without hanging far.
  for (; loop.sprockets[1].centre_mm.y < 215.0; loop.sprockets[1].centre_mm.y += 0.25)
    for (loop.chain.links = 58; loop.chain.links < 66; ++loop.chain.links)
      if (const auto drive = Drive::assemble(engine, {}); drive && drive->greatest_bow_mm() < 10.0) return engine;
  FAIL("no chain fits");
  return engine;
}

std::vector<testing::NamedEngine> drives() {
  const Engine overhead = testing::overhead_engine();
  const Engine staged = testing::jackshaft_engine();
  return {{"twin cam", testing::share(overhead)},
          {"twin cam, mirrored", testing::share(testing::mirrored(overhead))},
          {"jackshaft", testing::share(staged)},
          {"jackshaft, mirrored", testing::share(testing::mirrored(staged))},
          {"cam on the chain's back", testing::share(back_cam_engine())}};
}

Mechanism assembled(const std::shared_ptr<const Engine>& engine, const Fitted& fitted = {}) {
  auto mechanism = Mechanism::assemble(engine, fitted);
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  return *mechanism;
}

std::vector<const Instance*> of_part(const Scene& scene, const std::string& start) {
  std::vector<const Instance*> found;
  for (const Instance& instance : scene.instances)
    if (scene.parts[instance.part].name.starts_with(start)) found.push_back(&instance);
  return found;
}

glm::dvec3 origin(const Instance& instance) {
  return glm::dvec3(instance.placement[3]);
}

double clock_of_y(const Instance& instance) {
  return degrees(std::atan2(instance.placement[1].x, instance.placement[1].y));
}

const Label* find_label(const Scene& scene, const std::string& start) {
  const auto found =
      std::ranges::find_if(scene.labels, [&](const Label& label) { return label.title.starts_with(start); });
  return found == scene.labels.end() ? nullptr : &*found;
}

template <class Use>
void each_vertex(const SceneModel& model, const Instance& instance, Use use) {
  for (const MeshVertex& vertex : model.meshes()[instance.mesh].vertices)
    use(glm::dvec3(instance.placement * glm::dvec4(glm::dvec3(vertex.position_mm), 1.0)));
}

double half_plate_mm(const Engine& engine, std::size_t loop) {
  return engine.loops[loop].chain.plate_height_mm / 2.0;
}

} // namespace

TEST_CASE("every sprocket of every loop stands at its place, its mark where the pose has it", "[drives]") {
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Mechanism mechanism = assembled(named.engine);
    for (const Turning turning : {Turning::forward, Turning::backward}) {
      const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = 143.0, .turning = turning});
      const DrivePose pose = mechanism.drive().pose(143.0, turning);
      for (std::size_t l = 0; l < pose.loops.size(); ++l)
        for (std::size_t i = 0; i < pose.loops[l].sprockets.size(); ++i) {
          const Sprocket& stated = named.engine->loops[l].sprockets[i];
          const auto parts = of_part(scene, stated.name + " sprocket");
          // Disc and hub, and where there is a retaining plate the hub's boss against it.
          REQUIRE(parts.size() == 2 + of_part(scene, stated.name + " retaining plate").size());
          for (const Instance* part : parts)
            CHECK_THAT(glm::length(glm::dvec2(origin(*part)) - stated.centre_mm), WithinAbs(0.0, 1e-9));
          CHECK_THAT(wrap_180(clock_of_y(*parts[0]) - pose.loops[l].sprockets[i].mark_clock_deg), WithinAbs(0.0, 1e-9));
        }
    }
  }
}

TEST_CASE("rollers and pins of every loop lie on its pins, in a plane of its own", "[drives]") {
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Mechanism mechanism = assembled(named.engine, testing::fitted(0, 0.0, 0.0));
    const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = 61.0});
    const DrivePose pose = mechanism.drive().pose(61.0);
    std::vector<const Instance*> round;
    for (const Instance& instance : scene.instances)
      if (instance.material == Material::chain_roller) round.push_back(&instance);
    std::size_t at = 0;
    std::vector<std::array<double, 2>> depths; // of each loop's pins
    for (const LoopPose& loop : pose.loops) {
      std::array<double, 2> depth{1e300, -1e300};
      for (const glm::dvec2 pin : loop.pins_mm)
        for (int k = 0; k < 2; ++k, ++at) {
          REQUIRE(at < round.size());
          CHECK(glm::dvec2(origin(*round[at])) == pin);
          each_vertex(model, *round[at], [&](glm::dvec3 point) {
            depth = {std::min(depth[0], point.z), std::max(depth[1], point.z)};
          });
        }
      depths.push_back(depth);
    }
    CHECK(at == round.size());
    for (std::size_t i = 1; i < depths.size(); ++i)
      CHECK((depths[i][0] > depths[i - 1][1] || depths[i][1] < depths[i - 1][0]));
  }
}

TEST_CASE("chains bear on the faces of the guides and the shoe that are drawn", "[drives]") {
  int bearing = 0;
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Mechanism mechanism = assembled(named.engine);
    for (const double crank_deg : {0.0, 7.0, 333.0}) {
      const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = crank_deg});
      const DrivePose pose = mechanism.drive().pose(crank_deg);
      for (std::size_t l = 0; l < pose.loops.size(); ++l) {
        const Loop& loop = named.engine->loops[l];
        std::vector<std::string> names;
        for (const Guide& guide : loop.guides)
          names.push_back(fmt::format("guide, {} to {}", guide.strand[0], guide.strand[1]));
        if (loop.tensioner)
          names.push_back(
              fmt::format("tensioner shoe, {} to {}", loop.tensioner->shoe.strand[0], loop.tensioner->shoe.strand[1]));
        REQUIRE(names.size() == pose.loops[l].arcs.size());
        for (std::size_t i = 0; i < names.size(); ++i) {
          const ArcPose& arc = pose.loops[l].arcs[i];
          const auto parts = of_part(scene, names[i]);
          REQUIRE(parts.size() == 2); // face and back
          CHECK_THAT(glm::length(glm::dvec2(origin(*parts[0])) - arc.centre_mm), WithinAbs(0.0, 1e-9));
          // The face's furthest points from the arc's centre are on its radius, and nothing of the back is outside it.
          double face_mm = 0.0;
          double back_mm = 0.0;
          double nearest_contact = 1e9;
          each_vertex(model, *parts[0], [&](glm::dvec3 point) {
            face_mm = std::max(face_mm, glm::length(glm::dvec2(point) - arc.centre_mm));
            nearest_contact = std::min(nearest_contact, glm::length(glm::dvec2(point) - arc.first_mm));
          });
          each_vertex(model, *parts[1], [&](glm::dvec3 point) {
            back_mm = std::max(back_mm, glm::length(glm::dvec2(point) - arc.centre_mm));
          });
          const double radius_mm = i < loop.guides.size() ? loop.guides[i].radius_mm : loop.tensioner->shoe.radius_mm;
          CHECK_THAT(face_mm, WithinAbs(radius_mm, 1e-3)); // meshes are in single precision
          CHECK(back_mm < radius_mm);
          if (!arc.bears) continue;
          ++bearing;
          // Plates slide on the face, so that the pins stand off it by half a plate.
          for (const glm::dvec2 end : {arc.first_mm, arc.last_mm})
            CHECK_THAT(glm::length(end - arc.centre_mm), WithinAbs(face_mm + half_plate_mm(*named.engine, l), 0.01));
          // And the face is there, under the contact: no further than half a plate and half the distance of its points.
          CHECK(nearest_contact < half_plate_mm(*named.engine, l) + 1.5);
        }
      }
    }
  }
  CHECK(bearing > 6);
}

TEST_CASE("shoe and plunger go along the push with the travel; the body stays", "[drives]") {
  for (const Engine& stated : {testing::overhead_engine(), testing::mirrored(testing::overhead_engine())}) {
    const auto engine = testing::share(stated);
    const Tensioner& tensioner = *engine->loops[0].tensioner;
    const glm::dvec3 push{sin_deg(tensioner.push_clock_deg), cos_deg(tensioner.push_clock_deg), 0.0};
    const SceneModel model(engine);
    Fitted worn;
    worn.elongation_percent = 0.3;
    const Mechanism as_new = assembled(engine);
    const Mechanism as_worn = assembled(engine, worn);
    const Scene before = model.compose(as_new, nullptr, {});
    const Scene after = model.compose(as_worn, nullptr, {});
    const double moved_mm = as_worn.drive().pose(0.0).loops[0].tensioner->travel_mm -
                            as_new.drive().pose(0.0).loops[0].tensioner->travel_mm;
    CHECK(moved_mm > 0.5);
    const auto way = [&](const std::string& name, std::size_t which) {
      return origin(*of_part(after, name)[which]) - origin(*of_part(before, name)[which]);
    };
    CHECK_THAT(glm::length(way("tensioner shoe", 0) - moved_mm * push), WithinAbs(0.0, 1e-9));
    // "tensioner" alone: the plunger, then the body.
    std::vector<glm::dvec3> ways;
    for (std::size_t i = 0; i < after.instances.size(); ++i)
      if (after.parts[after.instances[i].part].name == "tensioner")
        ways.push_back(origin(after.instances[i]) - origin(before.instances[i]));
    REQUIRE(ways.size() == 2);
    CHECK_THAT(glm::length(ways[0] - moved_mm * push), WithinAbs(0.0, 1e-9));
    CHECK(glm::length(ways[1]) == 0.0);

    const Label* label = find_label(after, "tensioned: travel");
    REQUIRE(label != nullptr);
    const TensionerPose pose = *as_worn.drive().pose(0.0).loops[0].tensioner;
    CHECK(label->title == fmt::format("tensioned: travel {:.2f} mm", pose.travel_mm));
    CHECK(label->figure == fmt::format("{:.2f} mm left", pose.travel_left_mm));
    const auto shoe =
        std::ranges::find_if(after.parts, [](const PartInfo& part) { return part.name.starts_with("tensioner shoe"); });
    REQUIRE(shoe != after.parts.end());
    CHECK(shoe->figures[0] == fmt::format("travel {:.2f} mm", pose.travel_mm));
    CHECK(shoe->figures[1] == fmt::format("{:.2f} mm left", pose.travel_left_mm));
  }
}

TEST_CASE("each strand's state has a line of its own, outside the loop", "[drives]") {
  const std::map<StrandState, std::pair<StrokeStyle, Tone>> looks{
      {StrandState::taut, {StrokeStyle::solid, Tone::accent}},
      {StrandState::slack, {StrokeStyle::dashed, Tone::quiet}},
      {StrandState::tensioned, {StrokeStyle::dotted, Tone::ink}}};
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Mechanism mechanism = assembled(named.engine);
    for (const Turning turning : {Turning::forward, Turning::backward}) {
      const Scene scene = model.compose(mechanism, nullptr, {.turning = turning, .engine_parts = false});
      const DrivePose pose = mechanism.drive().pose(0.0, turning);
      std::size_t at = 0;
      for (std::size_t l = 0; l < pose.loops.size(); ++l) {
        glm::dvec2 middle{};
        for (const glm::dvec2 pin : pose.loops[l].pins_mm)
          middle += pin / static_cast<double>(pose.loops[l].pins_mm.size());
        for (const StrandPose& strand : pose.loops[l].strands) {
          REQUIRE(at < scene.strokes.size());
          const Stroke& line = scene.strokes[at++];
          CHECK(line.style == looks.at(strand.state).first);
          CHECK(line.tone == looks.at(strand.state).second);
          REQUIRE(line.points_mm.size() == static_cast<std::size_t>(strand.links) + 1);
          const glm::dvec2 pin = pose.loops[l].pins_mm[strand.first_pin];
          const glm::dvec2 start(line.points_mm.front());
          CHECK(glm::length(start - pin) > half_plate_mm(*named.engine, l));
          // The chain's back bends the loop inward, where the middle says nothing.
          if (named.engine->loops[l].sprockets[strand.from].wrap == Wrap::inside)
            CHECK(glm::length(start - middle) > glm::length(pin - middle));
        }
      }
    }
  }
}

TEST_CASE("each camshaft has a key, a label and lobes of its own, and stands over buckets", "[drives]") {
  const auto engine = testing::share(testing::overhead_engine());
  const SceneModel model(engine);
  Fitted fitted;
  fitted.cam_key_of = {{"inlet", 2.0}};
  const Mechanism planned = assembled(engine, fitted);
  const Mechanism present = assembled(engine);
  const Scene scene = model.compose(planned, &present, {});
  REQUIRE(find_label(scene, "inlet cam key") != nullptr);
  CHECK(find_label(scene, "inlet cam key")->title == "inlet cam key, 2° step");
  CHECK(find_label(scene, "exhaust cam key")->title == "exhaust cam key, straight");
  CHECK(find_label(scene, "inlet cam, plan") != nullptr);
  CHECK(find_label(scene, "inlet cam, plan")->figure == "2.0° cam = 4.0° crank");
  CHECK(find_label(scene, "exhaust cam, plan") == nullptr);
  CHECK(of_part(scene, "inlet valve and lobe, present").size() == 2);
  CHECK(of_part(scene, "exhaust valve and lobe, present").empty());
  CHECK(of_part(scene, "inlet camshaft").size() == 1);
  CHECK_THAT(origin(*of_part(scene, "inlet camshaft")[0]).x, WithinAbs(62.0, 1e-9));
  CHECK_THAT(origin(*of_part(scene, "exhaust camshaft")[0]).x, WithinAbs(-62.0, 1e-9));
  for (const char* kind : {"inlet", "exhaust"}) {
    CHECK(of_part(scene, std::string(kind) + " pushrod").empty());
    CHECK(of_part(scene, std::string(kind) + " rocker").empty());
    CHECK(of_part(scene, std::string(kind) + " bucket").size() == 1);
  }
  std::vector<std::string> keys;
  for (const Label& label : scene.labels) keys.push_back(label.key);
  std::ranges::sort(keys);
  CHECK(std::ranges::adjacent_find(keys) == keys.end());
}

TEST_CASE("lobes of any camshaft touch their followers, which way so ever it turns", "[drives]") {
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Mechanism mechanism = assembled(named.engine);
    for (double crank_deg = 0.0; crank_deg < 720.0; crank_deg += 29.0) {
      const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = crank_deg, .labels = false});
      for (const ValvePose& valve : mechanism.pose(crank_deg).valves) {
        if (valve.cylinder != 1) continue;
        const std::string kind = to_word(valve.valve);
        auto follower = of_part(scene, kind + " bucket");
        if (follower.empty()) follower = of_part(scene, kind + " tappet");
        const auto lobes = of_part(scene, kind + " lobes");
        REQUIRE_FALSE(follower.empty());
        REQUIRE_FALSE(lobes.empty());
        const glm::dvec3 way(follower[0]->placement[2]); // from the camshaft
        const glm::dvec3 centre = origin(*lobes[0]);
        const ValveGear& gear = mechanism.motion(valve.valve)->gear();
        CHECK_THAT(glm::dot(origin(*follower[0]) - centre, way),
                   WithinAbs(gear.base_radius_mm + valve.tappet_mm, 1e-6));
        double reach_mm = 0.0;
        each_vertex(model, *lobes[0],
                    [&](glm::dvec3 point) { reach_mm = std::max(reach_mm, glm::dot(point - centre, way)); });
        CHECK_THAT(reach_mm, WithinAbs(gear.base_radius_mm + valve.tappet_mm, 0.05));
      }
    }
  }
}

TEST_CASE("turned backward, each camshaft is drawn ahead of its place and the label says by how much", "[drives]") {
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Mechanism mechanism = assembled(named.engine);
    const double crank_deg = 97.0;
    const Scene forward = model.compose(mechanism, nullptr, {.crank_deg = crank_deg});
    const Scene backward = model.compose(mechanism, nullptr, {.crank_deg = crank_deg, .turning = Turning::backward});
    for (std::size_t k = 0; k < named.engine->camshafts.size(); ++k) {
      const std::string words = camshaft_words(*named.engine, k);
      CHECK(find_label(forward, words + " hangs back") == nullptr);
      const HangBack hang = mechanism.drive().hang_back(crank_deg, k);
      CHECK(hang.cam_deg > 0.0);
      const Label* label = find_label(backward, words + " hangs back");
      REQUIRE(label != nullptr);
      CHECK(label->title == fmt::format("{} hangs back {:.2f}°", words, hang.cam_deg));
      CHECK(label->figure == fmt::format("= {:.2f}° crank; turn forward {:.1f}°", hang.crank_deg,
                                         rounded_up(hang.turn_forward_deg, 0.1)));
      // The shaft's own half of the key has turned by that much in the camshaft's running direction.
      const SprocketPlace place = *find_cam_sprocket(*named.engine, named.engine->camshafts[k].name);
      const double sense = (named.engine->rotation == Rotation::clockwise ? 1.0 : -1.0) *
                           (sprocket_at(*named.engine, place).wrap == Wrap::outside ? -1.0 : 1.0);
      const double turned_deg =
          clock_of_y(*of_part(backward, words + " key")[0]) - clock_of_y(*of_part(forward, words + " key")[0]);
      CHECK_THAT(wrap_180(sense * turned_deg - hang.cam_deg), WithinAbs(0.0, 1e-6));
    }
    // What is left of it, when the caller knows better.
    const Scene partly = model.compose(mechanism, nullptr,
                                       {.crank_deg = crank_deg, .turning = Turning::backward, .turn_forward_deg = 0.1});
    CHECK(find_label(partly, camshaft_words(*named.engine, 0) + " hangs back")->figure.ends_with("turn forward 0.1°"));
  }
}

TEST_CASE("the fit of a drive covers every sprocket, guide and tensioner", "[drives]") {
  for (const testing::NamedEngine& named : drives()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Scene scene = model.compose(assembled(named.engine), nullptr, {.engine_parts = false});
    const Box box = model.drive_box();
    int outside = 0;
    for (const Instance& instance : scene.instances)
      each_vertex(model, instance, [&](glm::dvec3 point) {
        for (int axis = 0; axis < 2; ++axis)
          if (point[axis] < box.low_mm[axis] - 6.0 || point[axis] > box.high_mm[axis] + 6.0) ++outside;
      });
    CHECK(outside == 0);
    for (std::size_t k = 0; k < named.engine->camshafts.size(); ++k) {
      const Box key = model.key_box(k);
      const SprocketPlace place = *find_cam_sprocket(*named.engine, named.engine->camshafts[k].name);
      CHECK_THAT(glm::length(glm::dvec2(key.low_mm + key.high_mm) / 2.0 - sprocket_at(*named.engine, place).centre_mm),
                 WithinAbs(0.0, 1e-6));
    }
  }
}

TEST_CASE("an idler whose mark is stated is marked, also on a tooth at 12 o'clock", "[drives]") {
  for (const bool stated : {false, true}) {
    Engine engine = testing::overhead_engine();
    Sprocket idler = engine.loops[0].sprockets[1];
    idler.name = "magneto";
    idler.camshaft.clear();
    idler.mark = MarkOn::tooth;
    idler.mark_clock_deg = 0.0;
    idler.mark_stated = stated;
    engine.loops[0].sprockets.push_back(idler);
    CHECK(is_marked(engine, {0, 3}) == stated);
  }
}
