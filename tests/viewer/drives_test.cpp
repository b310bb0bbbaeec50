// Drives of other layouts on the screen: several camshafts, guides and tensioners, chains in stages, turned either way.
#include "viewer/driver.hpp"

#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

Opened opened_of(const Engine& engine) {
  Opened opened;
  opened.engine = std::make_shared<const Engine>(engine);
  return opened;
}

std::vector<std::filesystem::path> models() {
  std::vector<std::filesystem::path> found;
  for (const auto& entry : std::filesystem::directory_iterator(PHASEWRIGHT_MODELS))
    if (entry.path().extension() == ".toml") found.push_back(entry.path());
  std::ranges::sort(found);
  return found;
}

} // namespace

TEST_CASE("every model opens, in every step and view, by day and by night") {
  REQUIRE(models().size() > 2);
  for (const std::filesystem::path& path : models()) {
    INFO(path.string());
    const Result<Opened> opened = open_any(path);
    REQUIRE(opened.ok());
    Driver driver(*opened);
    const std::string name = path.stem().string();
    for (const char* step : {"step.parts", "step.alignment", "step.end_float", "step.base_timing", "step.valves",
                             "step.readings", "step.correction", "step.clearance", "step.sheet"}) {
      driver.click(step);
      driver.keep(name + "-" + (step + 5));
      if (!driver.has(std::string(step + 5) + ".page")) continue;
      for (const char* page : {"second", "third", "fourth"}) {
        driver.key(Key::p);
        driver.settle();
        driver.keep(name + "-" + (step + 5) + "-" + page);
      }
    }
    driver.click("step.clearance");
    driver.click("theme");
    for (const char* view : {"view.end", "view.side", "view.key", "view.valve", "view.whole"}) {
      driver.click(view);
      driver.keep(name + "-night-" + (view + 5));
    }
    // No drawn label lies over another.
    std::vector<ScreenRect> labels;
    for (const auto& [item, rect] : driver.recorder().items)
      if (item.starts_with("label.")) labels.push_back(rect);
    CHECK(labels.size() >= 3);
    for (std::size_t i = 0; i < labels.size(); ++i)
      for (std::size_t k = 0; k < i; ++k) CHECK_FALSE(labels[i].touches(labels[k], 0));
  }
}

TEST_CASE("of several camshafts one is chosen, and its own lay and key are set") {
  Driver driver(opened_of(testing::overhead_engine()));
  const auto phase = [&](std::size_t camshaft) { return driver.bench().planned().phases[camshaft].phase_deg; };
  // The target is about the inlet valve: its camshaft is shown at first.
  REQUIRE(driver.view().camshaft == 1);
  CHECK(driver.shows_in("side", "wanted"));
  const double tooth_deg = 720.0 / 36.0;
  driver.click("plan.lay.plus");
  CHECK_THAT(phase(1), WithinAbs(tooth_deg, 1e-9));
  CHECK_THAT(phase(0), WithinAbs(0.0, 1e-9));

  driver.click("camshaft.exhaust");
  CHECK(driver.view().camshaft == 0);
  CHECK_FALSE(driver.shows_in("side", "wanted"));
  driver.click("plan.cam_key.plus");
  CHECK_THAT(phase(0), WithinAbs(2.0, 1e-9)); // a cam degree
  CHECK_THAT(phase(1), WithinAbs(tooth_deg, 1e-9));
  driver.key(Key::k); // the key of the one that is shown
  driver.settle();
  CHECK_THAT(phase(0), WithinAbs(4.0, 1e-9));
  driver.key(Key::l, false, true);
  driver.settle();
  CHECK_THAT(phase(0), WithinAbs(4.0 - tooth_deg, 1e-9));

  // The close-up goes to its key.
  driver.click("view.key");
  CHECK_THAT(driver.view().camera.target_mm.x, WithinAbs(-62.0, 5.0));
  driver.click("camshaft.inlet");
  CHECK_THAT(driver.view().camera.target_mm.x, WithinAbs(62.0, 5.0));
}

