// The panels of valves and clearances: pages, cylinders, what is assumed, and readings that are added, changed and
// taken away.
#include "viewer/driver.hpp"
#include "viewer/frame.hpp"

#include "support/catch.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

const std::vector<ClearanceReading>& readings(Driver& driver) {
  return driver.bench().document().measured.clearance;
}

double least_mm(Driver& driver, ValveKind kind) {
  return least_of(driver.bench().planned().standing.now, kind)->least_mm;
}

} // namespace

TEST_CASE("pages are turned by pressing and by key") {
  Driver driver;
  driver.click("step.valves");
  CHECK(driver.shows_in("side", "Lash taken up"));
  driver.click("valves.page.lobes");
  CHECK(driver.shows_in("side", "jerk"));
  CHECK(driver.has("lobes.acceleration"));
  driver.key(Key::p);
  driver.settle();
  CHECK(driver.view().valves_page == ValvesPage::compression);
  CHECK(driver.shows_in("side", "a rough estimate"));
  driver.key(Key::p, false, true);
  CHECK(driver.view().valves_page == ValvesPage::lobes);
  driver.click("step.clearance");
  driver.key(Key::p);
  driver.settle();
  CHECK(driver.has("clearance.plot"));
  CHECK(driver.view().valves_page == ValvesPage::lobes); // each step has its own
}

TEST_CASE("another cylinder's events are its own, from its own dead centres") {
  Driver driver;
  driver.click("step.valves");
  const auto inlet_of = [&](int cylinder) {
    return *events_of(*driver.bench().planned().events_of(cylinder), ValveKind::inlet);
  };
  // Firing order 1-3-4-2, evenly: No. 3 comes 180 degrees after No. 1.
  const double later = inlet_of(3).at_check.closes_deg - inlet_of(1).at_check.closes_deg;
  CHECK_THAT(std::remainder(later - 180.0, 720.0), WithinAbs(0.0, 0.05)); // the chain's ripple
  driver.click("cylinder.3");
  CHECK(driver.view().cylinder == 3);
  CHECK(driver.shows_in("side", event_words(EventKind::inlet_closes, inlet_of(3).at_check.closes_deg - 180.0)));
  driver.key(Key::n);
  CHECK(driver.view().cylinder == 4); // as they fire
  driver.key(Key::n, false, true);
  driver.key(Key::n, false, true);
  CHECK(driver.view().cylinder == 1);
}

TEST_CASE("cranking pressure follows what is assumed, in range") {
  Driver driver;
  driver.click("step.valves");
  driver.click("valves.page.compression");
  const auto gauge_words = [&] {
    const KindEvents* inlet = events_of(*driver.bench().planned().events, ValveKind::inlet);
    const Compression ratios = compression(driver.bench().engine().block, inlet->at_lash.closes_deg);
    return figure(cranking_pressure(ratios.effective_ratio, driver.view().cranking).gauge_kpa, 0) + " kPa";
  };
  CHECK(driver.shows_in("side", gauge_words()));
  const std::string at_sea_level = gauge_words();
  driver.enter("valves.altitude", "1500");
  CHECK(driver.view().cranking.altitude_m == 1500.0);
  CHECK(gauge_words() != at_sea_level);
  CHECK(driver.shows_in("side", gauge_words()));
  CHECK_FALSE(driver.shows_in("side", at_sea_level));
  driver.enter("valves.exponent", "1.6");
  CHECK(driver.view().cranking.exponent == 1.3);
  CHECK(driver.shows_in("side", "1 to 1.40"));
  driver.click("valves.exponent.minus");
  CHECK_THAT(driver.view().cranking.exponent, WithinAbs(1.25, 1e-9));
}

