// The strip shows all of the cycle or a part of it, and goes with the crank.
#include "viewer/cylinder_shown.hpp"
#include "viewer/readings.hpp"
#include "viewer/screen_checks.hpp"
#include "viewer/strip_span.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

TEST_CASE("the strip tells what its curves come to under the pointer") {
  Driver driver;
  const ScreenRect strip = driver.where("strip");
  const auto over = [&](double crank_deg) {
    driver.point(strip.left + strip.width() * static_cast<float>(crank_deg / 720.0), strip.top + 60);
    driver.settle();
  };
  const Mechanism& planned = driver.bench().planned().mechanism;
  over(106.0);
  CHECK(driver.shows_in("hint", "106°, 74° BBDC"));
  const std::string open = "inlet open " + length_text(planned.valve_lift_mm(ValveKind::inlet, 1, 106.0), Units::mm);
  CHECK(driver.shows_in("hint", open + ", now open "));
  CHECK(driver.shows_in("hint", "exhaust shut, now shut"));
  CHECK(driver.shows_in("hint", "piston " + length_text(planned.piston_drop_mm(1, 106.0), Units::mm) + " down"));
  CHECK_FALSE(driver.shows_in("hint", "to piston")); // too far to matter
  over(5.0);
  CHECK(driver.shows_in("hint", "inlet to piston "));
  // It only looks: the engine stands where it stood.
  CHECK(driver.view().crank_deg == 0.0);
  driver.point(strip.left, 300);
  driver.settle();
  CHECK_FALSE(driver.shows_in("hint", "piston"));
}

TEST_CASE("the strip is zoomed about the crank, and back") {
  Driver driver;
  driver.drag("strip", 0.1f, 0.25f);
  const double crank_deg = driver.view().crank_deg;
  CHECK_THAT(strip_times(driver.view()), WithinAbs(1.0, 1e-12));
  for (const double times : {2.0, 4.0, 8.0, 12.0}) {
    driver.click("strip.closer");
    CHECK_THAT(strip_times(driver.view()), WithinAbs(times, 1e-9));
    CHECK(strip_span(driver.view()).holds(crank_deg));
    CHECK(driver.view().crank_deg == crank_deg);
    check_apart(driver, "strip");
    check_texts(driver);
  }
  driver.keep("strip-zoomed");
  // Nothing closer than that.
  driver.click("strip.closer");
  CHECK_THAT(strip_times(driver.view()), WithinAbs(12.0, 1e-9));
  for (int i = 0; i < 6; ++i) driver.click("strip.farther");
  CHECK(strip_span(driver.view()).low_deg == 0.0);
  CHECK(strip_span(driver.view()).high_deg == 720.0);
}

TEST_CASE("a finer drag along the zoomed strip") {
  Driver driver;
  driver.drag("strip", 0.1f, 0.5f);
  driver.click("strip.closer");
  driver.click("strip.closer");
  const StripSpan span = strip_span(driver.view());
  CHECK_THAT(span.high_deg - span.low_deg, WithinAbs(180.0, 1e-9));
  driver.drag("strip", 0.1f, 0.75f);
  CHECK_THAT(driver.view().crank_deg, WithinAbs(span.low_deg + 0.75 * 180.0, 0.2));
  CHECK(strip_span(driver.view()).low_deg == span.low_deg); // it stays while it is held, and after
}

TEST_CASE("the zoomed strip follows the crank through the whole cycle, either way") {
  for (const double by_deg : {13.0, -13.0}) {
    Driver driver;
    for (int i = 0; i < 4; ++i) driver.click("strip.closer");
    View view = driver.view();
    for (int step = 0; step < 120; ++step) {
      view.crank_deg += by_deg;
      view.turning = by_deg > 0.0 ? Turning::forward : Turning::backward;
      follow_crank(view, view.crank_deg);
      INFO("at " << view.crank_deg);
      CHECK(strip_span(view).holds(wrap_720(view.crank_deg)));
      CHECK(strip_span(view).low_deg >= 0.0);
      CHECK(strip_span(view).high_deg <= 720.0);
      CHECK(std::round(strip_span(view).low_deg) == strip_span(view).low_deg);
    }
  }
}

TEST_CASE("keys and text stay apart on a zoomed strip at every place of the cycle") {
  for (const auto& [width_px, height_px] : {std::pair{1024, 700}, std::pair{1280, 800}}) {
    Driver driver(width_px, height_px);
    driver.click("strip.closer");
    driver.click("strip.closer");
    for (int place = 0; place < 12; ++place) {
      for (int i = 0; i < 6; ++i) driver.key(Key::right, false, true);
      driver.settle();
      INFO(width_px << " wide, at " << driver.view().crank_deg);
      check_screen(driver);
    }
  }
}

