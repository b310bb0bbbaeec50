#include "bench/mark_count.hpp"
#include "bench/offset_key.hpp"
#include "geometry/angle.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include "engines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace phasewright;

namespace {

Mechanism assembled(const std::shared_ptr<const Engine>& engine, const Fitted& fitted = {}) {
  auto mechanism = Mechanism::assemble(engine, fitted);
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  return *mechanism;
}

std::vector<const Instance*> of_part(const Scene& scene, const std::string& name) {
  std::vector<const Instance*> found;
  for (const Instance& instance : scene.instances)
    if (scene.parts[instance.part].name == name) found.push_back(&instance);
  return found;
}

std::vector<const Instance*> of_material(const Scene& scene, Material material) {
  std::vector<const Instance*> found;
  for (const Instance& instance : scene.instances)
    if (instance.material == material) found.push_back(&instance);
  return found;
}

bool any_ghost(const Scene& scene) {
  return std::ranges::any_of(scene.instances, [](const Instance& instance) { return instance.ghost; });
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

} // namespace

TEST_CASE("the scene's chain is the pose's chain", "[compose]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    INFO(named.name);
    const Mechanism mechanism = assembled(named.engine);
    const SceneModel model(named.engine);
    for (const double crank_deg : {0.0, 33.0, 451.7}) {
      const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = crank_deg});
      const DrivePose pose = mechanism.drive().pose(crank_deg);
      const auto links = static_cast<std::size_t>(named.engine->loops[0].chain.links);
      const auto round = of_material(scene, Material::chain_roller);
      REQUIRE(round.size() == 2 * links); // a roller and a pin for each link
      for (std::size_t i = 0; i < links; ++i) {
        for (const Instance* instance : {round[2 * i], round[2 * i + 1]}) {
          CHECK(origin(*instance).x == pose.loops[0].pins_mm[i].x);
          CHECK(origin(*instance).y == pose.loops[0].pins_mm[i].y);
        }
      }
      const auto taut = std::ranges::find(pose.loops[0].strands, StrandState::taut, &StrandPose::state);
      const auto taut_plates = of_material(scene, Material::taut_plate);
      CHECK(taut_plates.size() == static_cast<std::size_t>(taut->links));
      CHECK(taut_plates.size() + of_material(scene, Material::chain_plate).size() == links);
      // Inner and outer links take turns; of an odd number the last is cranked, and like neither.
      std::vector<std::size_t> plates;
      for (const Instance& instance : scene.instances)
        if (instance.material == Material::taut_plate || instance.material == Material::chain_plate)
          plates.push_back(instance.mesh);
      for (std::size_t i = 0; i < links; ++i) CHECK(plates[i] != plates[(i + 1) % links]);
    }
  }
}

TEST_CASE("rollers lie in the gaps of the sprockets drawn", "[compose]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    INFO(named.name);
    const Mechanism mechanism = assembled(named.engine, testing::fitted(1, 2.0, 0.0));
    const SceneModel model(named.engine);
    const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = 77.0});
    const DrivePose pose = mechanism.drive().pose(77.0);
    for (std::size_t i = 0; i < 2; ++i) {
      const Sprocket& sprocket = named.engine->loops[0].sprockets[i];
      const auto parts = of_part(scene, sprocket.name + " sprocket");
      REQUIRE_FALSE(parts.empty());
      CHECK_THAT(wrap_180(clock_of_y(*parts[0]) - pose.loops[0].sprockets[i].mark_clock_deg), WithinAbs(0.0, 1e-9));
      // The strand's end pin is seated on this sprocket: a whole number of gaps from the mark, or a half for a tooth.
      const glm::dvec2 arm = pose.loops[0].pins_mm[pose.loops[0].strands[i].first_pin] - glm::dvec2(origin(*parts[0]));
      const double gaps = (degrees(std::atan2(arm.x, arm.y)) - clock_of_y(*parts[0])) * sprocket.teeth / 360.0 -
                          (sprocket.mark == MarkOn::tooth ? 0.5 : 0.0);
      CHECK_THAT(gaps - std::round(gaps), WithinAbs(0.0, 1e-9));
    }
  }
}

