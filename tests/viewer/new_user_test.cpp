// A new user's way from the start to a decision, step by step as the README tells it.
#include "viewer/driver.hpp"
#include "viewer/own_folder.hpp"

#include "support/catch.hpp"
#include "viewer/frame.hpp"

#include <algorithm>
#include <filesystem>

using namespace phasewright;
using namespace phasewright::viewer;

TEST_CASE("a new user comes from the start to a decision by what the screen says") {
  Driver driver;
  driver.click("step.readings");
  CHECK(driver.shows_in("side", "The cam stands 2.1° late by the card"));
  CHECK(driver.shows_in("side", "The drive as it was fitted explains it"));
  CHECK(driver.shows_in("scene", "wheel shows"));
  CHECK(driver.shows_in("scene", "piston stop"));

  driver.click("step.correction");
  CHECK(driver.bench().tried_option() == std::size_t{0});
  CHECK(driver.shows_in("options", "cam key 2°, shaft half leading"));
  CHECK(driver.shows_in("scene", "plan ahead of present"));
  driver.key(Key::page_down);
  driver.settle();
  CHECK(driver.bench().tried_option() == std::size_t{1});
  driver.key(Key::page_up);
  driver.key(Key::t);
  driver.key(Key::m);
  driver.settle();
  CHECK(driver.shows_in("scene", "key step shown ×2"));

  driver.click("step.clearance");
  CHECK(driver.shows_in("side", "Clear of the pistons, worn chain too."));
  CHECK(step_verdict(driver.bench(), Step::clearance) == Verdict::good);
  driver.click("least.go.inlet");
  CHECK_THAT(driver.view().crank_deg, WithinAbs(6.0, 1.0));
  driver.key(Key::l);
  driver.settle();
  CHECK(step_verdict(driver.bench(), Step::clearance) == Verdict::bad);
  driver.key(Key::z, true);
  driver.settle();
  CHECK(step_verdict(driver.bench(), Step::clearance) == Verdict::good);

  driver.click("step.alignment");
  CHECK(step_verdict(driver.bench(), Step::alignment) == Verdict::bad);
  CHECK(driver.shows_in("scene", "gap at the crank"));
  driver.click("shim.pack");
  CHECK(step_verdict(driver.bench(), Step::alignment) == Verdict::good);

  const OwnFolder folder("new-user");
  const std::filesystem::path own = folder / "mine.build.toml";
  std::filesystem::remove(own);
  driver.key(Key::s, true);
  driver.settle();
  REQUIRE(driver.has("panel.save_card"));
  driver.enter("save.path", own.string());
  if (driver.has("save.do")) driver.click("save.do");
  CHECK(std::filesystem::exists(own));
}
