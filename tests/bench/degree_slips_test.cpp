#include "bench/degree.hpp"
#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>
#include <functional>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::mirrored;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

const Instruments instruments{.wheel_deg = 0.5, .indicator_mm = 0.01};
constexpr double correction_deg = -0.8;

LobeReading read_off(const Mechanism& mechanism, ValveKind valve, double lift_mm, int cylinder = 1,
                     std::optional<CheckAt> at = {}, Turning opening = Turning::forward,
                     Turning closing = Turning::forward) {
  LobeReading reading{
      .valve = valve, .cylinder = cylinder, .lift_mm = lift_mm, .at = at, .opens_deg = 0, .closes_deg = 0};
  reading.opens_deg = wrap_720(foretell_pair(mechanism, reading, opening)->opens.crank_deg - correction_deg);
  reading.closes_deg = wrap_720(foretell_pair(mechanism, reading, closing)->closes.crank_deg - correction_deg);
  return reading;
}

// To half a degree, as a wheel is read; the errors differ from reading to reading.
double as_read(double deg) {
  return wrap_720(std::round(2.0 * deg) / 2.0);
}

// Two lifts on each valve, and two pairs of stop readings, of a drive with `real` fitted and `said` written down.
Measured set_of(const Engine& engine, const Fitted& real = {}, const Fitted& said = {}, int cylinder = 1) {
  const Mechanism mechanism = *Mechanism::assemble(engine, real);
  Measured measured;
  measured.with = said;
  for (const ValveKind valve : {ValveKind::inlet, ValveKind::exhaust})
    for (const double lift_mm : {3.0, 5.0}) {
      LobeReading& reading = measured.lobe.emplace_back(read_off(mechanism, valve, lift_mm, cylinder));
      reading.opens_deg = as_read(reading.opens_deg);
      reading.closes_deg = as_read(reading.closes_deg);
    }
  for (const double drop_mm : {20.0, 21.0}) {
    const std::array<double, 2> stop = *foretell_stop(mechanism.slider_crank(), drop_mm);
    measured.stop_deg.push_back({stop[0] - correction_deg, stop[1] - correction_deg});
  }
  return measured;
}

DegreeRead read_of(const Engine& engine, const Measured& measured) {
  Result<DegreeRead> read = read_degree(engine, measured, instruments);
  if (!read) FAIL(to_text(read.problems()));
  return *std::move(read);
}

Fitted laid(int teeth) {
  Fitted fitted;
  fitted.lay = teeth;
  return fitted;
}

struct Case {
  Slip slip;
  std::function<void(LobeReading&)> spoil;
  std::string words; // after the readings' numbers
};

std::vector<Case> cases() {
  return {
      {Slip::cam_degrees,
       [](LobeReading& r) {
         r.opens_deg /= 2.0;
         r.closes_deg /= 2.0;
       },
       "degrees of the camshaft put down for degrees of the crank; twice the figures fit"},
      {Slip::sides_swapped, [](LobeReading& r) { std::swap(r.opens_deg, r.closes_deg); },
       "opens and closes stand the wrong way round"},
      {Slip::wheel_reversed,
       [](LobeReading& r) {
         r.opens_deg = wrap_720(-r.opens_deg);
         r.closes_deg = wrap_720(-r.closes_deg);
       },
       "the wheel's numbers run against the engine"},
      {Slip::full_turn,
       [](LobeReading& r) {
         r.opens_deg = wrap_720(r.opens_deg + 360.0);
         r.closes_deg = wrap_720(r.closes_deg + 360.0);
       },
       "a whole turn out, firing TDC taken for overlap TDC"},
      {Slip::full_turn, [](LobeReading& r) { r.opens_deg = wrap_720(r.opens_deg + 360.0); },
       "opens is a whole turn out"},
      {Slip::full_turn, [](LobeReading& r) { r.closes_deg = wrap_720(r.closes_deg + 360.0); },
       "closes is a whole turn out"},
  };
}

