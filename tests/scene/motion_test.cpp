// That what is drawn moves as the mechanics say: parts that touch in the engine touch in the scene.
#include "geometry/angle.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include "engines.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

using namespace phasewright;

namespace {

std::vector<const Instance*> of_part(const Scene& scene, const std::string& name) {
  std::vector<const Instance*> found;
  for (const Instance& instance : scene.instances)
    if (scene.parts[instance.part].name == name) found.push_back(&instance);
  return found;
}

Result<Mechanism> assembled(const std::shared_ptr<const Engine>& engine, const Fitted& fitted) {
  auto mechanism = Mechanism::assemble(engine, fitted);
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  return mechanism;
}

glm::dvec3 origin(const Instance& instance) {
  return glm::dvec3(instance.placement[3]);
}

} // namespace

TEST_CASE("the rod joins crankpin and gudgeon pin at every angle", "[motion]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    INFO(named.name);
    const Mechanism mechanism = *assembled(named.engine, {});
    const SceneModel model(named.engine);
    const Block& block = named.engine->block;
    for (int cylinder = 1; cylinder <= block.cylinders; ++cylinder) {
      for (double crank_deg = 0.0; crank_deg < 720.0; crank_deg += 31.0) {
        const Scene scene =
            model.compose(mechanism, nullptr, {.crank_deg = crank_deg, .labels = false, .cylinder = cylinder});
        const auto rod = of_part(scene, "rod No. " + std::to_string(cylinder)); // rod, then gudgeon pin
        REQUIRE(rod.size() == 2);
        const glm::dvec3 big_end = origin(*rod[0]);
        const glm::dvec3 small_end(rod[0]->placement * glm::dvec4(0.0, block.rod_mm, 0.0, 1.0));
        CHECK_THAT(glm::length(glm::dvec2(big_end)), WithinAbs(mechanism.slider_crank().throw_mm(), 1e-9));
        CHECK_THAT(glm::length(small_end - origin(*rod[1])), WithinAbs(0.0, 1e-9));
      }
    }
  }
}

TEST_CASE("the crank's throw turns in the running direction", "[motion]") {
  for (const Rotation rotation : {Rotation::clockwise, Rotation::anticlockwise}) {
    Engine changed = testing::block_cam_engine();
    changed.rotation = rotation;
    const auto engine = testing::share(changed);
    const SceneModel model(engine);
    const Mechanism mechanism = *assembled(engine, {});
    const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = 90.0});
    const double x = origin(*of_part(scene, "rod No. 1")[0]).x;
    // A quarter turn on from the cylinder's axis at 38 degrees.
    CHECK_THAT(x, WithinAbs(43.5 * sin_deg(rotation == Rotation::clockwise ? 128.0 : -52.0), 1e-9));
  }
}

TEST_CASE("springs shorten by the valve's lift", "[motion]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const Mechanism mechanism = *assembled(engine, {});
  const SceneModel model(engine);
  const auto span_mm = [&](double crank_deg) {
    const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = crank_deg, .labels = false});
    const auto spring = of_part(scene, "inlet valve spring"); // retainer, then the coils from below
    REQUIRE(spring.size() > 4);
    const double coils = static_cast<double>(spring.size() - 1);
    return glm::length(origin(*spring.back()) - origin(*spring[1])) * coils / (coils - 1.0);
  };
  const double lift_mm = mechanism.valve_lift_mm(ValveKind::inlet, 1, 106.0);
  REQUIRE(lift_mm > 5.0);
  CHECK_THAT(span_mm(400.0) - span_mm(106.0), WithinAbs(lift_mm, 1e-9));
}

TEST_CASE("everything is finite and rigid at any crank angle", "[motion]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    const Mechanism mechanism = *assembled(named.engine, testing::fitted(1, -4.0, 2.0));
    const Mechanism present = *assembled(named.engine, {});
    const SceneModel model(named.engine);
    Scene scene;
    int bad = 0;
    for (int i = 0; i < 100; ++i) {
      model.compose(mechanism, &present, {.crank_deg = -900.0 + 37.3 * i, .magnify_key_step = 10.0}, scene);
      for (const Instance& instance : scene.instances) {
        const glm::dmat3 turn(instance.placement);
        const glm::dmat3 square = glm::transpose(turn) * turn;
        double off = std::fabs(glm::determinant(turn) - 1.0);
        for (int c = 0; c < 3; ++c) off = std::max(off, glm::length(square[c] - glm::dmat3(1.0)[c]));
        if (!(off < 1e-9) || !std::isfinite(glm::length(instance.placement[3])) ||
            instance.mesh >= model.meshes().size() || instance.part >= scene.parts.size())
          ++bad;
      }
      for (const Stroke& stroke : scene.strokes)
        for (const glm::dvec3 point : stroke.points_mm) bad += std::isfinite(glm::length(point)) ? 0 : 1;
      for (const Label& label : scene.labels)
        bad += std::isfinite(glm::length(label.anchor_mm)) && !label.title.empty() && !label.figure.empty() ? 0 : 1;
    }
    INFO(named.name);
    CHECK(bad == 0);
  }
}

TEST_CASE("cylinders that would swallow the camshaft are leant clear of it, and that is said", "[motion]") {
  Engine upright = testing::small_engine(); // camshaft straight above the crank, cylinders too
  const auto engine = testing::share(upright);
  const Mechanism mechanism = *assembled(engine, {});
  const SceneModel model(engine);
  const Scene scene = model.compose(mechanism, nullptr, {});
  REQUIRE(scene.confessions.size() == 1);
  CHECK(scene.confessions[0].ends_with("clear of the camshaft"));
  // At TDC the piston's pin stands on the cylinder's axis: the lobes' reach leaves the bore free.
  const glm::dvec2 pin(origin(*of_part(scene, "rod No. 1")[1]));
  const glm::dvec2 axis = pin / glm::length(pin);
  const glm::dvec2 cam = engine->loops[0].sprockets[1].centre_mm;
  const double across_mm = std::fabs(cam.x * axis.y - cam.y * axis.x);
  CHECK(across_mm > engine->block.bore_mm / 2.0 + 20.0 + 6.9);
  const SceneModel leaning(testing::share(testing::block_cam_engine()));
  CHECK(leaning.compose(*assembled(testing::share(testing::block_cam_engine()), {}), nullptr, {}).confessions.empty());
}