TEST_CASE("a key's step is drawn to the side it faces, at its true size", "[compose]") {
  for (const Rotation rotation : {Rotation::clockwise, Rotation::anticlockwise}) {
    Engine changed = testing::block_cam_engine();
    changed.rotation = rotation;
    const auto engine = testing::share(changed);
    const SceneModel model(engine);
    for (const KeyAt at : {KeyAt::crank, KeyAt::cam}) {
      for (const double key_deg : {3.0, -3.0, 0.0}) {
        for (const double times : {1.0, 6.0}) {
          Fitted fitted;
          (at == KeyAt::crank ? fitted.crank_key_deg : fitted.cam_key_deg) = key_deg;
          const Mechanism mechanism = assembled(engine, fitted);
          const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = 25.0, .magnify_key_step = times});
          const auto halves = of_part(scene, key_words(at, key_deg));
          REQUIRE(halves.size() == 2); // shaft half, hub half
          // How far the hub half's middle stands aside from the shaft half's at the shaft's surface; + = clockwise.
          const double radius_mm =
              (at == KeyAt::crank ? engine->crank_seat : engine->cam_seats.at("cam")).diameter_mm / 2.0;
          const double aside_mm = radius_mm * std::sin(radians(clock_of_y(*halves[1]) - clock_of_y(*halves[0])));
          INFO("key " << key_deg << " times " << times << " at crank " << (at == KeyAt::crank));
          CHECK_THAT(std::fabs(aside_mm), WithinAbs(times * std::fabs(key_step_mm(2.0 * radius_mm, key_deg)), 1e-9));
          CHECK((aside_mm > 1e-9) - (aside_mm < -1e-9) == step_side(at, key_deg, rotation));
          CHECK(scene.confessions.size() == (times > 1.0 && key_deg != 0.0 ? 1u : 0u));
          if (!scene.confessions.empty()) CHECK(scene.confessions[0] == "key step shown ×6");
        }
      }
    }
  }
}

TEST_CASE("keyways point where the engine file says, and are said as o'clock", "[compose]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const SceneModel model(engine);
  const Mechanism mechanism = assembled(engine);
  const Scene scene = model.compose(mechanism, nullptr, {});
  REQUIRE(find_label(scene, "crank key") != nullptr);
  CHECK(find_label(scene, "crank key")->title == "crank key, straight");
  CHECK(find_label(scene, "crank key")->figure == "12 o'clock");
  CHECK(find_label(scene, "cam key")->figure == "half past 1");
  const Scene later = model.compose(mechanism, nullptr, {.crank_deg = 180.0});
  CHECK(find_label(later, "crank key")->figure == "6 o'clock");
  CHECK(find_label(later, "cam key")->figure == "half past 4");
  const Scene stepped = model.compose(assembled(engine, testing::fitted(0, 0.0, 2.0)), nullptr, {});
  CHECK(find_label(stepped, "cam key")->title == "cam key, 2° step");
  CHECK(find_label(stepped, "cam key")->figure == "shaft half leads: advances");
}

TEST_CASE("a straight-keyed drive has its keyways in line and no ghost beside itself", "[compose]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const SceneModel model(engine);
  const Mechanism as_fitted = assembled(engine, testing::fitted(0, 0.0, 1.0));
  const Scene same = model.compose(as_fitted, &as_fitted, {.crank_deg = 100.0});
  CHECK_FALSE(any_ghost(same));
  CHECK(find_label(same, "plan") == nullptr);

  const Mechanism planned = assembled(engine, testing::fitted(0, 0.0, 3.0));
  const Scene other = model.compose(planned, &as_fitted, {.crank_deg = 100.0});
  CHECK(any_ghost(other));
  REQUIRE(find_label(other, "plan") != nullptr);
  CHECK(find_label(other, "plan")->title == "plan ahead of present");
  CHECK(find_label(other, "plan")->figure == "2.0° cam = 4.0° crank");
  CHECK(other.strokes.size() == same.strokes.size() + 3);
  // The sprocket itself stands as it stood: only the shaft in it has turned.
  CHECK(of_part(other, "cam sprocket, present").size() == 2);
  CHECK(of_part(other, "crank sprocket, present").empty());

  const Scene back = model.compose(as_fitted, &planned, {.crank_deg = 100.0});
  CHECK(find_label(back, "plan")->title == "plan behind present");

  const Scene toothed = model.compose(assembled(engine, testing::fitted(-1, 0.0, 1.0)), &as_fitted, {});
  CHECK(find_label(toothed, "plan")->figure == "9.5° cam = 18.9° crank");
  CHECK(of_part(toothed, "cam sprocket, present").size() == 4); // disc, mark, both halves of the key
}

