#include "parts/viewer_words.hpp"
#include "scene/camera.hpp"
#include "support/catch.hpp"

#include "engines.hpp"

#include <glm/geometric.hpp>
#include <glm/vec4.hpp>

#include <cmath>
#include <limits>
#include <random>

using namespace phasewright;

namespace {

std::vector<Camera> cameras() {
  std::vector<Camera> all;
  for (const bool parallel : {false, true})
    for (const double yaw : {0.0, 35.0, -120.0})
      for (const double pitch : {0.0, 20.0, -75.0})
        all.push_back({.target_mm = {12.0, -30.0, 5.0},
                       .yaw_deg = yaw,
                       .pitch_deg = pitch,
                       .height_mm = 220.0,
                       .field_deg = 24.0,
                       .parallel = parallel});
  return all;
}

const glm::dvec2 size_px{1280.0, 800.0};

double apart(glm::dvec2 a, glm::dvec2 b) {
  return glm::length(a - b);
}

} // namespace

TEST_CASE("views are known by their words", "[camera]") {
  for (const NamedView view : {NamedView::end, NamedView::side, NamedView::key, NamedView::valve, NamedView::whole})
    CHECK(parse_view(to_word(view)) == view);
  for (const std::string_view word : view_names) CHECK(parse_view(word).has_value());
  CHECK_FALSE(parse_view("top").has_value());
  CHECK_FALSE(parse_view("").has_value());
}

TEST_CASE("from the timing end x is right and y is up, and the target is in the middle", "[camera]") {
  const Camera camera{.target_mm = {10, 20, 0}, .height_mm = 100.0};
  CHECK(camera.eye_mm().z > 0.0);
  CHECK(apart(*camera.project({10, 20, 0}, size_px), {640, 400}) < 1e-9);
  // 100 mm over 800 pixels at the target.
  CHECK(apart(*camera.project({20, 20, 0}, size_px), {720, 400}) < 1e-9);
  CHECK(apart(*camera.project({10, 30, 0}, size_px), {640, 320}) < 1e-9);
  CHECK_FALSE(camera.project(camera.eye_mm() + glm::dvec3{0, 0, 1}, size_px).has_value());
  // Camera toward +x: what is in front of the drive moves to the left.
  Camera right = camera;
  right.yaw_deg = 30.0;
  CHECK(right.eye_mm().x > camera.eye_mm().x);
  CHECK(right.project({10, 20, 10}, size_px)->x < 640.0);
}

TEST_CASE("projecting and going back meet", "[camera]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> place(-90.0, 90.0);
  for (const Camera& camera : cameras()) {
    for (int i = 0; i < 20; ++i) {
      const glm::dvec3 point{place(random), place(random), place(random)};
      const auto pixel = camera.project(point, size_px);
      REQUIRE(pixel.has_value());
      CHECK(glm::length(camera.unproject(*pixel, size_px, point) - point) < 1e-9);
    }
  }
}

TEST_CASE("the matrices put a point where project() says", "[camera]") {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> place(-90.0, 90.0);
  for (const Camera& camera : cameras()) {
    const glm::dmat4 both = camera.projection(size_px.x / size_px.y) * camera.view();
    for (int i = 0; i < 20; ++i) {
      const glm::dvec3 point{place(random), place(random), place(random)};
      const glm::dvec4 clip = both * glm::dvec4(point - camera.eye_mm(), 1.0);
      const glm::dvec2 pixel{(clip.x / clip.w + 1.0) * size_px.x / 2.0, (1.0 - clip.y / clip.w) * size_px.y / 2.0};
      CHECK(apart(pixel, *camera.project(point, size_px)) < 1e-9);
      CHECK(std::fabs(clip.z / clip.w) < 1.0);
    }
  }
}

TEST_CASE("zoom keeps the point under the pointer", "[camera]") {
  for (const Camera& before : cameras()) {
    for (const double steps : {1.0, -2.5, 7.0}) {
      const glm::dvec2 pointer{300.0, 610.0};
      const glm::dvec3 held = before.unproject(pointer, size_px, before.target_mm);
      Camera after = before;
      after.zoom(steps, pointer, size_px);
      CHECK((after.height_mm < before.height_mm) == (steps > 0.0));
      CHECK(apart(*after.project(held, size_px), pointer) < 1e-6);
    }
  }
  Camera far_in{.height_mm = 2.0};
  for (int i = 0; i < 1000; ++i) far_in.zoom(3.0, {10, 10}, size_px);
  CHECK(far_in.height_mm >= 1.0);
  for (int i = 0; i < 1000; ++i) far_in.zoom(-3.0, {10, 10}, size_px);
  CHECK(std::isfinite(far_in.height_mm));
  CHECK(std::isfinite(glm::length(far_in.target_mm)));
}

