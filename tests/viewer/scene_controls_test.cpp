// What is shown of the drive and how: apart, cut, magnified, with the step's instruments.
#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"
#include "viewer/own_folder.hpp"

#include <algorithm>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

bool has_part(Driver& driver, const std::string& name) {
  return std::ranges::any_of(driver.picture().scene().parts, [&](const PartInfo& part) { return part.name == name; });
}

bool confesses(Driver& driver, const std::string& beginning) {
  return std::ranges::any_of(driver.picture().scene().confessions,
                             [&](const std::string& words) { return words.starts_with(beginning); });
}

} // namespace

TEST_CASE("a step's instruments stand on the engine, with what was read on them, and can be put away") {
  Driver driver;
  driver.click("step.alignment");
  CHECK(has_part(driver, "straight-edge"));
  CHECK(has_part(driver, "feeler blade"));
  CHECK(driver.has("label.gap at the crank"));
  CHECK_FALSE(driver.has("label.cam key, 2° step")); // only what the step is about
  driver.keep("alignment");
  driver.click("instruments");
  CHECK_FALSE(has_part(driver, "straight-edge"));
  CHECK(driver.has("label.cam key, 2° step"));
  driver.key(Key::i);
  driver.settle();
  CHECK(has_part(driver, "straight-edge"));

  driver.click("step.end_float");
  CHECK(has_part(driver, "dial on the camshaft's end"));
  CHECK(driver.shows_in("scene", "end float 0.11 mm")); // the mean of what the demo read
  driver.click("step.readings");
  CHECK(has_part(driver, "degree wheel"));
  CHECK(has_part(driver, "piston stop"));
  CHECK(has_part(driver, "dial on the inlet valve"));
  CHECK(driver.shows_in("scene", "wheel shows 1.0°")); // the demo's wheel stands a degree ahead at TDC
  CHECK(driver.shows_in("scene", "180°"));
  driver.click("step.correction");
  CHECK_FALSE(has_part(driver, "degree wheel"));
  CHECK_FALSE(driver.has("instruments"));
}

TEST_CASE("a reading that is typed moves the sprocket under the straight-edge") {
  Driver driver;
  driver.click("step.alignment");
  const auto sprocket = [&driver] {
    const Scene& scene = driver.picture().scene();
    const auto disc = std::ranges::find_if(
        scene.instances, [&](const Instance& i) { return scene.parts[i.part].name == "crank sprocket"; });
    REQUIRE(disc != scene.instances.end());
    return disc->placement[3].z;
  };
  const double before_mm = sprocket();
  driver.enter("gap.near", "0.39 mm");
  driver.enter("gap.far", "0.39 mm");
  CHECK_THAT(sprocket() - before_mm, WithinAbs(0.89 - 0.39, 1e-9)); // it had gone back by the demo's 0.89 mm
}

TEST_CASE("gaps are magnified where a step is about them and the key's step elsewhere") {
  Driver driver;
  driver.click("step.alignment");
  driver.click("magnify.plus");
  CHECK(driver.view().magnify_gaps == 2.0);
  CHECK(driver.view().magnify_key_step == 1.0);
  CHECK(driver.shows_in("scene", "gap shown ×2"));
  driver.key(Key::m);
  driver.settle();
  CHECK(driver.view().magnify_gaps == 3.0);
  driver.click("step.correction");
  CHECK_FALSE(confesses(driver, "gap shown"));
  driver.key(Key::m);
  CHECK(driver.view().magnify_key_step == 2.0);
}

TEST_CASE("the drive comes apart by slider and by key, in the order of assembly") {
  Driver driver;
  driver.click("step.parts");
  driver.drag("apart", 0.0f, 1.0f);
  CHECK(driver.view().apart == 1.0);
  CHECK(has_part(driver, "cam nut"));
  CHECK(driver.shows_in("scene", "1  backing plate"));
  driver.keep("apart");
  check_screen(driver);
  // Instruments have nothing to stand on.
  driver.click("step.alignment");
  CHECK_FALSE(has_part(driver, "straight-edge"));
  driver.key(Key::e, false, true);
  driver.settle();
  CHECK_THAT(driver.view().apart, WithinAbs(1.0 - apart_step, 1e-12));
  for (int i = 0; i < 10; ++i) driver.key(Key::e, false, true);
  driver.settle();
  CHECK(driver.view().apart == 0.0);
  CHECK(has_part(driver, "straight-edge"));
}

TEST_CASE("the keyway is cut through by key and by button, and is seen from the cut's side") {
  Driver driver;
  driver.key(Key::t);
  driver.settle();
  CHECK(driver.view().section);
  CHECK(driver.view().subject == NamedView::key);
  CHECK(driver.shows_in("scene", "section: "));
  CHECK(driver.shows_in("scene", "keyway at "));
  driver.keep("section");
  const double cut_yaw_deg = driver.view().camera.yaw_deg;
  driver.click("section");
  CHECK_FALSE(driver.view().section);
  CHECK_FALSE(confesses(driver, "section"));
  CHECK(driver.view().camera.yaw_deg != cut_yaw_deg);
}

TEST_CASE("nothing is cut off or lies over another with instruments, cut and apart") {
  for (const auto& [width_px, height_px, scale] : {std::tuple(1024, 700, 1.0), std::tuple(1280, 800, 1.0),
                                                   std::tuple(1920, 1080, 1.0), std::tuple(3840, 2160, 2.0)}) {
    INFO(width_px << " x " << height_px);
    Driver driver(width_px, height_px, Theme::day, scale);
    for (const char* step : {"step.alignment", "step.end_float", "step.readings"}) {
      driver.click(step);
      driver.key(Key::m);
      driver.settle();
      check_screen(driver);
    }
    driver.key(Key::t);
    driver.settle();
    check_screen(driver);
    driver.click("view.whole");
    driver.drag("apart", 0.0f, 1.0f);
    check_screen(driver);
  }
}