TEST_CASE("the strip and the picture show a cylinder of choice by its own dead centres") {
  Driver driver;
  REQUIRE(driver.bench().engine().block.firing_order == std::vector<int>{1, 3, 4, 2});
  driver.key(Key::digit_4);
  driver.settle();
  const std::uint64_t first = driver.picture().hash();
  const auto flags = [&] {
    std::vector<std::string> words;
    for (const DrawnText& text : driver.recorder().texts)
      if (text.panel == "strip" && text.text.find("opens") != std::string::npos) words.push_back(text.text);
    return words;
  };
  const std::vector<std::string> of_first = flags();
  REQUIRE_FALSE(of_first.empty());

  driver.click("strip.cylinder");
  REQUIRE(driver.view().cylinder == 3); // as they fire: half a turn after No. 1
  CHECK(driver.view().crank_deg == 0.0);
  CHECK(driver.picture().hash() != first);
  CHECK(driver.shows_in("strip", "No. 3, 540.0°"));
  const Mechanism& planned = driver.bench().planned().mechanism;
  CHECK(driver.shows_in("strip", "piston " + length_text(planned.piston_drop_mm(3, 0.0), Units::mm) + " down"));
  const auto named = [&](const std::string& name) {
    return std::ranges::any_of(driver.picture().scene().parts, [&](const PartInfo& part) { return part.name == name; });
  };
  CHECK(named("inlet valve No. 3"));
  CHECK_FALSE(named("inlet valve No. 1"));
  // The maker times every cylinder alike: the events' words differ by no more than the chain's ripple rounds to.
  CHECK(flags().size() == of_first.size());
  check_apart(driver, "strip");
  check_texts(driver);
  driver.keep("strip-cylinder");

  // Dragged to a place on the strip, the crank stands so much past that cylinder's own overlap TDC.
  const ScreenRect strip = driver.where("strip");
  driver.drag("strip", 0.75f, 0.25f);
  CHECK_THAT(driver.view().crank_deg, WithinAbs(180.0 - 720.0 + 180.0, 1.0));
  const double own_deg = own_crank_deg(driver.bench(), driver.view());
  CHECK_THAT(wrap_720(own_deg), WithinAbs(180.0, 1.0));
  driver.point(strip.left + strip.width() * 106.0f / 720.0f, strip.top + 60);
  driver.settle();
  CHECK(driver.shows_in("hint", "No. 3, 106°, 74° BBDC"));
  CHECK(driver.shows_in("hint",
                        "inlet open " + length_text(planned.valve_lift_mm(ValveKind::inlet, 3, 286.0), Units::mm)));

  for (const int number : {4, 2, 1}) {
    driver.key(Key::n);
    driver.settle();
    CHECK(driver.view().cylinder == number);
  }
  driver.key(Key::n, false, true);
  driver.settle();
  CHECK(driver.view().cylinder == 2);
}

TEST_CASE("the gap is least where the strip's own degrees say so, whatever the cylinder") {
  Driver driver;
  driver.click("step.clearance");
  for (int i = 0; i < 4; ++i) {
    driver.click("least.go.inlet");
    const double least_deg = driver.bench().planned().standing.now.inlet->at_crank_deg;
    CHECK_THAT(wrap_720(own_crank_deg(driver.bench(), driver.view())), WithinAbs(least_deg, 1e-6));
    CHECK(driver.shows_in("strip", "inlet "));
    driver.key(Key::n);
    driver.settle();
  }
}

TEST_CASE("what belongs to another cylinder than No. 1 says so, and readings count from No. 1") {
  Driver driver;
  driver.key(Key::digit_4);
  driver.key(Key::n);
  driver.settle();
  REQUIRE(driver.view().cylinder == 3);
  CHECK(driver.shows_in("strip", "No. 1 at TDC")); // the large figure's
  CHECK(driver.shows_in("scene", "inlet valve No. 3"));
  CHECK(driver.shows_in("scene", "exhaust valve No. 3"));
  driver.click("step.clearance");
  driver.key(Key::p);
  driver.key(Key::p);
  driver.settle();
  REQUIRE(driver.shows_in("side", "crank, of No. 1"));
  for (int i = 0; i < 192; ++i) driver.key(Key::right);
  driver.settle();
  CHECK_THAT(driver.view().crank_deg, WithinAbs(192.0, 1e-9));
  CHECK(new_reading_deg(driver.view()) == 192.0);
  // The piston stop is in No. 1, and is not drawn beside another.
  driver.click("step.readings");
  const auto stop = [&] {
    return std::ranges::any_of(driver.picture().scene().parts,
                               [](const PartInfo& part) { return part.name == "piston stop"; });
  };
  CHECK_FALSE(stop());
  for (int i = 0; i < 3; ++i) driver.key(Key::n);
  driver.settle();
  REQUIRE(driver.view().cylinder == 1);
  CHECK(stop());
}

TEST_CASE("another cylinder's gaps are figured where they are drawn") {
  Driver driver;
  driver.key(Key::digit_4);
  driver.key(Key::n);
  driver.settle();
  driver.drag("strip", 0.76f, 0.985f); // forward, to about its own overlap
  CHECK(driver.shows_in("scene", "inlet to piston"));
  CHECK(driver.shows_in("scene", "exhaust to piston"));
  check_apart(driver, "scene");
}

TEST_CASE("an engine of one cylinder has none to choose") {
  Driver driver(Overrides{"block.cylinders=1", "block.firing_order=[1]", "measured.lobe=[]"});
  CHECK_FALSE(driver.has("strip.cylinder"));
  driver.key(Key::n);
  driver.settle();
  CHECK(driver.view().cylinder == 1);
}