TEST_CASE("pan keeps the point under the pointer", "[camera]") {
  for (const Camera& before : cameras()) {
    const glm::dvec2 from{500.0, 300.0};
    const glm::dvec2 by{-120.0, 45.0};
    const glm::dvec3 held = before.unproject(from, size_px, before.target_mm);
    Camera after = before;
    after.pan(by, size_px);
    CHECK(apart(*after.project(held, size_px), from + by) < 1e-6);
  }
}

TEST_CASE("orbit turns about the target and never over the top", "[camera]") {
  Camera camera{.target_mm = {3, 4, 5}};
  camera.orbit(-40.0, 0.0);
  CHECK(camera.yaw_deg > 0.0);
  CHECK(apart(*camera.project({3, 4, 5}, size_px), size_px / 2.0) < 1e-9);
  for (int i = 0; i < 100; ++i) camera.orbit(50.0, 30.0);
  CHECK(camera.pitch_deg <= 89.0);
  CHECK(std::fabs(camera.yaw_deg) <= 180.0);
  for (int i = 0; i < 100; ++i) camera.orbit(50.0, -30.0);
  CHECK(camera.pitch_deg >= -89.0);
}

TEST_CASE("a framed box lies inside the margins and touches two of them", "[camera]") {
  const Box box{{-30, -50, -200}, {40, 170, 10}};
  for (const glm::dvec2 size : {glm::dvec2{1280, 800}, glm::dvec2{500, 900}}) {
    for (Camera camera : cameras()) {
      camera = frame_box(box, camera, size, 24.0);
      double nearest = 1e9;
      for (unsigned i = 0; i < 8; ++i) {
        const glm::dvec3 corner{(i & 1u) != 0 ? 40.0 : -30.0, (i & 2u) != 0 ? 170.0 : -50.0,
                                (i & 4u) != 0 ? 10.0 : -200.0};
        const auto pixel = camera.project(corner, size);
        REQUIRE(pixel.has_value());
        nearest = std::min({nearest, pixel->x, size.x - pixel->x, pixel->y, size.y - pixel->y});
      }
      CHECK_THAT(nearest, WithinAbs(24.0, 1e-6));
    }
  }
}

TEST_CASE("from the end the whole engine is in the picture, or the drive is small enough; from the side all its height",
          "[camera]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    const Camera end = frame_view(model, NamedView::end, size_px);
    const Camera side = frame_view(model, NamedView::side, size_px);
    const Camera drive = frame_box(model.drive_box(), end, size_px);
    CHECK(end.height_mm < 1.73 * drive.height_mm);
    const bool limited = end.height_mm > 1.72 * drive.height_mm;
    for (const glm::dvec3 point : model.whole_points()) {
      const auto from_end = end.project(point, size_px);
      REQUIRE(from_end.has_value());
      const bool within = from_end->x > 0 && from_end->y > 0 && from_end->x < size_px.x && from_end->y < size_px.y;
      CHECK((within || limited));
      const auto from_side = side.project({point.x, point.y, model.drive_box().high_mm.z}, size_px);
      REQUIRE(from_side.has_value());
      CHECK(from_side->y > 23.9);
      CHECK(from_side->y < size_px.y - 23.9);
    }
  }
}

TEST_CASE("named views hold what they are for", "[camera]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    INFO(named.name);
    const SceneModel model(named.engine);
    for (const NamedView view : {NamedView::end, NamedView::side, NamedView::key, NamedView::valve, NamedView::whole}) {
      INFO(to_word(view));
      const Camera camera = frame_view(model, view, size_px);
      CHECK(std::isfinite(camera.height_mm));
      CHECK(std::fabs(camera.pitch_deg) <= 89.0);
      std::vector<glm::dvec3> points;
      if (view == NamedView::valve)
        points = model.valve_points();
      else if (view == NamedView::whole)
        points = model.whole_points();
      else {
        const Box box = view == NamedView::key ? model.key_box(0) : model.drive_box();
        points = {box.low_mm, box.high_mm};
      }
      for (const glm::dvec3 point : points) {
        const auto pixel = camera.project(point, size_px);
        REQUIRE(pixel.has_value());
        CHECK(pixel->x > 23.9);
        CHECK(pixel->y > 23.9);
        CHECK(pixel->x < size_px.x - 23.9);
        CHECK(pixel->y < size_px.y - 23.9);
      }
    }
    // A picture too small for its margins still frames something.
    const Camera tiny = frame_view(model, NamedView::end, {16, 10});
    CHECK(tiny.height_mm > 0.0);
    const Camera at_crank = frame_view(model, NamedView::key, size_px, 24.0, {.cylinder = 1, .camshaft = std::nullopt});
    CHECK(std::fabs(at_crank.target_mm.y) < 30.0);
  }
}
