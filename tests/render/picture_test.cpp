// What the pictures show, by region: no picture is compared with one kept from before.
#include "render/rig.hpp"

#include <glad/gl.h>

#include <glm/ext/matrix_transform.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

const std::vector<Mesh>& meshes() {
  static const std::vector<Mesh> all{box({-10, -10, -2}, {10, 10, 2}), box({-3, -3, -3}, {3, 3, 3}),
                                     box({-40, -40, -1}, {40, 40, 1})};
  return all;
}

Pixel material_pixel(Renderer& renderer, Material material, Theme theme) {
  Scene scene;
  scene.instances = {placed(0, material, {0, 0, 0})};
  // Off the middle, inside a mark's ring.
  return at(drawn(renderer, scene, straight_on(), theme), 104, 95);
}

} // namespace

TEST_CASE("An empty scene is the backdrop alone: lighter in the middle, opaque, nearly even") {
  with_renderer([](Renderer& renderer) {
    for (const Theme theme : {Theme::day, Theme::night}) {
      const Image image = drawn(renderer, Scene{}, straight_on(), theme);
      const Pixel middle = at(image, 100, 100);
      CHECK(middle.a == 255);
      CHECK(brightness(middle) > brightness(at(image, 1, 1)) + 6.0);
      for (const auto& [x, y] : {std::pair{0, 199}, {199, 0}, {199, 199}})
        CHECK(difference(at(image, x, y), at(image, 0, 0)) <= 2);
      CHECK((brightness(middle) > 128.0) == (theme == Theme::day));
    }
  });
}

TEST_CASE("Each material has the colour it should have, by day and by night") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    for (const Theme theme : {Theme::day, Theme::night}) {
      const bool day = theme == Theme::day;
      CAPTURE(day);
      const auto pixel = [&](Material material) { return material_pixel(renderer, material, theme); };
      const Pixel inlet = pixel(Material::inlet);
      CHECK(inlet.b > inlet.r + 60);
      const Pixel exhaust = pixel(Material::exhaust);
      CHECK(exhaust.r > exhaust.b + 80);
      const Pixel taut = pixel(Material::taut_plate);
      CHECK(taut.g > taut.r + 40);
      CHECK(taut.b > taut.r + 40);
      CHECK(std::abs(taut.g - taut.b) < 40);
      // Nothing else is coloured.
      for (const Material quiet :
           {Material::sprocket_steel, Material::shaft_steel, Material::chain_plate, Material::chain_roller,
            Material::key_steel, Material::mark, Material::plate, Material::alloy, Material::cast, Material::spring}) {
        const Pixel p = pixel(quiet);
        CAPTURE(static_cast<int>(quiet));
        CHECK(std::max({p.r, p.g, p.b}) - std::min({p.r, p.g, p.b}) < 26);
      }
      // Told apart where they meet: chain on sprocket, key in shaft, mark on sprocket, pins in plates.
      const double sprocket = brightness(pixel(Material::sprocket_steel));
      CHECK(brightness(pixel(Material::chain_plate)) < sprocket - 25.0);
      CHECK(brightness(pixel(Material::mark)) > sprocket + 35.0);
      CHECK(std::abs(brightness(pixel(Material::key_steel)) - brightness(pixel(Material::shaft_steel))) > 50.0);
      CHECK((brightness(pixel(Material::key_steel)) < 100.0) == day);
      CHECK(std::abs(brightness(pixel(Material::chain_roller)) - brightness(pixel(Material::chain_plate))) > 30.0);
      CHECK(std::abs(brightness(pixel(Material::chain_plate)) - brightness(pixel(Material::plate))) > 20.0);
      // Nothing of the engine is lost in the ground; by day its shadow parts the plate from it.
      const double ground = brightness(at(drawn(renderer, Scene{}, straight_on(), theme), 100, 100));
      CHECK(std::abs(brightness(pixel(Material::cast)) - ground) > 60.0);
      if (!day) CHECK(brightness(pixel(Material::plate)) > ground + 30.0);
    }
  });
}

