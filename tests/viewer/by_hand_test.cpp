// What a hand does at the drive in the picture.
#include "viewer/by_hand.hpp"
#include "viewer/driver.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

ImVec2 on_screen(Driver& driver, glm::dvec3 at_mm) {
  const ScreenRect scene = driver.where("scene");
  const auto pixel =
      driver.view().camera.project(at_mm, {static_cast<double>(scene.width()), static_cast<double>(scene.height())});
  REQUIRE(pixel.has_value());
  return {scene.left + static_cast<float>(pixel->x), scene.top + static_cast<float>(pixel->y)};
}

// Where an instance of a part stands, its own origin.
glm::dvec3 place_of(Driver& driver, const std::string& part) {
  const Scene& scene = driver.picture().scene();
  for (const Instance& instance : scene.instances)
    if (scene.parts[instance.part].name == part) return glm::dvec3(instance.placement[3]);
  FAIL("no " << part);
  return {};
}

// Round the cam's shaft by so many degrees clockwise, three quarters out to the rim.
void drag_cam_sprocket(Driver& driver, double turn_deg) {
  const glm::dvec3 centre_mm = place_of(driver, "cam sprocket");
  const Box box = driver.picture().model().drive_box();
  const double out_mm = 0.2 * (box.high_mm.x - box.low_mm.x);
  const auto at = [&](double clock_deg) {
    return on_screen(driver, centre_mm + out_mm * glm::dvec3{sin_deg(clock_deg), cos_deg(clock_deg), 0.0});
  };
  driver.hold_ctrl(true);
  driver.press(at(20.0).x, at(20.0).y, true);
  for (int i = 1; i <= 8; ++i) driver.point(at(20.0 + turn_deg * i / 8).x, at(20.0 + turn_deg * i / 8).y);
  driver.press(at(20.0 + turn_deg).x, at(20.0 + turn_deg).y, false);
  driver.hold_ctrl(false);
  driver.settle();
}

} // namespace

TEST_CASE("a cam sprocket dragged round its shaft lays the planned chain, and figures follow in the frame") {
  Driver driver;
  const Camera before = driver.view().camera;
  const double tooth_deg = 360.0 / driver.bench().engine().loops[0].sprockets[1].teeth;
  const double phase_deg = driver.bench().planned().phase.phase_deg;
  drag_cam_sprocket(driver, 1.2 * tooth_deg);
  CHECK(driver.bench().document().planned.lay == 1);                  // clockwise, as the engine runs: forward
  CHECK(driver.bench().planned().phase.phase_deg > phase_deg + 15.0); // a tooth of 38 is 19 degrees of crank
  CHECK(driver.view().camera.yaw_deg == before.yaw_deg);
  drag_cam_sprocket(driver, -3.1 * tooth_deg);
  CHECK(driver.bench().document().planned.lay == -2);
  driver.key(Key::z, true);
  driver.settle();
  CHECK(driver.bench().document().planned.lay == -1); // a tooth at a time

  // Without Ctrl the same drag looks round the drive.
  const Box box = driver.picture().model().drive_box();
  const ImVec2 at = on_screen(driver, (box.low_mm + box.high_mm) / 2.0);
  driver.press(at.x, at.y, true);
  driver.point(at.x + 40, at.y);
  driver.press(at.x + 40, at.y, false);
  CHECK(driver.bench().document().planned.lay == -1);
  CHECK(driver.view().camera.yaw_deg != before.yaw_deg);
}

TEST_CASE("looked at from behind the same hand goes the other way") {
  Driver driver;
  const ScreenRect scene = driver.where("scene");
  const float y = (scene.top + scene.bottom) / 2.0f;
  // Half a turn round it.
  while (cos_deg(driver.view().camera.yaw_deg) > -0.99) {
    driver.press(scene.left + 200, y, true);
    driver.point(scene.left + 230, y);
    driver.press(scene.left + 230, y, false);
  }
  driver.settle();
  const double tooth_deg = 360.0 / driver.bench().engine().loops[0].sprockets[1].teeth;
  drag_cam_sprocket(driver, 1.2 * tooth_deg); // clockwise in the world, seen from the timing end
  CHECK(driver.bench().document().planned.lay == 1);
}

TEST_CASE("R turns the planned key round: what advanced now retards as much") {
  Driver driver; // the best option's cam key of 2 degrees is tried
  REQUIRE(cam_key_at(driver.bench().document().planned, driver.bench().engine(), 0) == 2.0);
  driver.key(Key::r);
  driver.settle();
  CHECK(cam_key_at(driver.bench().document().planned, driver.bench().engine(), 0) == -2.0);
  driver.key(Key::r, false, true); // the crank's is straight: nothing to turn
  driver.settle();
  CHECK(driver.bench().document().planned.crank_key_deg == 0.0);
  driver.key(Key::z, true);
  driver.settle();
  CHECK(cam_key_at(driver.bench().document().planned, driver.bench().engine(), 0) == 2.0);
}

TEST_CASE("a double click on a part opens the step it belongs to") {
  Driver driver;
  REQUIRE(driver.view().step == Step::correction);
  const ImVec2 at = on_screen(driver, place_of(driver, "crank sprocket"));
  for (int i = 0; i < 2; ++i) {
    driver.press(at.x + 14, at.y + 10, true);
    driver.press(at.x + 14, at.y + 10, false);
  }
  driver.settle();
  CHECK(driver.view().step != Step::correction);
  CHECK(step_of_part("inlet valve No. 1") == Step::clearance);
  CHECK(step_of_part("dial on the inlet valve") == Step::readings);
  CHECK(step_of_part("dial on the inlet camshaft's end") == Step::end_float);
  CHECK(step_of_part("exhaust cam key, 3° step") == Step::correction);
  CHECK_FALSE(step_of_part("a stranger").has_value());
  // Every part of the demo that is drawn large enough to be meant belongs somewhere.
  for (const PartInfo& part : driver.picture().scene().parts)
    if (!part.name.starts_with("backing plate") && !part.name.starts_with("rod No.")) {
      INFO(part.name);
      CHECK(step_of_part(part.name).has_value());
    }
}