TEST_CASE("a reading that is changed moves the clearance, and undo brings both back") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  const double before_mm = least_mm(driver, ValveKind::inlet);
  const double exhaust_mm = least_mm(driver, ValveKind::exhaust);
  const double read_mm = readings(driver).at(0).clearance_mm;
  REQUIRE(readings(driver).at(0).valve == ValveKind::inlet);
  driver.enter("reading.1.gap", figure(read_mm - 0.25, 2));
  CHECK_THAT(readings(driver).at(0).clearance_mm, WithinAbs(read_mm - 0.25, 1e-9));
  // An upright valve over a flat crown: what the gap is less in one place it is less everywhere.
  CHECK_THAT(least_mm(driver, ValveKind::inlet), WithinAbs(before_mm - 0.25, 1e-6));
  CHECK_THAT(least_mm(driver, ValveKind::exhaust), WithinAbs(exhaust_mm, 1e-12));
  CHECK(driver.bench().undo_what() == "clearance reading");
  driver.key(Key::z, true);
  driver.settle();
  CHECK(readings(driver).at(0).clearance_mm == read_mm);
  CHECK(least_mm(driver, ValveKind::inlet) == before_mm);
}

TEST_CASE("a reading out of range is refused beside its field") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  const double before_deg = readings(driver).at(0).crank_deg;
  driver.enter("reading.1.crank", "800");
  CHECK(readings(driver).at(0).crank_deg == before_deg);
  CHECK(driver.shows_in("side", "0 to 720°"));
  driver.enter("reading.1.gap", "near");
  CHECK(driver.shows_in("side", "not a number"));
}

TEST_CASE("readings are added where the crank stands, told to be for either valve, and taken away") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  const std::size_t before = readings(driver).size();
  driver.click("reading.add"); // nothing has been measured yet
  CHECK(readings(driver).size() == before);
  driver.drag("strip", 0.005f, 10.0f / 720.0f);
  driver.enter("reading.new.gap", "3.4");
  driver.click("reading.add");
  REQUIRE(readings(driver).size() == before + 1);
  CHECK(readings(driver).back().valve == ValveKind::inlet);
  CHECK_THAT(readings(driver).back().crank_deg, WithinAbs(driver.view().crank_deg, 0.051));
  CHECK(readings(driver).back().clearance_mm == 3.4);
  CHECK(driver.bench().fitted().standing.model->fit(ValveKind::inlet).readings == 2);
  const std::string last = "reading." + std::to_string(before + 1);
  driver.click(last + ".valve.ex");
  CHECK(readings(driver).back().valve == ValveKind::exhaust);
  driver.click(last + ".remove");
  CHECK(readings(driver).size() == before);
  driver.click("undo");
  CHECK(readings(driver).size() == before + 1);
}

TEST_CASE("readings are added and taken away by key as well") {
  Driver driver;
  driver.key(Key::a); // no readings are shown
  const std::size_t before = readings(driver).size();
  driver.click("step.clearance");
  driver.key(Key::p, false, true);
  driver.settle();
  REQUIRE(driver.view().clearance_page == ClearancePage::readings);
  driver.key(Key::a); // nothing measured
  CHECK(readings(driver).size() == before);
  driver.enter("reading.new.gap", "3.6");
  driver.key(Key::x);
  driver.key(Key::a);
  driver.settle();
  REQUIRE(readings(driver).size() == before + 1);
  CHECK(readings(driver).back().valve == ValveKind::exhaust);
  driver.key(Key::del);
  driver.settle();
  CHECK(readings(driver).size() == before);
}

TEST_CASE("readings that disagree are said to") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  driver.enter("reading.new.gap", "1");
  driver.click("reading.add");
  CHECK(driver.shows_in("side", "The inlet readings disagree."));
  driver.click("clearance.page.least");
  CHECK(driver.shows_in("side", "disagree"));
}

TEST_CASE("without readings the dimensions count, and it is said") {
  Driver driver(Overrides{"measured.clearance=[]"});
  driver.click("step.clearance");
  CHECK(driver.shows_in("side", "not yet measured"));
}

TEST_CASE("valves too near each other are said to be, first") {
  Driver driver(Overrides{"target.min_valve_to_valve_mm=10"});
  REQUIRE(driver.bench().planned().standing.now.between);
  driver.click("step.clearance");
  CHECK(driver.shows_in("side", "The valves come too near each other."));
  CHECK(driver.shows_in("side", "valve to valve"));
  CHECK(driver.bench().planned().standing.safe() == false);
}

