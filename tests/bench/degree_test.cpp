#include "bench/degree.hpp"

#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>
#include <limits>

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

const Instruments instruments{.wheel_deg = 0.5, .indicator_mm = 0.01};

// What would be read without any error off a wheel to which `correction_deg` must be added.
LobeReading read_off(const Mechanism& mechanism, ValveKind valve, double lift_mm, int cylinder = 1,
                     double correction_deg = 0.0, Turning opening = Turning::forward,
                     Turning closing = Turning::forward) {
  LobeReading reading{
      .valve = valve, .cylinder = cylinder, .lift_mm = lift_mm, .at = {}, .opens_deg = 0, .closes_deg = 0};
  reading.opens_deg = wrap_720(foretell_pair(mechanism, reading, opening)->opens.crank_deg - correction_deg);
  reading.closes_deg = wrap_720(foretell_pair(mechanism, reading, closing)->closes.crank_deg - correction_deg);
  return reading;
}

Measured four_pairs(const Mechanism& mechanism, double correction_deg = 0.0, int cylinder = 1) {
  Measured measured;
  measured.with = mechanism.fitted();
  for (const ValveKind valve : {ValveKind::inlet, ValveKind::exhaust})
    for (const double lift_mm : {3.0, 5.0})
      measured.lobe.push_back(read_off(mechanism, valve, lift_mm, cylinder, correction_deg));
  return measured;
}

std::array<double, 2> stop_off(const SliderCrank& crank, double drop_mm, double correction_deg) {
  const std::array<double, 2> stop = *foretell_stop(crank, drop_mm);
  return {stop[0] - correction_deg, stop[1] - correction_deg};
}

DegreeRead read_of(const Engine& engine, const Measured& measured) {
  Result<DegreeRead> read = read_degree(engine, measured, instruments);
  if (!read) FAIL(to_text(read.problems()));
  return *std::move(read);
}

Mechanism assembled(const Engine& engine, const Fitted& fitted = {}) {
  return *Mechanism::assemble(engine, fitted);
}

} // namespace

// Wheel ------------------------------------------------------------------------------------------

TEST_CASE("without pin offset the wheel is out by the midpoint of a stop pair", "[degree]") {
  Measured measured;
  measured.stop_deg = {{-47.5, 49.0}};
  const WheelZero wheel = read_of(small_engine(), measured).wheel;
  CHECK(wheel.read);
  CHECK_THAT(wheel.tdc_correction_deg, WithinAbs(-0.75, 1e-9));
  // Two readings within 0.5 either way: u = 0.5 / sqrt 3 / sqrt 2.
  CHECK_THAT(wheel.u_deg, WithinAbs(0.5 / std::sqrt(6.0), 1e-12));
  REQUIRE(wheel.pairs.size() == 1);
  const double y_mm =
      43.5 * std::cos(radians(48.25)) + std::sqrt(152.0 * 152.0 - std::pow(43.5 * std::sin(radians(48.25)), 2));
  CHECK_THAT(wheel.pairs[0].drop_mm, WithinAbs(43.5 + 152.0 - y_mm, 1e-9));
}

TEST_CASE("a wheel may be numbered either way", "[degree]") {
  for (const std::array<double, 2>& stop :
       {std::array{312.5, 49.0}, std::array{672.5, 49.0}, std::array{-47.5, 409.0}, std::array{312.5, 409.0}}) {
    Measured measured;
    measured.stop_deg = {stop, {-47.5, 49.0}};
    const WheelZero wheel = read_of(small_engine(), measured).wheel;
    CHECK_THAT(wheel.tdc_correction_deg, WithinAbs(-0.75, 1e-9));
    CHECK_FALSE(wheel.scattered);
  }
}

TEST_CASE("a wheel nearly half a turn out is not averaged across the break", "[degree]") {
  Measured measured;
  const SliderCrank crank(small_engine().block);
  measured.stop_deg = {stop_off(crank, 20.0, 179.8), stop_off(crank, 25.0, -179.8)};
  CHECK_THAT(std::fabs(read_of(small_engine(), measured).wheel.tdc_correction_deg), WithinAbs(180.0, 1e-9));
}

