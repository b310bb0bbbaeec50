#include "geometry/angle.hpp"
#include "mechanics/phase.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <random>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

TEST_CASE("teeth, keys, holes and slots move the phase by what they are worth", "[phase]") {
  const Engine engine = small_engine();
  const auto phase = [&engine](const Fitted& fitted) { return Drive::phase_deg(engine, fitted); };
  Fitted fitted;
  fitted.lay = 1;
  CHECK_THAT(phase(fitted), WithinAbs(720.0 / 38.0, 1e-13));
  fitted.lay = -2;
  CHECK_THAT(phase(fitted), WithinAbs(-2.0 * 720.0 / 38.0, 1e-13));
  fitted = {};
  fitted.crank_key_deg = 4.0;
  CHECK(phase(fitted) == 4.0);
  fitted = {};
  fitted.cam_key_deg = -2.0;
  CHECK(phase(fitted) == -4.0);
  fitted = {};
  fitted.slot_deg = 1.5;
  CHECK(phase(fitted) == 3.0);
  fitted = {};
  fitted.vernier = {10, 11};
  fitted.holes = {1, 1};
  CHECK_THAT(phase(fitted), WithinAbs(720.0 * (1.0 / 10.0 - 1.0 / 11.0), 1e-12));
}

TEST_CASE("what is set by hand turns the camshaft by that much at every crank angle", "[phase]") {
  const Engine engine = small_engine();
  const Drive reference = *Drive::assemble(engine, {});
  Fitted fitted;
  fitted.lay = 1;
  fitted.cam_key_deg = 2.0;
  const Drive moved = *Drive::assemble(engine, fitted);
  for (double crank_rad = 0.0; crank_rad < 13.0; crank_rad += 0.11)
    CHECK_THAT(degrees(moved.camshaft_rad(crank_rad) - reference.camshaft_rad(crank_rad)),
               WithinAbs(360.0 / 38.0 + 2.0, 1e-11));
}

TEST_CASE("a crank key that leads advances the cam as if the crank stood further on", "[phase]") {
  const Engine engine = small_engine();
  const Drive reference = *Drive::assemble(engine, {});
  Fitted fitted;
  fitted.crank_key_deg = 3.0;
  const Drive keyed = *Drive::assemble(engine, fitted);
  for (double crank_rad = 0.0; crank_rad < 6.0; crank_rad += 0.13)
    CHECK_THAT(keyed.camshaft_rad(crank_rad), WithinAbs(reference.camshaft_rad(crank_rad + radians(3.0)), 1e-13));
}

// The same tooth mean by brute force: the trapezium rule over a tooth, which converges for a periodic function.
TEST_CASE("the phase of a worn chain is the mean of the camshaft's lag over a tooth", "[phase]") {
  const Engine engine = small_engine();
  Fitted fitted;
  fitted.elongation_percent = 1.2;
  fitted.centre_change_mm = -0.15;
  const Drive drive = *Drive::assemble(engine, fitted);
  constexpr int samples = 20000;
  double sum = 0.0;
  for (int i = 0; i < samples; ++i) {
    const double crank_rad = turn_rad / 19.0 * i / samples;
    sum += 2.0 * drive.camshaft_rad(crank_rad) - crank_rad;
  }
  CHECK_THAT(drive.phase_deg(), WithinAbs(degrees(sum / samples), 1e-7));
  CHECK(drive.phase_deg() < -1.0);
}

// A worn chain lets the cam fall back (common practice, no source), by about its growth along the taut strand and the
// wraps' share: n p e / R in cam radians, n the taut strand's links.
TEST_CASE("wear retards by about the taut strand's growth", "[phase]") {
  const Engine engine = small_engine();
  Fitted fitted;
  fitted.elongation_percent = 1.0;
  const Drive drive = *Drive::assemble(engine, fitted);
  const double estimate_deg = -2.0 * degrees(11.0 * 9.525 * 0.01 / pitch_radius_mm(9.525, 38));
  CHECK_THAT(drive.phase_deg(), WithinRel(estimate_deg, 0.1));
}

