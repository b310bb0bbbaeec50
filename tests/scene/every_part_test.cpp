// Scenes in which every part stands by itself, for models that others take apart.
#include "models.hpp"
#include "parts_of.hpp"

#include <set>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Scene every_part(const Modelled& one, double crank_deg) {
  return one.model.compose(one.mechanism, nullptr,
                           {.crank_deg = crank_deg, .labels = false, .drive_labels = false, .every_part = true});
}

} // namespace

TEST_CASE("every part: the same parts and instances at any crank angle, each a piece of something", "[every_part]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    const Scene first = every_part(one, 0.0);
    check_sound(one.model, first);
    for (const PartInfo& part : first.parts) CHECK_FALSE(part.within.empty());
    for (const double crank_deg : {17.3, 200.1, 391.0, 654.9}) {
      const Scene scene = every_part(one, crank_deg);
      REQUIRE(scene.parts.size() == first.parts.size());
      REQUIRE(scene.instances.size() == first.instances.size());
      std::size_t other = 0;
      for (std::size_t i = 0; i < scene.parts.size(); ++i)
        if (scene.parts[i].name != first.parts[i].name || scene.parts[i].within != first.parts[i].within) ++other;
      for (std::size_t i = 0; i < scene.instances.size(); ++i)
        if (scene.instances[i].mesh != first.instances[i].mesh || scene.instances[i].part != first.instances[i].part ||
            scene.instances[i].material != first.instances[i].material)
          ++other;
      CHECK(other == 0);
    }
  }
}

TEST_CASE("every part: every cylinder has its piston, rod and valves, every pin and link is one", "[every_part]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    constexpr double crank_deg = 143.7;
    const Scene scene = every_part(one, crank_deg);
    const Pose pose = one.mechanism.pose(crank_deg);
    for (int cylinder = 1; cylinder <= one.engine().block.cylinders; ++cylinder) {
      // As the scene of that cylinder alone has it.
      const Scene alone =
          one.model.compose(one.mechanism, nullptr, {.crank_deg = crank_deg, .labels = false, .cylinder = cylinder});
      for (const char* what : {"piston", "rod", "inlet valve", "exhaust valve"}) {
        const std::string name = std::string(what) + " No. " + std::to_string(cylinder);
        INFO(name);
        const auto found = of_part(scene, name);
        const auto expected = of_part(alone, name);
        REQUIRE_FALSE(found.empty());
        REQUIRE_FALSE(expected.empty());
        CHECK(found[0]->mesh == expected[0]->mesh);
        CHECK(found[0]->placement == expected[0]->placement);
      }
    }
    for (std::size_t loop = 0; loop < pose.drive.loops.size(); ++loop) {
      constexpr std::array stages{", first stage", ", second stage"};
      const std::string stage = pose.drive.loops.size() == 1 ? "" : stages.at(loop);
      const auto& pins = pose.drive.loops[loop].pins_mm;
      for (std::size_t i = 0; i < pins.size(); ++i) {
        const auto pin = of_part(scene, "chain pin " + std::to_string(i + 1) + stage);
        const auto link = of_part(scene, "chain link " + std::to_string(i + 1) + stage);
        REQUIRE(pin.size() == 2); // roller and pin
        REQUIRE(link.size() == 1);
        CHECK(glm::dvec2(origin(*pin[0])) == pins[i]);
        CHECK(glm::length(glm::dvec2(origin(*link[0])) - (pins[i] + pins[(i + 1) % pins.size()]) / 2.0) < 1e-9);
        CHECK(link[0]->material == Material::chain_plate);
      }
    }
  }
}

TEST_CASE("every part: shafts turn, and nothing is there only to point something out", "[every_part]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    const double way = one.engine().rotation == Rotation::clockwise ? -1.0 : 1.0; // anticlockwise is positive
    const Scene before = every_part(one, 0.0);
    const Scene after = every_part(one, 30.0);
    const glm::dvec3 was(of_part(before, "crankshaft")[0]->placement[0]);
    const glm::dvec3 is(of_part(after, "crankshaft")[0]->placement[0]);
    CHECK_THAT(glm::dot(was, is), WithinAbs(std::sqrt(3.0) / 2.0, 1e-12));
    CHECK_THAT(glm::cross(was, is).z, WithinAbs(0.5 * way, 1e-12));
    std::set<std::string> names;
    for (const PartInfo& part : before.parts) {
      CHECK(part.name.find("contact") == std::string::npos);
      names.insert(part.name);
    }
    CHECK(names.size() == before.parts.size()); // none of these engines has shims in
  }
}
