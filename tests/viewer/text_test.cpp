// Text is nowhere cut off, and labels lie over nothing, at the sizes people have.
#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"

#include <fmt/format.h>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

struct Size {
  int width_px;
  int height_px;
  double scale;
};

} // namespace

TEST_CASE("no text is cut off and none lies over another") {
  for (const Size size : {Size{1024, 700, 1.0}, Size{1280, 800, 1.0}, Size{1920, 1080, 1.0}, Size{1600, 1000, 1.5},
                          Size{960, 640, 1.0}, Size{640, 480, 1.0}}) {
    Driver driver(size.width_px, size.height_px, size.width_px == 1280 ? Theme::day : Theme::night, size.scale);
    for (const char* step :
         {"parts", "alignment", "end_float", "base_timing", "valves", "readings", "correction", "clearance"}) {
      INFO(size.width_px << " x " << size.height_px << ", " << step);
      driver.click(std::string("step.") + step);
      driver.key(Key::right, false, true); // a place of its own for each
      driver.settle();
      check_screen(driver);
      driver.keep(fmt::format("{}x{}-{}", size.width_px, size.height_px, step));
      if (!driver.has(fmt::format("{}.page", step))) continue;
      for (const char* page : {"second", "third", "fourth"}) {
        INFO(page << " page");
        driver.key(Key::p);
        driver.settle();
        check_screen(driver);
        driver.keep(fmt::format("{}x{}-{}-{}", size.width_px, size.height_px, step, page));
      }
    }
  }
}

TEST_CASE("what is refused is said without running over anything") {
  Driver driver(1024, 700);
  driver.enter("plan.cam_key", "200");
  driver.enter("plan.lay", "half");
  check_texts(driver);
  check_apart(driver, "side");
  driver.click("step.base_timing");
  driver.enter("fitted.centre_change", "5");
  CHECK(driver.shows_in("side", "That cannot be assembled."));
  check_texts(driver);
  check_apart(driver, "side");
  driver.keep("refused");
}

TEST_CASE("text holds at both ends of the cycle, in thou, with two keys and a tooth") {
  Driver driver(1024, 700);
  driver.key(Key::u);
  driver.enter("plan.lay", "-1");
  driver.enter("plan.cam_key", "-3");
  driver.enter("plan.crank_key", "4");
  for (const float at : {0.0f, 0.02f, 0.5f, 0.98f, 1.0f}) {
    driver.drag("strip", 0.5f, at);
    INFO("at " << at);
    check_texts(driver);
    check_apart(driver, "strip");
    check_apart(driver, "scene");
  }
  driver.keep("1024x700-thou");
}
