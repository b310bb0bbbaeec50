// The panels of valves and clearances: pages, cylinders, what is assumed, and readings that are added, changed and
// taken away.
#include "viewer/driver.hpp"
#include "viewer/frame.hpp"

#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

const std::vector<ClearanceReading>& readings(Driver& driver) {
  return driver.bench().document().readings;
}

double least_mm(Driver& driver, ValveKind kind) {
  return least_of(driver.bench().planned().clearances, kind)->least_mm;
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
  driver.drag("strip", 0.5f, 10.0f / 720.0f);
  driver.enter("reading.new.gap", "3.4");
  driver.click("reading.add");
  REQUIRE(readings(driver).size() == before + 1);
  CHECK(readings(driver).back().valve == ValveKind::inlet);
  CHECK_THAT(readings(driver).back().crank_deg, WithinAbs(driver.view().crank_deg, 0.051));
  CHECK(readings(driver).back().clearance_mm == 3.4);
  CHECK(driver.bench().fitted().model->fit(ValveKind::inlet).readings == 2);
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
  REQUIRE(driver.bench().planned().clearances.between);
  driver.click("step.clearance");
  CHECK(driver.shows_in("side", "The valves come too near each other."));
  CHECK(driver.shows_in("side", "valve to valve"));
  CHECK(driver.bench().planned().safe == false);
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