TEST_CASE("A round mark has a dark ring") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene scene;
    scene.instances = {placed(0, Material::mark, {0, 0, 0})};
    const Image image = drawn(renderer, scene);
    CHECK(brightness(at(image, 100, 90)) > 220.0);
    CHECK(brightness(at(image, 117, 117)) < 80.0); // near the corner, 0.85 of the way
  });
}

TEST_CASE("What lies behind is hidden, from either side") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene scene;
    scene.instances = {placed(1, Material::inlet, {0, 0, -20}), placed(0, Material::exhaust, {0, 0, 0}),
                       placed(1, Material::taut_plate, {0, 0, 20})};
    Camera camera = straight_on();
    const Pixel front = at(drawn(renderer, scene, camera), 100, 100);
    CHECK(front.g > front.r + 40);
    CHECK(at(drawn(renderer, scene, camera), 112, 100).r > 130);
    camera.yaw_deg = 180.0;
    const Pixel back = at(drawn(renderer, scene, camera), 100, 100);
    CHECK(back.b > back.r + 60);
    std::ranges::reverse(scene.instances);
    CHECK(at(drawn(renderer, scene, camera), 100, 100) == back);
  });
}

TEST_CASE("A ghost is seen, hides nothing and casts no shadow") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene plain;
    plain.instances = {placed(2, Material::plate, {0, 0, -6}), placed(1, Material::key_steel, {0, 0, 0}),
                       placed(1, Material::exhaust, {5, 0, 20})};
    Scene haunted = plain;
    haunted.instances.push_back(placed(0, Material::inlet, {0, 0, 8}, 0, true));
    const Image without = drawn(renderer, plain);
    const Image with = drawn(renderer, haunted);
    // Over the key (dark) and over the plate (light): both show through.
    const double through = brightness(at(with, 90, 85)) - brightness(at(with, 98, 100));
    const double bare = brightness(at(without, 90, 85)) - brightness(at(without, 98, 100));
    CHECK(bare > 60.0);
    CHECK(through > 0.5 * bare);
    CHECK(difference(at(with, 90, 85), at(without, 90, 85)) > 10);
    // In front of the ghost, and beside it where its shadow would fall.
    CHECK(at(with, 110, 100) == at(without, 110, 100));
    for (int y = 122; y < 170; ++y)
      for (int x = 100; x < 150; ++x) REQUIRE(at(with, x, y) == at(without, x, y));
  });
}

TEST_CASE("A part throws a shadow down and to the right on what is behind it") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene bare;
    bare.instances = {placed(2, Material::plate, {0, 0, -12})};
    Scene shaded = bare;
    shaded.instances.push_back(placed(0, Material::sprocket_steel, {0, 0, 0}));
    for (const bool smooth : {false, true}) {
      CAPTURE(smooth);
      const Image without = drawn(renderer, bare, straight_on(), Theme::day, square, smooth);
      const Image with = drawn(renderer, shaded, straight_on(), Theme::day, square, smooth);
      CHECK(brightness(at(with, 110, 124)) < brightness(at(without, 110, 124)) - 20.0);
      CHECK(difference(at(with, 90, 70), at(without, 90, 70)) <= 1);
      CHECK(difference(at(with, 40, 160), at(without, 40, 160)) <= 1);
    }
  });
}

TEST_CASE("A flat face in full light is even: it does not shade itself") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene scene;
    scene.instances = {placed(2, Material::plate, {0, 0, 0})};
    for (const double yaw_deg : {0.0, 35.0}) {
      Camera camera = straight_on();
      camera.yaw_deg = yaw_deg;
      // Shaded all over it would be even too, but not alike with hard and with soft shadows.
      const Pixel middle = at(drawn(renderer, scene, camera), 100, 100);
      for (const bool smooth : {false, true}) {
        CAPTURE(yaw_deg, smooth);
        const Image image = drawn(renderer, scene, camera, Theme::day, square, smooth);
        for (int y = 50; y < 150; ++y)
          for (int x = 60; x < 140; ++x) REQUIRE(difference(at(image, x, y), middle) <= 2);
      }
    }
  });
}