void check_only(const DegreeRead& read, Slip slip, const std::vector<std::size_t>& lobe, const std::string& words) {
  CAPTURE(words);
  for (const SlipFound& found : read.slips) UNSCOPED_INFO(found.words);
  REQUIRE(read.slips.size() == 1);
  CHECK(read.slips[0].slip == slip);
  CHECK(read.slips[0].lobe == lobe);
  CHECK(read.slips[0].words == words);
}

} // namespace

TEST_CASE("honest readings of a drive laid up to two teeth out show no slip", "[degree][slips]") {
  for (const Engine& engine : {small_engine(), mirrored(small_engine()), overhead_engine(), jackshaft_engine()})
    for (const int teeth : {-2, -1, 0, 1, 2})
      for (int cylinder = 1; cylinder <= 4; ++cylinder) {
        CAPTURE(teeth, cylinder);
        const DegreeRead read = read_of(engine, set_of(engine, laid(teeth), {}, cylinder));
        CHECK(read.slips.empty());
        CHECK(read.outliers.empty());
        if (teeth == 0) continue;
        const double tooth_deg =
            720.0 / sprocket_at(engine, *find_cam_sprocket(engine, engine.camshafts[0].name)).teeth;
        CHECK_THAT(read.camshafts[0].extra_deg, WithinAbs(teeth * tooth_deg, 0.5));
        CHECK(found_by_readings(engine, read).size() == engine.camshafts.size());
      }
}

TEST_CASE("honest readings with wrong keys or a worn chain show no slip", "[degree][slips]") {
  for (const double crank_key_deg : {-8.0, -4.0, -1.0, 1.0, 4.0, 8.0})
    for (const double cam_key_deg : {-3.0, 0.0, 3.0})
      for (const int teeth : {-1, 0, 1}) {
        Fitted real = laid(teeth);
        real.crank_key_deg = crank_key_deg;
        real.cam_key_deg = cam_key_deg;
        Fitted said;
        said.crank_key_deg = -crank_key_deg;
        CAPTURE(crank_key_deg, cam_key_deg, teeth);
        CHECK(read_of(small_engine(), set_of(small_engine(), real, said)).slips.empty());
      }
  for (const double percent : {0.5, 1.0, 1.5, 3.0}) {
    Fitted real;
    real.elongation_percent = percent;
    CHECK(read_of(small_engine(), set_of(small_engine(), real, {})).slips.empty());
    CHECK(read_of(small_engine(), set_of(small_engine(), {}, real)).slips.empty());
  }
}

TEST_CASE("two camshafts a tooth out in opposite ways show no slip", "[degree][slips]") {
  Fitted real;
  real.lay_of = {{"inlet", 1}, {"exhaust", -1}};
  const DegreeRead read = read_of(overhead_engine(), set_of(overhead_engine(), real, {}));
  CHECK(read.slips.empty());
  CHECK_THAT(read.camshafts[0].extra_deg, WithinAbs(-20.0, 0.5));
  CHECK_THAT(read.camshafts[1].extra_deg, WithinAbs(20.0, 0.5));
}

// Lash, rocker ratio or another grind move durations by a few degrees.
TEST_CASE("a lobe not ground to its card is no slip", "[degree][slips]") {
  for (const double longer_deg : {-14.0, -8.0, -3.0, 3.0, 8.0, 14.0}) {
    Engine ground = small_engine();
    for (std::optional<ValveGear>* gear : {&ground.camshafts[0].inlet, &ground.camshafts[0].exhaust}) {
      (*gear)->lobe = LobePolynomial{.lift_mm = 6.9, .duration_deg = 330.0 + longer_deg, .rise_deg = {}};
      (*gear)->base_radius_mm = 30.0;
    }
    CAPTURE(longer_deg);
    CHECK(read_of(small_engine(), set_of(ground)).slips.empty());
    Engine loose = small_engine();
    loose.camshafts[0].check_at = CheckAt::valve;
    Engine as_set = loose;
    as_set.camshafts[0].inlet->lash_mm = 0.3 + longer_deg / 100.0;
    CHECK(read_of(loose, set_of(as_set)).slips.empty());
  }
}