TEST_CASE("an offset pin is allowed for exactly", "[degree]") {
  for (const double offset_mm : {1.5, -1.5, 8.0}) {
    Engine engine = small_engine();
    engine.block.pin_offset_mm = offset_mm;
    const SliderCrank crank(engine.block);
    for (const double drop_mm : {3.0, 20.0, 40.0})
      for (const double correction_deg : {0.0, 3.2, -11.0}) {
        Measured measured;
        measured.stop_deg = {stop_off(crank, drop_mm, correction_deg)};
        const WheelZero wheel = read_of(engine, measured).wheel;
        CHECK_THAT(wheel.tdc_correction_deg, WithinAbs(correction_deg, 1e-8));
        CHECK_THAT(wheel.pairs[0].drop_mm, WithinAbs(drop_mm, 1e-8));
        // The midpoint alone would be wrong.
        const double midpoint_deg = -(measured.stop_deg[0][0] + measured.stop_deg[0][1]) / 2.0;
        CHECK(std::fabs(midpoint_deg - correction_deg) > 0.005);
      }
  }
}

TEST_CASE("stop pairs are repeats and widen what they disagree on", "[degree]") {
  Measured measured;
  measured.stop_deg = {{-47.5, 49.0}, {-47.1, 49.0}};
  const WheelZero near = read_of(small_engine(), measured).wheel;
  CHECK_THAT(near.tdc_correction_deg, WithinAbs(-0.85, 1e-9));
  CHECK_THAT(near.u_deg, WithinAbs(0.5 / std::sqrt(12.0), 1e-12));
  CHECK_THAT(near.pairs[0].left_deg, WithinAbs(0.1, 1e-9));
  CHECK_FALSE(near.scattered);
  // 1.5 apart with u 0.204 each: sum of squares (1.5 / 0.204)^2 / 2 = 27, and sqrt of it the Birge ratio.
  measured.stop_deg = {{-47.5, 49.0}, {-47.5, 52.0}};
  const WheelZero apart = read_of(small_engine(), measured).wheel;
  CHECK(apart.scattered);
  CHECK_THAT(apart.u_deg, WithinAbs(0.75, 1e-9)); // half of what lies between them
}

TEST_CASE("without stop readings the wheel is taken to stand right within its limit", "[degree]") {
  const DegreeRead read = read_of(small_engine(), four_pairs(assembled(small_engine())));
  CHECK_FALSE(read.wheel.read);
  CHECK(read.wheel.tdc_correction_deg == 0.0);
  CHECK_THAT(read.wheel.u_deg, WithinAbs(0.5 / std::sqrt(3.0), 1e-12));
}

TEST_CASE("a stop pair against three that agree is left out", "[degree]") {
  Measured measured;
  measured.stop_deg = {{-47.5, 49.0}, {-47.0, 49.5}, {-47.5, 57.0}, {-48.0, 48.5}};
  const DegreeRead read = read_of(small_engine(), measured);
  CHECK(read.wheel.pairs[2].left_out);
  CHECK_THAT(read.wheel.tdc_correction_deg, WithinAbs(-(0.75 + 1.25 + 0.25) / 3.0, 1e-9));
  REQUIRE(read.outliers.size() == 1);
  CHECK(read.outliers[0] == "stop readings 3: they say -4.75°, the 3 others -0.75°; left out, read them again");
  measured.stop_deg.pop_back();
  const DegreeRead fewer = read_of(small_engine(), measured);
  CHECK(fewer.outliers.empty());
  CHECK(fewer.wheel.scattered);
}

// Lobes ------------------------------------------------------------------------------------------