TEST_CASE("The sheen on turned steel stands still while the part turns") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    const auto ring = [&](double turned_deg) {
      Scene scene;
      scene.instances = {placed(2, Material::sprocket_steel, {0, 0, 0})};
      scene.instances[0].placement =
          glm::rotate(glm::dmat4(1.0), turned_deg * 3.14159265358979323846 / 180.0, {0.0, 0.0, 1.0});
      const Image image = drawn(renderer, scene);
      std::vector<double> all;
      for (int deg = 0; deg < 360; deg += 10) {
        const double rad = deg * 3.14159265358979323846 / 180.0;
        all.push_back(brightness(
            at(image, static_cast<int>(100 + 40 * std::cos(rad)), static_cast<int>(100 - 40 * std::sin(rad)))));
      }
      return all;
    };
    const std::vector<double> at_rest = ring(0.0);
    const auto [least, most] = std::ranges::minmax(at_rest);
    CHECK(most - least > 6.0);
    CHECK(most - least < 60.0);
    for (const double turned_deg : {17.0, 45.0, 90.0}) {
      const std::vector<double> turned = ring(turned_deg);
      for (std::size_t i = 0; i < turned.size(); ++i) CHECK_THAT(turned[i], WithinAbs(at_rest[i], 2.0));
    }
  });
}

TEST_CASE("Smooth edges have steps between, where the context has several samples") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene scene;
    Instance tilted = placed(0, Material::key_steel, {0, 0, 0});
    tilted.placement = glm::rotate(tilted.placement, 0.2, {0.0, 0.0, 1.0});
    scene.instances = {tilted};
    // Pixels that are neither of the box nor of the backdrop, on a line across the slanted edge each row.
    const auto between = [&](bool smooth) {
      const Image image = drawn(renderer, scene, straight_on(), Theme::day, square, smooth);
      int count = 0;
      for (int y = 90; y < 110; ++y)
        for (int x = 60; x < 100; ++x) {
          const double b = brightness(at(image, x, y));
          if (b > 80.0 && b < 200.0) ++count;
        }
      return count;
    };
    CHECK(between(false) == 0);
    GLint samples = 0;
    glGetIntegerv(GL_MAX_SAMPLES, &samples);
    if (samples >= 4)
      CHECK(between(true) >= 10);
    else
      WARN("this OpenGL has no multisampling; smooth edges were not looked at");
  });
}

TEST_CASE("The same scene gives the same bytes, whatever was drawn before") {
  with_context([](OffscreenContext& context) {
    Renderer renderer(OffscreenContext::get_proc(), shader_folder());
    renderer.upload(meshes());
    Scene scene;
    scene.instances = {placed(2, Material::plate, {0, 0, -6}), placed(0, Material::sprocket_steel, {4, 1, 3}),
                       placed(1, Material::mark, {-9, 5, 9}), placed(0, Material::inlet, {8, -9, 5}, 0, true)};
    scene.strokes = {{.points_mm = {{-30, -30, 4}, {20, 35, 4}},
                      .tone = Tone::accent,
                      .width_px = 2.0f,
                      .style = StrokeStyle::dashed}};
    Camera camera = straight_on();
    camera.parallel = false;
    camera.yaw_deg = 17.0;
    camera.pitch_deg = 9.0;
    for (const bool smooth : {false, true}) {
      const auto picture = [&](Renderer& by, const Scene& of) {
        return drawn(by, of, camera, Theme::night, {317, 211}, smooth).rgba;
      };
      const auto first = picture(renderer, scene);
      CHECK(picture(renderer, scene) == first);
      Camera other = camera;
      other.orbit(30.0, 12.0);
      static_cast<void>(drawn(renderer, scene, other, Theme::day, {64, 64}, !smooth));
      CHECK(picture(renderer, scene) == first);
      Scene moved = scene;
      moved.instances[1].placement[3].x += 3.0;
      CHECK(picture(renderer, moved) != first);
      CHECK(picture(renderer, scene) == first);
      {
        const OffscreenContext second;
        Renderer fresh(OffscreenContext::get_proc(), shader_folder());
        fresh.upload(meshes());
        CHECK(picture(fresh, scene) == first);
      }
      context.make_current();
    }
  });
}