TEST_CASE("a slip in the whole set is recognised and its readings named", "[degree][slips]") {
  for (const Engine& engine : {small_engine(), mirrored(small_engine()), overhead_engine()})
    for (int cylinder = 1; cylinder <= 4; ++cylinder)
      for (const Case& one : cases()) {
        CAPTURE(cylinder);
        Measured measured = set_of(engine, {}, {}, cylinder);
        for (LobeReading& reading : measured.lobe) one.spoil(reading);
        if (one.slip == Slip::wheel_reversed) measured.stop_deg.clear();
        const DegreeRead read = read_of(engine, measured);
        check_only(read, one.slip, {0, 1, 2, 3}, "readings 1 to 4: " + one.words);
        CHECK(found_by_readings(engine, read).empty());
      }
}

TEST_CASE("a slip in one reading is recognised among right ones", "[degree][slips]") {
  for (const Engine& engine : {small_engine(), overhead_engine()})
    for (const int teeth : {0, 1, -2})
      for (std::size_t which = 0; which < 4; ++which)
        for (const Case& one : cases()) {
          Measured measured = set_of(engine, laid(teeth));
          one.spoil(measured.lobe[which]);
          CAPTURE(teeth, which);
          check_only(read_of(engine, measured), one.slip, {which},
                     "reading " + std::to_string(which + 1) + ": " + one.words);
        }
}

// A slip in the order or the direction shows in the durations, whatever the drive does.
TEST_CASE("slips that durations give away are recognised with a tooth out as well", "[degree][slips]") {
  for (const int teeth : {-1, 1})
    for (const Case& one : cases()) {
      if (one.words.starts_with("a whole turn")) continue;
      Measured measured = set_of(small_engine(), laid(teeth));
      for (LobeReading& reading : measured.lobe) one.spoil(reading);
      measured.stop_deg.clear();
      CAPTURE(teeth);
      check_only(read_of(small_engine(), measured), one.slip, {0, 1, 2, 3}, "readings 1 to 4: " + one.words);
    }
}

// A wheel of one turn: what lies in the second is written a turn short.
TEST_CASE("exhaust readings off a wheel of 360 degrees are a whole turn out", "[degree][slips]") {
  Measured measured = set_of(small_engine());
  for (LobeReading& reading : measured.lobe) {
    reading.opens_deg = wrap_360(reading.opens_deg);
    reading.closes_deg = wrap_360(reading.closes_deg);
  }
  check_only(read_of(small_engine(), measured), Slip::full_turn, {2, 3},
             "readings 3 and 4: a whole turn out, firing TDC taken for overlap TDC");
}

TEST_CASE("another cylinder's readings are told by whose they are", "[degree][slips]") {
  for (const int teeth : {0, 1, -1}) {
    Measured measured = set_of(small_engine(), laid(teeth), {}, 1);
    const Measured of_three = set_of(small_engine(), laid(teeth), {}, 3);
    measured.lobe[1] = of_three.lobe[1];
    measured.lobe[1].cylinder = 1;
    check_only(read_of(small_engine(), measured), Slip::other_cylinder, {1},
               "reading 2: the figures are those of cylinder No. 3");
  }
  Measured all = set_of(small_engine(), {}, {}, 2);
  for (LobeReading& reading : all.lobe) reading.cylinder = 1;
  check_only(read_of(small_engine(), all), Slip::other_cylinder, {0, 1, 2, 3},
             "readings 1 to 4: the figures are those of cylinder No. 2");
}

TEST_CASE("inlet and exhaust taken for each other are recognised", "[degree][slips]") {
  for (const Engine& engine : {small_engine(), overhead_engine()}) {
    Measured one = set_of(engine);
    one.lobe[1].valve = ValveKind::exhaust;
    check_only(read_of(engine, one), Slip::other_valve, {1}, "reading 2: the figures are those of the inlet valve");
    Measured all = set_of(engine);
    for (LobeReading& reading : all.lobe)
      reading.valve = reading.valve == ValveKind::inlet ? ValveKind::exhaust : ValveKind::inlet;
    const DegreeRead read = read_of(engine, all);
    REQUIRE(read.slips.size() == 2);
    CHECK(read.slips[0].slip == Slip::other_valve);
    CHECK(read.slips[1].slip == Slip::other_valve);
    CHECK(read.slips[0].lobe.size() + read.slips[1].lobe.size() == 4);
  }
}

