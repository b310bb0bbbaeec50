// Drills worked on the screen with keys and fields only.
#include "viewer/learner.hpp"
#include "viewer/own_folder.hpp"
#include "viewer/screen_checks.hpp"

#include "bench/drill_readings.hpp"
#include "files/learners.hpp"
#include "support/catch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

// Turns one way, watching the indicator, until it has come to `mm` on its way up or down; gives what the wheel shows.
double turn_until_lifted(Driver& driver, const std::string& indicator, double mm, bool up) {
  for (int turned = 0; turned < 2000; ++turned) {
    const double lift_mm = figure_beside(driver, "drill", indicator);
    const double before_mm = up ? mm - lift_mm : lift_mm - mm;
    if (before_mm <= 0.0 && before_mm > -0.1) return figure_beside(driver, "drill", "degree wheel");
    // The valve rises or sinks by less than 0.13 mm in a degree, 2.5 mm in a tooth.
    turn(driver, before_mm <= 0.0 || before_mm > 2.5 ? 360.0 / 19.0 : before_mm < 0.2 ? 0.1 : 1.0);
  }
  FAIL("never lifted so far");
  return 0;
}

} // namespace

TEST_CASE("a drill is drawn, read, named and gone over") {
  const OwnFolder folder("drill");
  Driver driver(opened(folder / "sandling-14.build.toml"), learning_options(folder / "state"));
  const Document before = driver.bench().document();
  driver.click("learn.page.drills");
  driver.enter("learn.name", "Asta");
  CHECK(driver.shows_in("side", "Asta: no drill answered yet."));
  driver.enter("drill.seed", "7");
  check_screen(driver);
  driver.click("drill.begin");
  driver.settle();
  REQUIRE(driver.has("panel.drill"));
  check_screen(driver);
  driver.keep("drill-begun");
  // What is true is worked out here once more.
  const Result<Drill> drill = draw_drill(driver.bench().shared_engine(),
                                         opened(folder / "sandling-14.build.toml").build, {.seed = 7, .level = 1});
  REQUIRE(drill.ok());
  const DrillBench instruments(*drill);
  turn(driver, 33.0);
  driver.settle();
  const double wheel_deg = instruments.wheel_deg({driver.view().crank_deg, driver.view().turning, 0});
  CHECK(driver.shows_in("drill", deg_text(wheel_deg)));
  CHECK_FALSE(driver.shows_in("strip", "33.0°")); // the wheel alone says where it stands
  // The stop holds the crank on either side.
  turn(driver, 147.0);
  driver.click("drill.stop.long rod");
  driver.settle();
  turn(driver, 300.0);
  driver.settle();
  const PistonStop stop = instruments.piston_stop(0);
  CHECK(std::fabs(driver.view().crank_deg - (360.0 + stop.before_deg)) < 0.11);
  CHECK(driver.shows_in("drill", "bears on it"));
  driver.click("drill.stop.out");
  // Readings are written into the ordinary steps.
  driver.click("step.end_float");
  driver.enter("float.new", "0.12");
  REQUIRE(driver.bench().document().measured.float_mm.size() == 1);
  // Which angle a clearance was read at is for the wheel to say.
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  check_screen(driver);
  driver.keep("drill-clearance");
  driver.enter("reading.new.gap", "3");
  driver.key(Key::a);
  CHECK(driver.bench().document().measured.clearance.empty());
  driver.enter("reading.new.crank", "10");
  driver.key(Key::a);
  REQUIRE(driver.bench().document().measured.clearance.size() == 1);
  CHECK(driver.bench().document().measured.clearance.front().crank_deg == 10.0);
  driver.click("step.lessons");
  driver.settle();
  check_screen(driver);
  driver.keep("drill-answer");
  const std::string wrong = drill->truth->faults.front().key == drill->faults().front().key
                                ? drill->faults().back().key
                                : drill->faults().front().key;
  driver.click("drill.fault." + wrong);
  driver.click("drill.fault." + drill->truth->faults.front().key); // one only at this level: the other is not named now
  driver.click("drill.hand_in");
  driver.settle();
  CHECK(driver.shows_in("side", "What was true"));
  check_screen(driver);
  driver.keep("drill-debrief");
  driver.click("drill.leave");
  driver.settle();
  CHECK_FALSE(driver.has("panel.drill"));
  CHECK((driver.bench().document() == before));
  // Named without a reading that tells: that is no right answer, and the first one counts.
  const auto learners = read_learners(folder / "state");
  REQUIRE(learners.ok());
  const std::vector<DrillAnswered> answered = drills_answered(*learners, "Asta");
  REQUIRE(answered.size() == 1);
  CHECK(answered.front().engine == driver.bench().engine().name);
  CHECK(answered.front().number == 7);
  CHECK(answered.front().level == 1);
  CHECK_FALSE(answered.front().named);
  CHECK(is_date(answered.front().date));
  CHECK(driver.shows_in("side", "Asta: 1 drill answered: 0 rightly named,"));
  CHECK(driver.shows_in("side", "This one has been answered"));
  check_screen(driver);
  driver.keep("drill-answered");
}