TEST_CASE("Far from the world's origin the picture is as near it") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    const auto picture = [&](glm::dvec3 by_mm) {
      Scene scene;
      scene.instances = {placed(0, Material::sprocket_steel, by_mm),
                         placed(1, Material::exhaust, by_mm + glm::dvec3(5, 3, 4))};
      scene.strokes = {
          {.points_mm = {by_mm + glm::dvec3(-30, -30, 5), by_mm + glm::dvec3(20, 35, 5)}, .width_px = 2.0f}};
      Camera camera = straight_on();
      camera.target_mm = by_mm;
      camera.yaw_deg = 20.0;
      return drawn(renderer, scene, camera);
    };
    const Image near = picture({0, 0, 0});
    const Image far = picture({8.0e6, -3.0e6, 5.0e6}); // floats are half a millimetre apart there
    int differ = 0;
    for (int y = 0; y < square.height_px; ++y)
      for (int x = 0; x < square.width_px; ++x)
        if (difference(at(near, x, y), at(far, x, y)) > 4) ++differ;
    CHECK(differ <= 40); // 0.1 %: edges of shadows, whose map lies otherwise
  });
}

TEST_CASE("A share of a picture's pixels shows the same picture, smaller") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene scene;
    scene.instances = {placed(2, Material::inlet, {0, 0, 0})};
    scene.strokes = {{{{-40, 6, 12}, {40, 6, 12}}, Tone::ink, 60.0f, StrokeStyle::solid}};
    const RenderSize size{400, 300};
    const Image whole = drawn(renderer, scene, straight_on(), Theme::day, size, true);
    renderer.draw(scene, straight_on(), Theme::day, size, true, 0.8);
    const Image smaller = renderer.read();
    REQUIRE(smaller.width_px == 320);
    REQUIRE(smaller.height_px == 240);
    int differ = 0;
    for (int y = 0; y < smaller.height_px; ++y)
      for (int x = 0; x < smaller.width_px; ++x) {
        const Pixel a = at(smaller, x, y);
        const Pixel b = at(whole, static_cast<int>((x + 0.5) / 0.8), static_cast<int>((y + 0.5) / 0.8));
        differ += std::abs(a.r - b.r) + std::abs(a.g - b.g) + std::abs(a.b - b.b) > 40 ? 1 : 0;
      }
    CHECK(differ < 320 * 240 / 100); // edges fall between pixels otherwise; the line is as wide as it was
  });
}

TEST_CASE("Pictures of any size") {
  with_renderer([](Renderer& renderer) {
    renderer.upload(meshes());
    Scene scene;
    scene.instances = {placed(2, Material::inlet, {0, 0, 0})};
    for (const bool smooth : {false, true})
      for (const RenderSize size : {RenderSize{1, 1}, {4096, 16}, {16, 2048}, {333, 77}, {1, 500}}) {
        CAPTURE(size.width_px, size.height_px, smooth);
        const Image image = drawn(renderer, scene, straight_on(), Theme::day, size, smooth);
        REQUIRE(image.rgba.size() ==
                4 * static_cast<std::size_t>(size.width_px) * static_cast<std::size_t>(size.height_px));
        const Pixel middle = at(image, size.width_px / 2, size.height_px / 2);
        CHECK(middle.b > middle.r + 60);
        CHECK(glIsTexture(renderer.texture()) == GL_TRUE);
      }
    for (const RenderSize size : {RenderSize{0, 10}, {10, 0}, {-5, 10}, {1 << 20, 10}})
      CHECK_THROWS_WITH(renderer.draw(scene, straight_on(), Theme::day, size, false),
                        containing("pixels cannot be drawn; from 1 to "));
  });
}
