#include "render/rig.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Scene one_stroke(glm::dvec3 from_mm, glm::dvec3 to_mm, float width_px, StrokeStyle style = StrokeStyle::solid) {
  Scene scene;
  scene.strokes = {{.points_mm = {from_mm, to_mm}, .tone = Tone::exhaust, .width_px = width_px, .style = style}};
  return scene;
}

// How much of the way from the backdrop to the stroke's colour a pixel has gone.
double cover(const Image& image, int x_px, int y_px, Pixel backdrop, Pixel full) {
  return static_cast<double>(backdrop.b - at(image, x_px, y_px).b) / (backdrop.b - full.b);
}

Pixel full_colour(Renderer& renderer) {
  return at(drawn(renderer, one_stroke({-40, 0, 0}, {40, 0, 0}, 9.0f)), 100, 100);
}

} // namespace

TEST_CASE("A stroke is as wide as it says, at any zoom and slant") {
  with_renderer([](Renderer& renderer) {
    const Pixel full = full_colour(renderer);
    CHECK(full.r > full.b + 100);
    const Image bare = drawn(renderer, Scene{});
    for (const float width_px : {1.0f, 1.5f, 3.0f, 6.0f})
      for (const double height_mm : {20.0, 100.0, 700.0})
        for (const double slant : {0.0, 0.3}) {
          CAPTURE(width_px, height_mm, slant);
          Camera camera = straight_on();
          camera.height_mm = height_mm;
          const double reach = 0.4 * height_mm;
          const Image image =
              drawn(renderer, one_stroke({-reach, -slant * reach, 0}, {reach, slant * reach, 0}, width_px), camera);
          double wide_px = 0.0;
          for (int x = 81; x <= 120; ++x)
            for (int y = 60; y < 140; ++y) wide_px += cover(image, x, y, at(bare, x, y), full) / 40.0;
          CHECK_THAT(wide_px * std::cos(std::atan(slant)), WithinAbs(static_cast<double>(width_px), 0.05));
        }
  });
}

TEST_CASE("Dashes have gaps, and the corner of a stroke has none") {
  with_renderer([](Renderer& renderer) {
    const Pixel full = full_colour(renderer);
    const Image dashed = drawn(renderer, one_stroke({-40, 0, 0}, {40, 0, 0}, 5.0f, StrokeStyle::dashed));
    const Pixel backdrop = at(dashed, 100, 60);
    int inked = 0;
    int changes = 0;
    bool before = true;
    for (int x = 22; x < 178; ++x) {
      const bool ink = cover(dashed, x, 100, backdrop, full) > 0.5;
      inked += ink ? 1 : 0;
      changes += ink != before ? 1 : 0;
      before = ink;
    }
    CHECK(inked > 75);
    CHECK(inked < 115);
    CHECK(changes >= 20);

    Scene bent;
    bent.strokes = {{.points_mm = {{-30, 0, 0}, {0, 4, 0}, {30, 0, 0}}, .tone = Tone::exhaust, .width_px = 3.0f}};
    const Image image = drawn(renderer, bent);
    for (int x = 45; x < 155; ++x) {
      double column = 0.0;
      for (int y = 80; y < 110; ++y) column += cover(image, x, y, backdrop, full);
      CAPTURE(x);
      REQUIRE(column > 2.5);
    }
  });
}

TEST_CASE("A stroke behind a part is faint, in front of it strong") {
  with_renderer([](Renderer& renderer) {
    renderer.upload({box({-10, -10, -2}, {10, 10, 2})});
    const auto picture = [&](double z_mm) {
      Scene scene = one_stroke({-40, 0, z_mm}, {40, 0, z_mm}, 5.0f);
      scene.instances = {placed(0, Material::alloy, {0, 0, 0})};
      return drawn(renderer, scene);
    };
    const Pixel full = full_colour(renderer);
    const Image behind = picture(-10.0);
    const Pixel part = at(behind, 100, 88);
    const auto share = [&](const Image& image) { return cover(image, 100, 100, part, full); };
    CHECK(share(behind) > 0.15);
    CHECK(share(behind) < 0.45);
    CHECK(share(picture(10.0)) > 0.95);
    CHECK(share(picture(2.0)) > 0.95); // in the face itself
    CHECK(cover(behind, 50, 100, at(behind, 50, 60), full) > 0.95);
  });
}

TEST_CASE("A stroke on top is strong behind a part and behind a ghost, and leaves the rest as it was") {
  with_renderer([](Renderer& renderer) {
    renderer.upload({box({-10, -10, -2}, {10, 10, 2})});
    const Pixel full = full_colour(renderer);
    for (const bool ghost : {false, true}) {
      CAPTURE(ghost);
      Scene scene = one_stroke({-40, 0, -10}, {40, 0, -10}, 5.0f);
      scene.instances = {placed(0, Material::alloy, {0, 0, 0}, 0, ghost)};
      const Image faint = drawn(renderer, scene);
      scene.strokes[0].on_top = true;
      const Image strong = drawn(renderer, scene);
      CHECK(difference(at(strong, 100, 100), full) <= 2);
      CHECK(difference(at(faint, 100, 100), full) > 20);
      CHECK(at(strong, 100, 88) == at(faint, 100, 88));
      scene.strokes.push_back(scene.strokes[0]); // a hidden one beside it is still faint
      scene.strokes[1].on_top = false;
      for (glm::dvec3& point : scene.strokes[1].points_mm) point.y = 6.0;
      const Image both = drawn(renderer, scene);
      CHECK(difference(at(both, 100, 100), full) <= 2);
      CHECK(difference(at(both, 100, 88), full) > 20);
    }
  });
}

TEST_CASE("Strokes of one point or none are nothing") {
  with_renderer([](Renderer& renderer) {
    Scene scene;
    scene.strokes = {{.points_mm = {}}, {.points_mm = {{0, 0, 0}}}, {.points_mm = {{1, 1, 0}, {1, 1, 0}}}};
    const Image image = drawn(renderer, scene);
    const Image empty = drawn(renderer, Scene{});
    int differ = 0;
    for (int y = 0; y < square.height_px; ++y)
      for (int x = 0; x < square.width_px; ++x) differ += at(image, x, y) == at(empty, x, y) ? 0 : 1;
    CHECK(differ == 0);
  });
}