TEST_CASE("over a limit by less than it may be out by is told from clear", "[doubt]") {
  const Result<Opened> opened =
      open_any(PHASEWRIGHT_MODELS "/marram-1420.toml", {}, Overrides{"target.min_clearance_inlet_mm=2.8"});
  REQUIRE(opened.ok());
  Driver driver(*opened);
  driver.click("step.clearance");
  CHECK(driver.bench().planned().standing.safe() == true);
  CHECK(driver.bench().planned().standing.doubtful());
  CHECK(clearance_standing(driver.bench().planned()) == Verdict::warning);
  CHECK(step_verdict(driver.bench(), Step::clearance) == Verdict::warning);
  CHECK(driver.shows_in("side", "Too near to tell at the inlet valve"));
  CHECK_FALSE(driver.shows_in("side", "Clear of the pistons"));
  driver.keep("too-near-to-tell");
}

TEST_CASE("over a limit by more than it may be out by is clear", "[doubt]") {
  const Result<Opened> opened = open_any(PHASEWRIGHT_MODELS "/marram-1420.toml");
  REQUIRE(opened.ok());
  Driver clear(*opened);
  clear.click("step.clearance");
  CHECK(clearance_standing(clear.bench().planned()) == Verdict::good);
  CHECK(clear.shows_in("side", "Clear of the pistons"));
}

TEST_CASE("how far the camshaft may go is the lesser of now and worn") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.against phase");
  const State& state = driver.bench().planned();
  REQUIRE(state.standing.model_worn);
  const double limit_mm = axial_limit_mm(state.target, ValveKind::exhaust);
  const ClearanceQuality now = state.standing.model->quality(ValveKind::exhaust, limit_mm);
  const ClearanceQuality worn = state.standing.model_worn->quality(ValveKind::exhaust, limit_mm);
  // A worn chain retards the camshaft, which takes from the exhaust valve's room that way.
  REQUIRE(now.retard_to_limit_deg);
  REQUIRE(worn.retard_to_limit_deg);
  CHECK(std::fabs(*worn.retard_to_limit_deg) < std::fabs(*now.retard_to_limit_deg) - 0.1);
  CHECK(driver.shows_in("side", deg_text(std::fabs(*worn.retard_to_limit_deg)) + " more retard"));
  CHECK_FALSE(driver.shows_in("side", deg_text(std::fabs(*now.retard_to_limit_deg)) + " more retard"));
  CHECK(driver.shows_in("side", "worn; no advance up to 60° reaches it"));
}

TEST_CASE("turned back no reading is added, and it is said why") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  driver.drag("strip", 0.005f, 10.0f / 720.0f);
  driver.key(Key::left);
  driver.settle();
  const std::size_t before = readings(driver).size();
  driver.enter("reading.new.gap", "3.4");
  driver.click("reading.add");
  driver.key(Key::a);
  driver.settle();
  CHECK(readings(driver).size() == before);
  CHECK(driver.shows_in("side", "turned back: turn forward"));
  CHECK(driver.view().reading.clearance_mm == 3.4); // what is typed in stays
  for (int i = 0; i < 30 && driver.view().turning == Turning::backward; ++i) driver.key(Key::right);
  driver.settle();
  driver.click("reading.add");
  CHECK(readings(driver).size() == before + 1);
  CHECK(driver.view().reading.clearance_mm == 0.0);
}

TEST_CASE("where valve and piston are too far apart to be felt no reading is added") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  const std::size_t before = readings(driver).size();
  driver.enter("reading.new.gap", "3.4");
  driver.enter("reading.new.crank", "100");
  CHECK(driver.shows_in("side", "too far to feel"));
  driver.click("reading.add");
  CHECK(readings(driver).size() == before);
  driver.enter("reading.new.crank", "12");
  CHECK_FALSE(driver.shows_in("side", "too far to feel"));
  driver.click("reading.add");
  CHECK(readings(driver).size() == before + 1);
}