TEST_CASE("stop readings the wrong way round are recognised with the lobes right or wrong", "[degree][slips]") {
  Measured measured = set_of(small_engine());
  for (std::array<double, 2>& stop : measured.stop_deg) std::swap(stop[0], stop[1]);
  const DegreeRead read = read_of(small_engine(), measured);
  REQUIRE(read.slips.size() == 1);
  CHECK(read.slips[0].slip == Slip::sides_swapped);
  CHECK(read.slips[0].lobe.empty());
  CHECK(read.slips[0].stop == std::vector<std::size_t>{0, 1});
  CHECK(read.slips[0].words == "stop readings 1 and 2: before and after TDC stand the wrong way round");
  CHECK(found_by_readings(small_engine(), read).empty());

  std::swap(measured.stop_deg[0][0], measured.stop_deg[0][1]);
  const DegreeRead one = read_of(small_engine(), measured);
  REQUIRE(one.slips.size() == 1);
  CHECK(one.slips[0].words == "stop reading 2: before and after TDC stand the wrong way round");

  measured.lobe.clear();
  measured.stop_deg.erase(measured.stop_deg.begin());
  const DegreeRead alone = read_of(small_engine(), measured);
  REQUIRE(alone.slips.size() == 1);
  CHECK(alone.slips[0].words.find("or the wheel's numbers run against the engine") != std::string::npos);
}

TEST_CASE("a wheel numbered backward is recognised in lobes and stops together", "[degree][slips]") {
  for (const double wheel_deg : {0.0, -20.0}) { // and one that was not set to TDC
    Measured measured = set_of(small_engine());
    for (std::array<double, 2>& stop : measured.stop_deg) stop = {-stop[0] - wheel_deg, -stop[1] - wheel_deg};
    for (LobeReading& reading : measured.lobe) {
      reading.opens_deg = wrap_720(-reading.opens_deg - wheel_deg);
      reading.closes_deg = wrap_720(-reading.closes_deg - wheel_deg);
    }
    const DegreeRead read = read_of(small_engine(), measured);
    check_only(read, Slip::wheel_reversed, {0, 1, 2, 3},
               "readings 1 to 4, stop readings 1 and 2: the wheel's numbers run against the engine");
    CHECK(read.slips[0].stop == std::vector<std::size_t>{0, 1});
  }
}

TEST_CASE("a lift at the other end of the rocker is recognised by its durations", "[degree][slips]") {
  for (const int teeth : {0, 1}) {
    const Mechanism mechanism = *Mechanism::assemble(small_engine(), laid(teeth));
    Measured measured;
    for (const ValveKind valve : {ValveKind::inlet, ValveKind::exhaust})
      for (const double lift_mm : {3.0, 5.0}) {
        LobeReading& reading = measured.lobe.emplace_back(read_off(mechanism, valve, lift_mm, 1, CheckAt::valve));
        reading.at.reset();
      }
    check_only(read_of(small_engine(), measured), Slip::other_lift, {0, 1, 2, 3},
               "readings 1 to 4: the duration is that of a lift at the valve, not at the tappet");
    for (LobeReading& reading : measured.lobe) reading.at = CheckAt::valve;
    CHECK(read_of(small_engine(), measured).slips.empty());
    Measured other_way = set_of(small_engine(), laid(teeth));
    for (LobeReading& reading : other_way.lobe) reading.at = CheckAt::valve;
    check_only(read_of(small_engine(), other_way), Slip::other_lift, {0, 1, 2, 3},
               "readings 1 to 4: the duration is that of a lift at the tappet, not at the valve");
  }
}