TEST_CASE("the parts add up to the phase", "[phase]") {
  const Engine engine = small_engine();
  std::mt19937 random(20261125);
  std::uniform_real_distribution<double> key(-4.0, 4.0), wear(0.0, 1.5), change(-0.3, 0.05);
  std::uniform_int_distribution<int> lay(-2, 2), hole(0, 9);
  for (int i = 0; i < 50; ++i) {
    Fitted fitted;
    fitted.lay = lay(random);
    fitted.crank_key_deg = key(random);
    fitted.cam_key_deg = key(random);
    fitted.elongation_percent = wear(random);
    fitted.centre_change_mm = change(random);
    fitted.vernier = {10, 11};
    fitted.holes = {hole(random), hole(random)};
    fitted.slot_deg = key(random);
    fitted.found_deg = key(random);
    const Result<PhaseBreakdown> breakdown = phase_breakdown(engine, fitted);
    REQUIRE(breakdown.ok());
    REQUIRE(breakdown->parts.size() == 8);
    double sum = 0.0;
    for (const PhasePart& part : breakdown->parts) sum += part.deg;
    CHECK_THAT(sum, WithinAbs(breakdown->phase_deg, 1e-11));
    CHECK_THAT(breakdown->parts[0].deg, WithinAbs(fitted.lay * 720.0 / 38.0, 1e-12));
    CHECK_THAT(breakdown->parts[1].deg, WithinAbs(fitted.crank_key_deg, 1e-12));
    CHECK_THAT(breakdown->parts[2].deg, WithinAbs(2.0 * fitted.cam_key_deg, 1e-12));
    CHECK_THAT(breakdown->parts[7].deg, WithinAbs(fitted.found_deg, 1e-12));
  }
}

TEST_CASE("a breakdown of a drive that cannot be is refused", "[phase]") {
  Engine engine = small_engine();
  engine.loops[0].chain.links = 50;
  CHECK_FALSE(phase_breakdown(engine, {}).ok());
}

// A tooth is 720 / teeth crank degrees, a cam key counts double, a crank key moves all (facts of the trade).
TEST_CASE("each camshaft has its own lay and key, and the crank key is everyone's", "[phase]") {
  const Engine engine = overhead_engine();
  Fitted fitted;
  fitted.lay_of = {{"exhaust", 1}, {"inlet", -1}};
  fitted.cam_key_of = {{"exhaust", -1.5}};
  fitted.cam_key_deg = 0.5; // of those not named
  fitted.crank_key_deg = 2.0;
  fitted.elongation_percent = 0.2;
  const Drive drive = *Drive::assemble(engine, fitted);
  const double lays[2] = {20.0, -20.0}, keys[2] = {-3.0, 1.0};
  for (std::size_t i = 0; i < 2; ++i) {
    const PhaseBreakdown phase = *phase_breakdown(engine, fitted, i);
    CHECK(phase.camshaft == engine.camshafts[i].name);
    CHECK_THAT(phase.phase_deg, WithinAbs(drive.phase_deg(i), 1e-12));
    CHECK_THAT(phase.parts[0].deg, WithinAbs(lays[i], 1e-12));
    CHECK_THAT(phase.parts[1].deg, WithinAbs(2.0, 1e-12));
    CHECK_THAT(phase.parts[2].deg, WithinAbs(keys[i], 1e-12));
    CHECK(phase.parts[3].deg < 0.0); // a worn chain lets it fall back
    double sum = 0.0;
    for (const PhasePart& part : phase.parts) sum += part.deg;
    CHECK_THAT(sum, WithinAbs(phase.phase_deg, 1e-11));
  }
}

// A tooth of 27 turns the jackshaft 360/27 degrees, the camshaft 21/28 of that, and counts double at the crank: 20.
TEST_CASE("a tooth at the jackshaft is a part of the camshaft's lay", "[phase]") {
  Fitted fitted;
  fitted.lay_of = {{"jackshaft", 1}};
  CHECK_THAT(phase_breakdown(jackshaft_engine(), fitted)->parts[0].deg, WithinAbs(20.0, 1e-11));
  fitted.lay_of["cam"] = -1; // 720 / 28
  CHECK_THAT(phase_breakdown(jackshaft_engine(), fitted)->parts[0].deg, WithinAbs(20.0 - 720.0 / 28.0, 1e-11));
}