TEST_CASE("true readings give back where the drive stands", "[degree]") {
  Fitted fitted;
  fitted.crank_key_deg = 2.0;
  fitted.elongation_percent = 0.5;
  const Mechanism mechanism = assembled(small_engine(), fitted);
  for (const int cylinder : {1, 2, 3, 4}) {
    Measured measured = four_pairs(mechanism, -3.7, cylinder);
    measured.stop_deg = {stop_off(mechanism.slider_crank(), 20.0, -3.7)};
    const DegreeRead read = read_of(small_engine(), measured);
    REQUIRE(read.lobes.size() == 2);
    REQUIRE(read.camshafts.size() == 1);
    const Events events = *valve_events(mechanism, cylinder);
    CHECK(read.lobes[0].valve == ValveKind::inlet);
    CHECK(read.lobes[0].cylinder == cylinder);
    CHECK(read.lobes[0].card_deg == 106.0);
    CHECK_THAT(read.lobes[0].centre_deg, WithinAbs(events.camshafts[0].inlet->centre_deg, 1e-7));
    CHECK_THAT(read.lobes[1].centre_deg, WithinAbs(events.camshafts[0].exhaust->centre_deg, 1e-7));
    CHECK_THAT(read.lobes[0].drawn_deg, WithinAbs(events.camshafts[0].inlet->centre_deg, 1e-9));
    CHECK_THAT(read.camshafts[0].phase_deg, WithinAbs(mechanism.drive().phase_deg(), 1e-7));
    CHECK_THAT(read.camshafts[0].extra_deg, WithinAbs(0.0, 1e-7));
    CHECK_THAT(*read.camshafts[0].lobes_apart_deg, WithinAbs(0.0, 1e-7));
    CHECK_FALSE(read.camshafts[0].off_drawn);
    CHECK_FALSE(read.camshafts[0].lobes_disagree);
    CHECK(read.slips.empty());
    CHECK(read.outliers.empty());
    CHECK(found_by_readings(small_engine(), read).empty());
    for (const LobeRead& lobe : read.lobes)
      for (const PairRead& pair : lobe.pairs) {
        CHECK_THAT(pair.middle_deg, WithinAbs(pair.foretold_deg, 1e-7));
        CHECK_THAT(pair.duration_deg, WithinAbs(pair.foretold_duration_deg, 1e-7));
      }
  }
}

// Inlet counts after TDC and exhaust before it, so an advanced camshaft has the lesser inlet and the greater exhaust
// figure.
TEST_CASE("an advance nothing explains is found and can be kept", "[degree]") {
  Fitted ahead;
  ahead.found_deg = 3.0;
  Measured measured = four_pairs(assembled(small_engine(), ahead));
  measured.with = {};
  measured.stop_deg = {stop_off(SliderCrank(small_engine().block), 20.0, 0.0)};
  const DegreeRead read = read_of(small_engine(), measured);
  const CamshaftRead& camshaft = read.camshafts[0];
  CHECK_THAT(camshaft.phase_deg, WithinAbs(3.0, 1e-6));
  CHECK_THAT(camshaft.extra_deg, WithinAbs(3.0, 1e-6));
  CHECK(camshaft.off_card);
  CHECK(camshaft.off_drawn);
  CHECK_THAT(read.lobes[0].centre_deg, WithinAbs(103.0, 0.03));
  CHECK_THAT(read.lobes[1].centre_deg, WithinAbs(113.0, 0.03));
  const auto found = found_by_readings(small_engine(), read);
  REQUIRE(found.size() == 1);
  CHECK_THAT(found.at("cam"), WithinAbs(3.0, 1e-6));
  // Fitted with it the readings are explained, and later ones with more add to it.
  measured.with.found_of = found;
  const DegreeRead again = read_of(small_engine(), measured);
  CHECK_THAT(again.camshafts[0].extra_deg, WithinAbs(0.0, 1e-6));
  CHECK(found_by_readings(small_engine(), again).empty());
  measured.with.found_of["cam"] = -2.0;
  const DegreeRead more = read_of(small_engine(), measured);
  CHECK_THAT(more.camshafts[0].extra_deg, WithinAbs(5.0, 1e-6));
  CHECK_THAT(found_by_readings(small_engine(), more).at("cam"), WithinAbs(3.0, 1e-6));
}

TEST_CASE("a difference within twice its uncertainty is not called real", "[degree]") {
  for (const auto& [deg, real] : {std::pair{0.35, false}, std::pair{0.7, true}}) {
    Fitted ahead;
    ahead.found_deg = -deg;
    Measured measured = four_pairs(assembled(small_engine(), ahead));
    measured.with = {};
    measured.stop_deg = {stop_off(SliderCrank(small_engine().block), 20.0, 0.0)};
    const DegreeRead read = read_of(small_engine(), measured);
    CHECK(2.0 * read.camshafts[0].u_deg > 0.35);
    CHECK(2.0 * read.camshafts[0].u_deg < 0.7);
    CHECK(read.camshafts[0].off_card == real);
    CHECK(found_by_readings(small_engine(), read).empty() == !real);
  }
}