TEST_CASE("a dial misread by a turn is recognised when another reading of the lobe is right", "[degree][slips]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  Measured measured = set_of(small_engine());
  measured.lobe[1] = read_off(mechanism, ValveKind::inlet, 4.0);
  measured.lobe[1].lift_mm = 5.0;
  check_only(read_of(small_engine(), measured), Slip::other_lift, {1},
             "reading 2: the duration belongs to 4.00 mm, not to 5.00 mm");
  // One figure of the wheel misread moves the middle as well: no dial does that.
  Measured wheel = set_of(small_engine());
  wheel.lobe[1].opens_deg += 20.0;
  CHECK(read_of(small_engine(), wheel).slips.empty());
}

// A chain worn by 2.8 % hangs back by more than 10 crank degrees on these sprockets.
TEST_CASE("readings taken turning back are recognised by the slack", "[degree][slips]") {
  Fitted worn;
  worn.elongation_percent = 2.8;
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), worn);
  const double slack_deg = mechanism.drive().hang_back(50.0).crank_deg;
  CHECK(slack_deg > 10.0);
  const auto pairs = [&](Turning opening, Turning closing) {
    Measured measured;
    measured.with = worn;
    for (const ValveKind valve : {ValveKind::inlet, ValveKind::exhaust})
      for (const double lift_mm : {3.0, 5.0})
        measured.lobe.push_back(read_off(mechanism, valve, lift_mm, 1, {}, opening, closing));
    const std::array<double, 2> stop = *foretell_stop(mechanism.slider_crank(), 20.0);
    measured.stop_deg.push_back({stop[0] - correction_deg, stop[1] - correction_deg});
    return measured;
  };
  const Measured forward = pairs(Turning::forward, Turning::forward);
  const Measured backward = pairs(Turning::backward, Turning::backward);
  CHECK(read_of(small_engine(), forward).slips.empty());

  const DegreeRead all = read_of(small_engine(), backward);
  REQUIRE(all.slips.size() == 1);
  CHECK(all.slips[0].slip == Slip::turned_backward);
  CHECK(all.slips[0].lobe == std::vector<std::size_t>{0, 1, 2, 3});
  CHECK(all.slips[0].words.find("as much as the slack makes: read while turning back") != std::string::npos);
  CHECK(found_by_readings(small_engine(), all).empty());

  Measured one = forward;
  one.lobe[2] = backward.lobe[2];
  const DegreeRead of_one = read_of(small_engine(), one);
  REQUIRE(of_one.slips.size() == 1);
  CHECK(of_one.slips[0].slip == Slip::turned_backward);
  CHECK(of_one.slips[0].lobe == std::vector<std::size_t>{2});

  check_only(read_of(small_engine(), pairs(Turning::forward, Turning::backward)), Slip::turned_backward, {0, 1, 2, 3},
             "readings 1 to 4: closes is early by the slack: read while turning back");
  check_only(read_of(small_engine(), pairs(Turning::backward, Turning::forward)), Slip::turned_backward, {0, 1, 2, 3},
             "readings 1 to 4: opens is early by the slack: read while turning back");
}

TEST_CASE("an advance no slack explains is not called turning back", "[degree][slips]") {
  Fitted worn;
  worn.elongation_percent = 2.8;
  const double slack_deg = Mechanism::assemble(small_engine(), worn)->drive().hang_back(50.0).crank_deg;
  for (const double ahead_deg : {-slack_deg, slack_deg - 3.0, slack_deg + 3.0}) {
    Fitted real = worn;
    real.found_deg = ahead_deg;
    CAPTURE(ahead_deg);
    CHECK(read_of(small_engine(), set_of(small_engine(), real, worn)).slips.empty());
  }
  // A key the other way round may say the same; then the drive is believed.
  Fitted said = worn;
  said.crank_key_deg = -slack_deg / 2.0;
  Fitted real = worn;
  real.crank_key_deg = slack_deg / 2.0;
  CHECK(read_of(small_engine(), set_of(small_engine(), real, said)).slips.empty());
  // Little slack is never told from a camshaft that is ahead.
  Fitted tight;
  tight.found_deg = Mechanism::assemble(small_engine(), {})->drive().hang_back(50.0).crank_deg;
  CHECK(read_of(small_engine(), set_of(small_engine(), tight, {})).slips.empty());
}
