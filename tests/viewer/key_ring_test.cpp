// Buttons and fields by keyboard alone: Tab, Shift and Tab, Enter.
#include "viewer/learner.hpp"
#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"

#include <algorithm>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

std::string has_keyboard(Driver& driver) {
  return driver.view().edit.field.empty() ? driver.view().ring.at : driver.view().edit.field;
}

void tab_to(Driver& driver, const std::string& item) {
  INFO(item);
  for (int i = 0; i < 300 && has_keyboard(driver) != item; ++i) {
    driver.key(Key::tab);
    driver.settle();
  }
  REQUIRE(has_keyboard(driver) == item);
}

void press_by_key(Driver& driver, const std::string& item) {
  tab_to(driver, item);
  driver.key(Key::enter);
  driver.settle();
}

void check_in_sight(Driver& driver, const std::string& item, const std::string& panel) {
  INFO(item);
  CHECK(driver.where(item).top >= driver.where(panel).top);
  CHECK(driver.where(item).bottom <= driver.where(panel).bottom);
}

} // namespace

TEST_CASE("a drill needs no pointer") {
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  Driver driver(*demo, learning_options());
  driver.settle();
  press_by_key(driver, "learn.page.drills");
  tab_to(driver, "drill.seed");
  driver.type("10");
  driver.key(Key::enter);
  driver.settle();
  CHECK(driver.view().learning.drill_seed == 10);
  press_by_key(driver, "drill.begin");
  REQUIRE(driver.has("panel.drill"));
  press_by_key(driver, "drill.where.at the valve");
  driver.key(Key::l, true);
  driver.settle();
  press_by_key(driver, "drill.fault.end float too large");
  check_in_sight(driver, "drill.fault.end float too large", "panel.side");
  check_screen(driver);
  driver.keep("ring-drill");
  press_by_key(driver, "drill.hand_in");
  CHECK(driver.shows_in("side", "What was true"));
  press_by_key(driver, "drill.leave");
  CHECK_FALSE(driver.has("panel.drill"));
}

TEST_CASE("a lesson needs no pointer and Enter goes on while no button has the keyboard") {
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  Driver driver(*demo, learning_options());
  driver.settle();
  press_by_key(driver, "lesson.four-strokes");
  REQUIRE(driver.has("panel.lesson"));
  driver.key(Key::escape); // the button lets go
  CHECK(has_keyboard(driver).empty());
  driver.key(Key::enter);
  driver.settle();
  CHECK(driver.shows_in("lesson", "step 2 of 6"));
  press_by_key(driver, "lesson.leave");
  CHECK_FALSE(driver.has("panel.lesson"));
}

TEST_CASE("leaving a field by Tab enters what was typed, and Shift with Tab goes back") {
  Driver driver;
  driver.settle();
  const auto fields = [&] {
    return std::ranges::count_if(driver.view().ring.items, [](const KeyRing::Item& item) { return item.field; });
  };
  CHECK(fields() > 0);
  tab_to(driver, "plan.cam_key");
  driver.type("1.5"); // at once: it waits for the field
  driver.key(Key::tab);
  driver.settle();
  CHECK(driver.bench().document().planned.cam_key_deg == 1.5);
  const std::string next = has_keyboard(driver);
  CHECK(next != "plan.cam_key");
  driver.key(Key::tab, false, true);
  driver.settle();
  CHECK(has_keyboard(driver) == "plan.cam_key");
  driver.key(Key::tab);
  driver.settle();
  CHECK(has_keyboard(driver) == next);
  // The pointer takes over.
  tab_to(driver, "theme");
  driver.press(driver.where("panel.scene").left + 5, driver.where("panel.scene").bottom - 100, true);
  driver.press(driver.where("panel.scene").left + 5, driver.where("panel.scene").bottom - 100, false);
  CHECK(has_keyboard(driver).empty());
}

TEST_CASE("a card over the screen keeps the keyboard") {
  Driver driver;
  driver.settle();
  tab_to(driver, "theme");
  driver.key(Key::s, true, true);
  driver.settle();
  REQUIRE(driver.has("save.path"));
  driver.key(Key::tab);
  driver.settle();
  CHECK(has_keyboard(driver) == "save.path");
  driver.key(Key::tab);
  driver.settle();
  int come_back = 0;
  for (int i = 0; i < 20; ++i) {
    INFO("Tab " << i + 2);
    const std::string now = has_keyboard(driver);
    CHECK((now.empty() || now.starts_with("save.")));
    come_back += now == "save.path" ? 1 : 0;
    driver.key(Key::tab);
    driver.settle();
  }
  CHECK(come_back >= 2);
  driver.key(Key::escape);
  driver.key(Key::escape);
  driver.settle();
  CHECK_FALSE(driver.has("save.path"));
}

TEST_CASE("Tab comes to everything that can be pressed once, and back to where it began") {
  Driver driver;
  driver.settle();
  const std::size_t all = driver.view().ring.items.size();
  CHECK(all > 20);
  driver.key(Key::tab);
  driver.settle();
  const std::string first = has_keyboard(driver);
  std::vector<std::string> met;
  do {
    REQUIRE(met.size() <= all);
    met.push_back(has_keyboard(driver));
    driver.key(Key::tab);
    driver.settle();
  } while (has_keyboard(driver) != first);
  CHECK(met.size() == all);
  std::ranges::sort(met);
  CHECK(std::ranges::adjacent_find(met) == met.end());
  // A thing that cannot be pressed now is passed by.
  CHECK_FALSE(std::ranges::binary_search(met, "undo"));
  CHECK(driver.has("undo"));
}