// By hand: a middle is half the sum of two sides, each with the wheel's limit and the indicator's over the slope.
TEST_CASE("a pair near the nose is known less well and counts for less", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured;
  measured.lobe = {read_off(mechanism, ValveKind::inlet, 3.0), read_off(mechanism, ValveKind::inlet, 6.88)};
  measured.lobe[1].opens_deg += 4.0;
  measured.lobe[1].closes_deg += 4.0;
  const LobeRead lobe = read_of(small_engine(), measured).lobes[0];
  std::array<double, 2> u_deg{};
  for (int i = 0; i < 2; ++i) {
    const FlankPair pair = *foretell_pair(mechanism, measured.lobe[static_cast<std::size_t>(i)]);
    const double opens = 0.25 + std::pow(0.01 / pair.opens.mm_per_deg, 2);
    const double closes = 0.25 + std::pow(0.01 / pair.closes.mm_per_deg, 2);
    u_deg[static_cast<std::size_t>(i)] = std::sqrt((opens + closes) / 3.0) / 2.0;
    CHECK_THAT(lobe.pairs[static_cast<std::size_t>(i)].u_deg, WithinRel(u_deg[static_cast<std::size_t>(i)], 1e-6));
    CHECK_THAT(lobe.pairs[static_cast<std::size_t>(i)].u_duration_deg,
               WithinRel(2.0 * u_deg[static_cast<std::size_t>(i)], 1e-6));
  }
  CHECK(u_deg[1] > 2.0 * u_deg[0]);
  const double weight = 1.0 / (u_deg[1] * u_deg[1]) / (1.0 / (u_deg[0] * u_deg[0]) + 1.0 / (u_deg[1] * u_deg[1]));
  CHECK_THAT(lobe.centre_deg - lobe.drawn_deg, WithinAbs(4.0 * weight, 1e-3));
}

TEST_CASE("the wheel's zero is shared and does not average out", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured;
  for (int i = 0; i < 50; ++i) measured.lobe.push_back(read_off(mechanism, ValveKind::inlet, 4.0));
  const CamshaftRead read = read_of(small_engine(), measured).camshafts[0];
  CHECK(read.u_own_deg < 0.04);
  CHECK_THAT(read.u_deg, WithinAbs(std::hypot(read.u_own_deg, 0.5 / std::sqrt(3.0)), 1e-12));
}

TEST_CASE("lobes ground apart are told from a camshaft that is out", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured = four_pairs(mechanism);
  for (LobeReading& reading : measured.lobe) {
    const double later_deg = reading.valve == ValveKind::inlet ? 3.0 : -1.0;
    reading.opens_deg += later_deg;
    reading.closes_deg += later_deg;
  }
  const DegreeRead read = read_of(small_engine(), measured);
  CHECK_THAT(*read.camshafts[0].lobes_apart_deg, WithinAbs(4.0, 0.01)); // exhaust +1, inlet -3
  CHECK(read.camshafts[0].lobes_disagree);
  CHECK(read.outliers.empty());
  CHECK(read.slips.empty());
}

TEST_CASE("a middle that wanders with lift is told where the drawn one does not", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured;
  for (const double lift_mm : {2.0, 3.0, 4.0, 5.0}) {
    LobeReading& reading = measured.lobe.emplace_back(read_off(mechanism, ValveKind::inlet, lift_mm));
    reading.closes_deg += 1.2 * (lift_mm - 3.5); // the middle goes with half of it
  }
  const LobeRead lobe = read_of(small_engine(), measured).lobes[0];
  REQUIRE(lobe.asymmetry_deg_per_mm.has_value());
  CHECK_THAT(lobe.drawn_asymmetry_deg_per_mm, WithinAbs(0.0, 0.02)); // the chain's ripple
  CHECK_THAT(*lobe.asymmetry_deg_per_mm, WithinAbs(0.6, 0.02));
  CHECK(lobe.leans);
  const LobeRead straight = read_of(small_engine(), four_pairs(mechanism)).lobes[0];
  CHECK_FALSE(straight.leans);
  Measured one_lift = measured;
  one_lift.lobe.resize(1);
  CHECK_FALSE(read_of(small_engine(), one_lift).lobes[0].asymmetry_deg_per_mm.has_value());
}