TEST_CASE("a plan that says the same in a table is no other plan") {
  Driver driver(opened_of(testing::overhead_engine()));
  driver.click("plan.lay.plus");
  CHECK(driver.bench().planned_differs());
  driver.click("plan.lay.minus");
  CHECK_FALSE(driver.bench().planned_differs());
}

TEST_CASE("a jackshaft's sprocket has a lay of its own") {
  Driver driver(opened_of(testing::jackshaft_engine()));
  driver.click("step.base_timing");
  driver.click("fitted.lay.jackshaft.plus");
  CHECK(driver.bench().document().fitted.lay_of.at("jackshaft") == 1);
  // A tooth of 27 on the jackshaft, which the second chain carries on 21:28; twice that at the crank.
  CHECK_THAT(driver.bench().fitted().phases[0].phase_deg, WithinAbs(2.0 * 360.0 / 27.0 * 21.0 / 28.0, 1e-9));
}

TEST_CASE("the timing step tells each strand and what keeps the chain tight") {
  Driver driver(opened_of(testing::overhead_engine()));
  driver.click("step.base_timing");
  CHECK(driver.shows_in("side", "crank – exhaust sprocket: tensioned"));
  CHECK(driver.shows_in("side", "inlet sprocket – crank: taut"));
  CHECK(driver.shows_in("side", "travel over a tooth"));
  CHECK(driver.shows_in("side", "exhaust cam's mark"));
  CHECK(driver.shows_in("side", "inlet cam's"));
  CHECK(driver.shows_in("scene", "tensioned: travel"));
  CHECK(driver.shows_in("scene", " mm left"));
}

TEST_CASE("the timing step tells the chain of each stage") {
  Driver driver(opened_of(testing::jackshaft_engine()));
  driver.click("step.base_timing");
  CHECK(driver.shows_in("side", "Chain 2"));
  CHECK(driver.shows_in("side", "jackshaft outer – cam: slack"));
  CHECK(driver.shows_in("scene", "slack: "));
}

TEST_CASE("turned back, the cams hang until the lost motion has been turned forward") {
  Driver driver(opened_of(testing::overhead_engine()));
  driver.click("step.base_timing");
  CHECK(driver.view().turning == Turning::forward);
  CHECK_FALSE(driver.shows_in("scene", "hangs back"));
  driver.click("turn.on_tooth");
  const std::uint64_t forward = driver.picture().hash();
  driver.click("turn.on_1");
  driver.key(Key::left);
  driver.settle();
  REQUIRE(driver.view().turning == Turning::backward);
  CHECK(driver.picture().hash() != forward); // at the same angle
  const Drive& drive = driver.bench().planned().mechanism.drive();
  const double lost_deg = std::max(drive.hang_back(driver.view().crank_deg, 0).turn_forward_deg,
                                   drive.hang_back(driver.view().crank_deg, 1).turn_forward_deg);
  CHECK(lost_deg > 0.0);
  CHECK(driver.view().turn_forward_deg == lost_deg);
  CHECK(driver.shows_in("scene", "exhaust cam hangs back"));
  CHECK(driver.shows_in("scene", "inlet cam hangs back"));
  CHECK(driver.shows_in("side", "Turned back: readings are not true."));
  CHECK(driver.shows_in("strip", "turned back"));
  driver.keep("turned-back");

  // By the wheel, degree by degree, until it has been made good.
  for (double turned_deg = 1.0; driver.view().turning == Turning::backward; turned_deg += 1.0) {
    REQUIRE(turned_deg < lost_deg + 1.0);
    driver.wheel("strip", 1.0f);
    CHECK_THAT(driver.view().turn_forward_deg, WithinAbs(std::max(0.0, lost_deg - turned_deg), 1e-9));
  }
  CHECK_FALSE(driver.shows_in("scene", "hangs back"));
  CHECK_FALSE(driver.shows_in("side", "Turned back"));
}

TEST_CASE("dragging the strip back turns back, and playing backward does") {
  Driver driver(opened_of(testing::jackshaft_engine()));
  driver.drag("strip", 0.4f, 0.2f);
  CHECK(driver.view().turning == Turning::backward);
  CHECK(driver.shows_in("scene", "cam hangs back"));
  driver.drag("strip", 0.2f, 0.6f);
  CHECK(driver.view().turning == Turning::forward);
}