TEST_CASE("a drill is solved by what the screen shows, as an apprentice would") {
  const OwnFolder folder("drill-solved");
  ViewerOptions options = learning_options(folder / "state");
  options.width_px = 800;
  options.height_px = 600;
  Driver driver(opened(folder / "sandling-14.build.toml"), options);
  driver.click("learn.page.drills");
  driver.enter("learn.name", "Bo");
  driver.enter("drill.seed", "10");
  driver.click("drill.begin");
  driver.settle();
  // TDC by the stop: up to it turning forward, then back to its other side.
  turn(driver, 150.0);
  driver.click("drill.stop.long rod");
  for (int tooth = 0; tooth < 19 && !driver.shows_in("drill", "bears on it"); ++tooth) turn(driver, 360.0 / 19.0);
  REQUIRE(driver.shows_in("drill", "bears on it"));
  const std::string before = fmt::format("{}", figure_beside(driver, "drill", "degree wheel") - 360.0);
  turn(driver, -30.0);
  for (int tooth = 0; tooth < 19 && !driver.shows_in("drill", "bears on it"); ++tooth) turn(driver, -360.0 / 19.0);
  REQUIRE(driver.shows_in("drill", "bears on it"));
  const std::string after = fmt::format("{}", figure_beside(driver, "drill", "degree wheel"));
  driver.click("drill.stop.out");
  driver.enter("stop.new.before", before);
  driver.enter("stop.new.after", after);
  driver.click("stop.add");
  // Lobe centres by equal lifts, turning forward only.
  turn(driver, 180.0);
  for (const char* const indicator : {"inlet of No. 1", "exhaust of No. 1"}) {
    while (figure_beside(driver, "drill", indicator) > 0.0) turn(driver, 360.0 / 19.0);
    const double opens_deg = turn_until_lifted(driver, indicator, 3.0, true);
    turn(driver, 360.0 / 19.0);
    const double closes_deg = turn_until_lifted(driver, indicator, 3.0, false);
    if (std::string(indicator).starts_with("exhaust")) driver.key(Key::x);
    driver.enter("lobe.new.lift", "3");
    driver.enter("lobe.new.opens", fmt::format("{}", opens_deg));
    driver.enter("lobe.new.closes", fmt::format("{}", closes_deg));
    driver.click("lobe.add");
  }
  for (int degree = 0; degree < 720 && driver.shows_in("drill", "a mark is off the strand"); ++degree)
    turn(driver, 1.0);
  driver.enter("pins.cam", beside(driver, "drill", "pins, \"cam\" to crank"));
  driver.settle();
  REQUIRE(driver.bench().document().measured.lobe.size() == 2);
  REQUIRE(driver.bench().document().measured.pins.size() == 1);
  driver.key(Key::p); // found
  driver.key(Key::p); // causes
  driver.settle();
  CHECK(driver.shows_in("side", "the chain lies one tooth back of its mark"));
  check_screen(driver);
  driver.keep("drill-causes");
  driver.click("step.lessons");
  driver.click("drill.fault.chain one tooth back");
  driver.click("drill.hand_in");
  driver.settle();
  // The answer's button stood far down; what comes of it begins at the top.
  const std::vector<DrawnText>& texts = driver.recorder().texts;
  const auto verdict = std::ranges::find_if(
      texts, [](const DrawnText& text) { return text.text.find("Right: chain one tooth back") != std::string::npos; });
  REQUIRE(verdict != texts.end());
  CHECK(verdict->where.top >= verdict->clip.top);
  CHECK(verdict->where.bottom <= verdict->clip.bottom);
  CHECK(driver.shows_in("side", "That puts it right."));
  check_screen(driver);
  driver.keep("drill-solved");
  const auto learners = read_learners(folder / "state");
  REQUIRE(learners.ok());
  CHECK(drills_words(drills_answered(*learners, "Bo")) == "1 drill answered: 1 rightly named, 1 put right");
}

TEST_CASE("a drill fits the smallest window and a large one of high density") {
  struct Size {
    int width_px;
    int height_px;
    double scale;
  };
  for (const Size& size : {Size{640, 480, 1.0}, Size{3840, 2160, 2.0}}) {
    INFO(size.width_px << " x " << size.height_px);
    ViewerOptions options = learning_options();
    options.width_px = size.width_px;
    options.height_px = size.height_px;
    options.scale = size.scale;
    const Result<Opened> demo = open_demo();
    REQUIRE(demo.ok());
    Driver driver(*demo, options);
    driver.click("learn.page.drills");
    driver.click("drill.begin");
    driver.settle();
    REQUIRE(driver.has("panel.drill"));
    check_screen(driver);
    driver.keep(fmt::format("drill-{}", size.width_px));
    driver.click("step.clearance");
    driver.click("clearance.page.readings");
    check_screen(driver);
    driver.keep(fmt::format("drill-clearance-{}", size.width_px));
    driver.click("step.sheet");
    check_screen(driver);
    driver.keep(fmt::format("drill-sheet-{}", size.width_px));
  }
}