TEST_CASE("a lobe drawn asymmetric does not lean when read as drawn", "[degree]") {
  Engine engine = small_engine();
  engine.camshafts[0].inlet->lobe = LobePolynomial{.lift_mm = 6.9, .duration_deg = 330.0, .rise_deg = 150.0};
  engine.camshafts[0].inlet->base_radius_mm = 35.0;
  const Mechanism mechanism = assembled(engine);
  Measured measured = four_pairs(mechanism);
  const LobeRead lobe = read_of(engine, measured).lobes[0];
  const double by_pairs = (foretell_pair(mechanism, measured.lobe[1])->middle_deg() -
                           foretell_pair(mechanism, measured.lobe[0])->middle_deg()) /
                          2.0;
  CHECK(std::fabs(by_pairs) > 0.5);
  CHECK_THAT(*lobe.asymmetry_deg_per_mm, WithinAbs(by_pairs, 1e-6));
  CHECK_THAT(lobe.drawn_asymmetry_deg_per_mm, WithinAbs(by_pairs, 1e-6));
  CHECK_FALSE(lobe.leans);
}

TEST_CASE("each camshaft is read by its own lobes", "[degree]") {
  const Engine engine = overhead_engine();
  Fitted keyed;
  keyed.cam_key_of = {{"inlet", 3.0}};
  Measured measured = four_pairs(assembled(engine, keyed));
  measured.with = {};
  const DegreeRead read = read_of(engine, measured);
  REQUIRE(read.camshafts.size() == 2);
  CHECK(read.camshafts[0].camshaft == 0);
  CHECK_THAT(read.camshafts[0].extra_deg, WithinAbs(0.0, 1e-6));
  CHECK_THAT(read.camshafts[1].extra_deg, WithinAbs(6.0, 1e-6));
  CHECK_FALSE(read.camshafts[1].lobes_apart_deg.has_value());
  const auto found = found_by_readings(engine, read);
  CHECK(found.size() == 1);
  CHECK(found.count("inlet") == 1);
}

TEST_CASE("readings belong to the engine they were taken on", "[degree]") {
  Measured measured = four_pairs(assembled(small_engine()));
  measured.engine = std::make_shared<const Engine>(small_engine());
  Engine what_if = small_engine();
  what_if.camshafts[0].inlet->centre_deg = 100.0;
  const DegreeRead read = read_of(what_if, measured);
  CHECK(read.lobes[0].card_deg == 106.0);
  CHECK_THAT(read.camshafts[0].extra_deg, WithinAbs(0.0, 1e-7));
}

TEST_CASE("a reading that three others contradict is left out and named", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured = four_pairs(mechanism);
  measured.lobe[1].opens_deg += 9.0; // its duration is 9 out as well, its middle 4.5
  const DegreeRead read = read_of(small_engine(), measured);
  CHECK(read.lobes[0].pairs[1].left_out);
  CHECK_THAT(read.lobes[0].pairs[1].left_deg, WithinAbs(4.5, 0.02));
  CHECK_THAT(read.camshafts[0].extra_deg, WithinAbs(0.0, 1e-6));
  REQUIRE(read.outliers.size() == 1);
  CHECK(read.outliers[0] == "reading 2 (inlet of No. 1 at 5.00 mm): its middle comes 4.5° late by what the 3 others "
                            "say; left out, read it again");
  CHECK(read.slips.empty());
  // Two against one prove nothing.
  measured.lobe.erase(measured.lobe.begin());
  CHECK(read_of(small_engine(), measured).outliers.empty());
  // Nor does the only reading of the other valve.
  Measured apart = four_pairs(mechanism);
  apart.lobe.push_back(read_off(mechanism, ValveKind::inlet, 4.0));
  apart.lobe.erase(apart.lobe.begin() + 2);
  apart.lobe[2].opens_deg += 4.0;
  apart.lobe[2].closes_deg += 4.0;
  REQUIRE(apart.lobe[2].valve == ValveKind::exhaust);
  CHECK(read_of(small_engine(), apart).outliers.empty());
}

// As far as the limits let honest readings go, in the worst way, none is left out.
TEST_CASE("readings within the instruments' limits are never outliers", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  Measured measured = four_pairs(mechanism);
  for (std::size_t i = 0; i < measured.lobe.size(); ++i) {
    const double out_deg = i == 0 ? 0.5 : -0.5;
    measured.lobe[i].opens_deg += out_deg;
    measured.lobe[i].closes_deg += out_deg;
  }
  measured.stop_deg = {{-40.5, 40.0}, {-40.5, 40.0}, {-39.5, 41.0}, {-40.5, 40.0}};
  CHECK(read_of(small_engine(), measured).outliers.empty());
}