TEST_CASE("labels say which strand is taut, and how many pins lie between the marks", "[compose]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const SceneModel model(engine);
  const Mechanism mechanism = assembled(engine);
  const Scene scene = model.compose(mechanism, nullptr, {});
  const DrivePose pose = mechanism.drive().pose(0.0);
  REQUIRE(find_label(scene, "taut") != nullptr);
  CHECK(find_label(scene, "taut")->title == "taut: " + std::to_string(pose.loops[0].strands[1].links) + " links");
  // At crank 0 the marks face each other and neither is in the chain.
  CHECK(find_label(scene, "taut")->figure.ends_with(" mm"));
  const auto counted = pins_between_marks(*engine, mechanism.drive());
  REQUIRE(counted.has_value());
  const double within_deg = (counted->from_crank_deg + counted->to_crank_deg) / 2.0;
  for (const double crank_deg : {within_deg, within_deg + 720.0, within_deg - 1440.0}) {
    const Scene seen = model.compose(mechanism, nullptr, {.crank_deg = crank_deg, .pins_between_marks = counted});
    CHECK(find_label(seen, "taut")->figure == "pins from mark to mark " + std::to_string(counted->pins));
  }
  const Scene past =
      model.compose(mechanism, nullptr, {.crank_deg = counted->to_crank_deg + 20.0, .pins_between_marks = counted});
  CHECK(find_label(past, "taut")->figure.ends_with(" mm"));
  const StrandPose& slack = pose.loops[0].strands[0];
  CHECK(find_label(scene, "slack")->title == fmt::format("slack: {:.2f} mm", slack.slack_mm));
  CHECK(find_label(scene, "slack")->figure == fmt::format("bows {:.2f} mm", slack.bow_mm));
  // Running clockwise the chain on the right moves down, into the crank: it is taut.
  CHECK(find_label(scene, "taut")->anchor_mm.x > 0.0);
  CHECK(find_label(scene, "slack")->anchor_mm.x < 0.0);
  CHECK(model.compose(mechanism, nullptr, {.labels = false}).labels.empty());
}

TEST_CASE("options leave out what they say", "[compose]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const SceneModel model(engine);
  const Mechanism mechanism = assembled(engine);
  const Scene all = model.compose(mechanism, nullptr, {});
  const Scene drive = model.compose(mechanism, nullptr, {.engine_parts = false});
  CHECK_FALSE(of_part(all, "camshaft").empty());
  CHECK(of_part(drive, "camshaft").empty());
  CHECK(of_part(drive, "piston No. 1").empty());
  CHECK(of_part(drive, "cam sprocket").size() == of_part(all, "cam sprocket").size());
  CHECK_FALSE(of_part(all, "backing plate").empty());
  CHECK(of_part(model.compose(mechanism, nullptr, {.plate = false}), "backing plate").empty());
  CHECK(of_part(all, "cam nut").empty());
  CHECK(of_part(model.compose(mechanism, nullptr, {.nuts = true}), "cam nut").size() == 2);
  CHECK_FALSE(of_part(model.compose(mechanism, nullptr, {.cylinder = 3}), "piston No. 3").empty());
}

TEST_CASE("a scene used again holds the same as a new one", "[compose]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const SceneModel model(engine);
  const Mechanism mechanism = assembled(engine);
  const Mechanism other = assembled(engine, testing::fitted(1, 0.0, 0.0));
  Scene used;
  model.compose(mechanism, &other, {.crank_deg = 5.0}, used);
  model.compose(mechanism, nullptr, {.crank_deg = 55.0}, used);
  const Scene fresh = model.compose(mechanism, nullptr, {.crank_deg = 55.0});
  REQUIRE(used.instances.size() == fresh.instances.size());
  for (std::size_t i = 0; i < fresh.instances.size(); ++i) {
    CHECK(used.instances[i].mesh == fresh.instances[i].mesh);
    CHECK(used.instances[i].placement == fresh.instances[i].placement);
  }
  CHECK(used.parts.size() == fresh.parts.size());
  CHECK(used.labels.size() == fresh.labels.size());
  CHECK(used.strokes.size() == fresh.strokes.size());
}

TEST_CASE("the whole scene stays within what a software renderer can draw", "[compose]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const SceneModel model(engine);
  const Mechanism mechanism = assembled(engine);
  const Mechanism other = assembled(engine, testing::fitted(1, 2.0, 0.0));
  const Scene scene = model.compose(mechanism, &other, {});
  std::size_t triangles = 0;
  for (const Instance& instance : scene.instances) triangles += model.meshes()[instance.mesh].indices.size() / 3;
  CHECK(triangles < 75000); // in full; the renderer draws fewer of what is small in the picture
  for (const Instance* roller : of_material(scene, Material::chain_roller))
    CHECK(model.meshes()[roller->mesh].indices.size() / 3 <= 96);
}
