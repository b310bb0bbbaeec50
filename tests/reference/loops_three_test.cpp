#include "geometry/angle.hpp"
#include "reference/loops_accepted.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Turns of the camshaft for one of a sprocket that drives on: the tooth counts of the loops behind it.
double turns_behind(const Engine& engine, std::size_t first_loop) {
  double turns = 1.0;
  for (std::size_t i = first_loop; i < engine.loops.size(); ++i) {
    const Loop& loop = engine.loops[i];
    const std::string driven = i + 1 < engine.loops.size() ? engine.loops[i + 1].driven_from : "cam";
    for (const Sprocket& sprocket : loop.sprockets)
      if (sprocket.name == driven) turns *= static_cast<double>(loop.sprockets[0].teeth) / sprocket.teeth;
  }
  return turns;
}

double mean_phase_deg(const Drive& drive, int cycles, int samples) {
  double sum_rad = 0.0;
  for (int k = 0; k < samples; ++k) {
    const double crank_rad = 2.0 * turn_rad * cycles * k / samples;
    sum_rad += 2.0 * drive.camshaft_rad(crank_rad) - crank_rad;
  }
  return degrees(sum_rad / samples);
}

} // namespace

TEST_CASE("behind three chains a camshaft runs at half the crank's speed", "[loops]") {
  std::mt19937 random(67);
  double worst_deg = 0.0;
  for (int i = 0; i < 60; ++i) {
    const Accepted made = accepted(random, random_three_stages);
    const Drive& drive = made.drive;
    INFO("drive " << i);
    CHECK_THAT(turns_behind(made.drawn.engine, 0), WithinAbs(0.5, 1e-15));
    // The shafts between come back to the same teeth after three cycles at the latest: 2:3 there is 4/3 turns of the
    // jack in one, which may be no whole number of the next chain's teeth.
    const double from_rad = between(random, 0.0, turn_rad);
    for (const int cycles : {3, 6, 60})
      CHECK_THAT(drive.camshaft_rad(from_rad + 2.0 * turn_rad * cycles) - drive.camshaft_rad(from_rad),
                 WithinAbs(turn_rad * cycles, 1e-9));
    // Each loop's own mean is what the phase is made of; over all three the difference is of the second order.
    worst_deg = std::fmax(worst_deg, std::fabs(mean_phase_deg(drive, 3, 20000) - drive.phase_deg()));
  }
  CAPTURE(worst_deg);
  CHECK(worst_deg < 5e-4);
}

// A sprocket laid on a tooth further turns all behind it by that tooth, geared: 360 / z there, twice that at the crank.
TEST_CASE("a tooth at any shaft of three chains moves the camshaft by what the chains behind make of it", "[loops]") {
  std::mt19937 random(68);
  double worst_deg = 0.0;
  for (int i = 0; i < 25; ++i) {
    RandomDrive drawn = random_three_stages(random);
    drawn.fitted.lay = 0;
    const double before_deg = Drive::set_phase_deg(drawn.engine, drawn.fitted);
    const Result<Drive> plain = Drive::assemble(drawn.engine, drawn.fitted);
    REQUIRE(plain.ok());
    const double plain_deg = mean_phase_deg(*plain, 3, 4000);
    for (std::size_t loop = 1; loop < 3; ++loop) {
      const std::string& name = drawn.engine.loops[loop].driven_from;
      const Sprocket& jack = sprocket_at(drawn.engine, *find_sprocket(drawn.engine, name));
      for (const int teeth : {-2, 1, 3}) {
        Fitted laid = drawn.fitted;
        laid.lay_of[name] = teeth;
        const double expected_deg = 2.0 * teeth * 360.0 / jack.teeth * turns_behind(drawn.engine, loop);
        INFO("drive " << i << " " << name << " of " << jack.teeth << " laid " << teeth);
        CHECK_THAT(Drive::set_phase_deg(drawn.engine, laid) - before_deg, WithinAbs(expected_deg, 1e-9));
        const Result<Drive> drive = Drive::assemble(drawn.engine, laid);
        REQUIRE(drive.ok());
        const double moved_deg = mean_phase_deg(*drive, 3, 4000) - plain_deg;
        worst_deg = std::fmax(worst_deg, std::fabs(moved_deg - expected_deg));
      }
    }
  }
  CAPTURE(worst_deg);
  CHECK(worst_deg < 5e-4);
}