TEST_CASE("readings that can hardly be right are cautioned against") {
  Driver driver(Overrides{"measured.clearance=[{ valve = \"inlet\", crank_deg = 12, clearance_mm = 9.5 }]"});
  driver.click("step.clearance");
  CHECK(driver.bench().planned().standing.model->fit(ValveKind::inlet).wild);
  CHECK(driver.bench().planned().standing.safe() == true);
  CHECK(driver.shows_in("side", "Clear, but by readings"));
  CHECK(step_verdict(driver.bench(), Step::clearance) == Verdict::warning);
  driver.click("clearance.page.readings");
  CHECK(driver.shows_in("side", "The inlet readings can hardly be right."));
  driver.keep("wild");
}

TEST_CASE("a gap may be typed in any unit of length") {
  Driver driver;
  driver.click("step.clearance");
  driver.click("clearance.page.readings");
  const auto typed_mm = [&](const char* text) {
    driver.enter("reading.new.gap", text);
    return driver.view().reading.clearance_mm;
  };
  CHECK_THAT(typed_mm("100 thou"), WithinAbs(2.54, 1e-9));
  CHECK_THAT(typed_mm("0.1in"), WithinAbs(2.54, 1e-9));
  CHECK_THAT(typed_mm("3"), WithinAbs(3.0, 1e-9));
  driver.key(Key::u);
  CHECK_THAT(typed_mm("120"), WithinAbs(3.048, 1e-9));
  CHECK_THAT(typed_mm("3.55mm"), WithinAbs(3.55, 1e-9));
  CHECK(driver.shows_in("side", "139.8 th")); // not 139.7638
  CHECK_FALSE(driver.shows_in("side", "139.76"));
  CHECK_THAT(typed_mm("50mm"), WithinAbs(50.0, 1e-9)); // the greatest there may be
  CHECK_THAT(typed_mm("50.01mm"), WithinAbs(50.0, 1e-9));
}

TEST_CASE("the gaps stay in the picture when the camera is moved by hand, and turned back it is said where they went") {
  Driver driver;
  driver.click("step.clearance");
  const auto gaps = [&] {
    const auto& labels = driver.picture().scene().labels;
    return std::ranges::any_of(labels, [](const Label& label) { return label.figure == "inlet to piston"; });
  };
  REQUIRE(gaps());
  driver.wheel("scene", 1.0f);
  CHECK_FALSE(driver.view().framed);
  CHECK(gaps());
  CHECK(driver.has("label.inlet valve"));
  driver.drag("scene", 0.3f, 0.33f, 0.6f, 0.6f);
  CHECK(gaps());
  driver.key(Key::left);
  driver.settle();
  CHECK_FALSE(gaps());
  CHECK(driver.shows_in("scene", "read gaps"));
  driver.click("view.end");
  CHECK_FALSE(driver.shows_in("scene", "read gaps"));
}

TEST_CASE("the crank is turned forward to where a gap is least") {
  Driver driver;
  driver.click("step.clearance");
  driver.key(Key::left);
  driver.click("least.go.inlet");
  CHECK(driver.view().turning == Turning::forward);
  CHECK_THAT(std::remainder(driver.view().crank_deg -
                                least_of(driver.bench().planned().standing.now, ValveKind::inlet)->at_crank_deg,
                            720.0),
             WithinAbs(0.0, 1e-6));
}

TEST_CASE("turned back, the strip says whose curves it shows") {
  Driver driver;
  CHECK_FALSE(driver.shows_in("strip", "curves as turned forward"));
  driver.key(Key::left);
  driver.settle();
  CHECK(driver.shows_in("strip", "curves as turned forward"));
}

TEST_CASE("the words beside the drive leave it in sight") {
  const Result<Opened> opened = open_any(PHASEWRIGHT_MODELS "/marram-2050.toml");
  REQUIRE(opened.ok());
  Driver driver(*opened, 960, 640);
  driver.key(Key::left);
  driver.settle();
  CHECK(driver.shows_in("scene", "turned back"));
  driver.keep("960x640-turned-back");
}