TEST_CASE("what changed between two sets is foretold by what was fitted in each", "[degree]") {
  Fitted worn;
  worn.elongation_percent = 0.6;
  Fitted cured = worn;
  cured.crank_key_deg = 4.0;
  const DegreeRead before = read_of(small_engine(), four_pairs(assembled(small_engine(), worn)));
  const DegreeRead after = read_of(small_engine(), four_pairs(assembled(small_engine(), cured)));
  const std::vector<PhaseChange> changes = phase_changes(before, after);
  REQUIRE(changes.size() == 1);
  CHECK_THAT(changes[0].deg, WithinAbs(4.0, 1e-6));
  CHECK_THAT(changes[0].foretold_deg, WithinAbs(4.0, 1e-9));
  CHECK_THAT(changes[0].u_deg, WithinAbs(std::sqrt(2.0) * before.camshafts[0].u_deg, 0.01));
  CHECK(changes[0].real);
  CHECK_FALSE(phase_changes(before, before)[0].real);
  Measured only_stop;
  only_stop.stop_deg = {{-40.0, 40.0}};
  CHECK(phase_changes(before, read_of(small_engine(), only_stop)).empty());
}

// Problems ---------------------------------------------------------------------------------------

TEST_CASE("readings nothing can be made of are refused with their place", "[degree]") {
  const Mechanism mechanism = assembled(small_engine());
  const Measured good = four_pairs(mechanism);
  const auto problem = [](const Engine& engine, const Measured& measured, const Instruments& with = instruments) {
    const Result<DegreeRead> read = read_degree(engine, measured, with);
    REQUIRE_FALSE(read.ok());
    return to_text(read.problems()[0]);
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(problem(small_engine(), {}) == "measured: found no lobe and no stop_deg, allowed readings of one or the other");
  Measured bad = good;
  bad.lobe[2].lift_mm = 7.2;
  CHECK(problem(small_engine(), bad) == "measured.lobe[3].lift_mm: found 7.2 mm, allowed more than 0, less than 6.900 "
                                        "mm, the exhaust's greatest lift at the tappet");
  bad.lobe[2].at = CheckAt::valve;
  CHECK(read_degree(small_engine(), bad, instruments).ok());
  bad = good;
  bad.lobe[0].lift_mm = nan;
  CHECK(problem(small_engine(), bad).starts_with("measured.lobe[1].lift_mm: found nan mm"));
  bad = good;
  bad.lobe[0].cylinder = 5;
  CHECK(problem(small_engine(), bad) == "measured.lobe[1].cylinder: found 5, allowed a cylinder in block.firing_order");
  bad = good;
  bad.lobe[1].closes_deg = nan;
  CHECK(problem(small_engine(), bad).find("measured.lobe[2]: found ") == 0);
  Engine no_exhaust = small_engine();
  no_exhaust.camshafts[0].exhaust.reset();
  CHECK(problem(no_exhaust, good) ==
        "measured.lobe[3].valve: found exhaust, allowed a valve that a camshaft of this engine has a lobe for");
  bad = good;
  bad.stop_deg = {{-40.0, 41.0}, {30.0, 30.0}};
  CHECK(problem(small_engine(), bad) ==
        "measured.stop_deg[2]: found [30, 30], allowed two different angles, before and after TDC");
  bad.stop_deg = {{-40.0, nan}};
  CHECK(problem(small_engine(), bad).starts_with("measured.stop_deg[1]: found [-40, nan]"));
  Instruments blind = instruments;
  blind.wheel_deg = 0.0;
  CHECK(problem(small_engine(), good, blind) == "instruments.wheel_deg: found 0, allowed 0.01 to 5 deg");
  blind = instruments;
  blind.indicator_mm = nan;
  CHECK(problem(small_engine(), good, blind).starts_with("instruments.indicator_mm: found nan"));
  Engine unreached = small_engine();
  unreached.camshafts[0].check_lift_mm = 8.0;
  CHECK(problem(unreached, good).starts_with("camshaft[1].check_lift_mm: found 8 mm"));
  bad = good;
  bad.with.elongation_percent = nan;
  CHECK_FALSE(read_degree(small_engine(), bad, instruments).ok());
}
