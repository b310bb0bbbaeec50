#include "render/rig.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Scene three_parts() {
  Scene scene;
  scene.parts.resize(12);
  scene.instances = {placed(0, Material::plate, {0, 0, -20}, 4), placed(1, Material::exhaust, {10, 0, 0}, 7),
                     placed(1, Material::inlet, {-10, 0, 0}, 11, true),
                     placed(1, Material::inlet, {35, 0, 0}, 9, true)};
  return scene;
}

} // namespace

TEST_CASE("The part under a pixel") {
  with_renderer([](Renderer& renderer) {
    renderer.upload({box({-25, -25, -1}, {25, 25, 1}), box({-5, -5, -5}, {5, 5, 5})});
    const Scene scene = three_parts();
    const auto part = [&](int x, int y) { return renderer.pick(scene, straight_on(), square, x, y); };
    CHECK(part(120, 100) == std::optional<std::size_t>(7)); // in front of the plate
    CHECK(part(100, 60) == std::optional<std::size_t>(4));
    CHECK(part(80, 100) == std::optional<std::size_t>(4));  // through a ghost
    CHECK(part(170, 100) == std::optional<std::size_t>(9)); // a ghost with nothing else there
    CHECK_FALSE(part(5, 5).has_value());
    for (const auto& [x, y] : {std::pair{-1, 10}, {10, -1}, {200, 10}, {10, 200}}) CHECK_FALSE(part(x, y).has_value());
    CHECK_FALSE(renderer.pick(Scene{}, straight_on(), square, 100, 100).has_value());
  });
}

TEST_CASE("What is picked is what is drawn, pixel by pixel") {
  with_renderer([](Renderer& renderer) {
    renderer.upload({box({-25, -25, -1}, {25, 25, 1}), box({-5, -5, -5}, {5, 5, 5})});
    const Scene scene = three_parts();
    Camera camera = straight_on();
    camera.parallel = false;
    camera.yaw_deg = 25.0;
    camera.pitch_deg = 30.0;
    constexpr RenderSize size{97, 61};
    const Image with = drawn(renderer, scene, camera, Theme::day, size);
    const Image without = drawn(renderer, Scene{}, camera, Theme::day, size);
    int wrong = 0;
    int found = 0;
    for (int y = 0; y < size.height_px; ++y)
      for (int x = 0; x < size.width_px; ++x) {
        const bool picked = renderer.pick(scene, camera, size, x, y).has_value();
        if (picked) ++found;
        if (picked != (difference(at(with, x, y), at(without, x, y)) > 2)) ++wrong;
      }
    CHECK(found > 700);
    CHECK(wrong <= 4); // a pixel's middle within rounding of an edge
    // Picking leaves the picture alone.
    CHECK(renderer.read().rgba == without.rgba);
  });
}
