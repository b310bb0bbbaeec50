#include "geometry/angle.hpp"
#include "mechanics/phase.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr int drives = 300;

Drive assembled(const RandomDrive& drawn) {
  Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
  INFO((drive ? std::string() : to_text(drive.problems())));
  REQUIRE(drive.ok());
  return *std::move(drive);
}

} // namespace

TEST_CASE("on any drive the chain closes link by link and lies outside every seat", "[sweep]") {
  std::mt19937 random(10);
  double worst_link_mm = 0.0, worst_outside_mm = -1.0, worst_seat_mm = 0.0;
  DrivePose pose;
  for (int i = 0; i < drives; ++i) {
    const RandomDrive drawn = random_drive(random);
    const Engine& engine = drawn.engine;
    const Drive drive = assembled(drawn);
    const double pitch_mm = fitted_pitch_mm(drawn);
    const glm::dvec2 crank_centre = engine.loops[0].sprockets[0].centre_mm, cam_centre = fitted_cam_centre_mm(drawn);
    const std::size_t count = static_cast<std::size_t>(engine.loops[0].chain.links);
    for (int k = 0; k < 12; ++k) {
      drive.pose(between(random, -1500.0, 2200.0), pose);
      REQUIRE(pose.loops[0].pins_mm.size() == count);
      for (std::size_t pin = 0; pin < count; ++pin)
        worst_link_mm = std::fmax(
            worst_link_mm,
            std::fabs(length2(pose.loops[0].pins_mm[(pin + 1) % count] - pose.loops[0].pins_mm[pin]) - pitch_mm));

      const std::vector<glm::dvec2> crank =
          seats_mm(engine.loops[0].sprockets[0], crank_centre, pitch_mm, pose.loops[0].sprockets[0].mark_clock_deg);
      const std::vector<glm::dvec2> cam =
          seats_mm(engine.loops[0].sprockets[1], cam_centre, pitch_mm, pose.loops[0].sprockets[1].mark_clock_deg);
      REQUIRE(pose.loops[0].strands.size() == 2);
      CHECK(pose.loops[0].strands[0].state == StrandState::slack);
      CHECK(pose.loops[0].strands[1].state == StrandState::taut);
      for (const StrandPose& strand : pose.loops[0].strands) {
        const glm::dvec2 from = pose.loops[0].pins_mm[strand.first_pin];
        const glm::dvec2 to =
            pose.loops[0].pins_mm[(strand.first_pin + static_cast<std::size_t>(strand.links)) % count];
        CHECK_THAT(length2(to - from), WithinAbs(strand.span_mm, 1e-9));
        CHECK_THAT(strand.links * pitch_mm - strand.span_mm, WithinAbs(strand.slack_mm, 1e-9));
        worst_outside_mm = std::fmax(worst_outside_mm, farthest_outside_mm(crank, from, to, cam_centre));
        worst_outside_mm = std::fmax(worst_outside_mm, farthest_outside_mm(cam, from, to, crank_centre));
      }
      // Every pin that is not on a strand sits in a seat, as the marks say the seats stand.
      const auto between_strands = [&](const StrandPose& before, const StrandPose& after,
                                       const std::vector<glm::dvec2>& seats) {
        const std::size_t last = after.first_pin;
        for (std::size_t pin = (before.first_pin + static_cast<std::size_t>(before.links)) % count;;
             pin = (pin + 1) % count) {
          double nearest_mm = 1e9;
          for (const glm::dvec2 seat : seats)
            nearest_mm = std::fmin(nearest_mm, length2(seat - pose.loops[0].pins_mm[pin]));
          worst_seat_mm = std::fmax(worst_seat_mm, nearest_mm);
          if (pin == last) break;
        }
      };
      between_strands(pose.loops[0].strands[0], pose.loops[0].strands[1], cam);
      between_strands(pose.loops[0].strands[1], pose.loops[0].strands[0], crank);
    }
  }
  CHECK(worst_link_mm < 1e-9);
  CHECK(worst_outside_mm < 1e-9);
  CHECK(worst_seat_mm < 1e-9);
}

// Speed ratio r1 cos u / (r2 cos v), u and v never beyond half a tooth: between r1 cos(pi/z1) / r2 and r1 / (r2
// cos(pi/z2)).
TEST_CASE("on any drive the camshaft runs without a jump and repeats with each tooth", "[sweep]") {
  std::mt19937 random(11);
  double worst_period_rad = 0.0;
  for (int i = 0; i < drives; ++i) {
    const RandomDrive drawn = random_drive(random);
    const Drive drive = assembled(drawn);
    const int teeth = drawn.engine.loops[0].sprockets[0].teeth;
    const double half_tooth_rad = pi / teeth;
    const double ratio = std::sin(half_tooth_rad / 2.0) / std::sin(half_tooth_rad);
    const double reciprocal = 1.0 / ratio;
    const double least = std::cos(half_tooth_rad) / reciprocal;
    const double most = 1.0 / (reciprocal * std::cos(half_tooth_rad / 2.0));
    double before = drive.camshaft_rad(0.0);
    double least_seen = 1.0, most_seen = 0.0;
    constexpr int steps = 1440;
    for (int k = 1; k <= steps; ++k) {
      const double now = drive.camshaft_rad(2.0 * turn_rad * k / steps);
      const double slope = (now - before) / (2.0 * turn_rad / steps);
      least_seen = std::fmin(least_seen, slope);
      most_seen = std::fmax(most_seen, slope);
      before = now;
    }
    CHECK(least_seen > least - 1e-12);
    CHECK(most_seen < most + 1e-12);
    for (int k = 0; k < 20; ++k) {
      const double crank_rad = between(random, -7.0, 20.0);
      const int further = whole_between(random, 1, 2 * teeth);
      const double gone =
          drive.camshaft_rad(crank_rad + further * 2.0 * half_tooth_rad) - drive.camshaft_rad(crank_rad);
      worst_period_rad = std::fmax(worst_period_rad, std::fabs(gone - further * half_tooth_rad));
    }
  }
  CHECK(worst_period_rad < 1e-12);
}

// Where a roller seats or leaves, two pairs of seats lie in one line. The instant is closed in on until the crank
// angles on either side are neighbouring doubles; the drive must choose there, and both choices must be the same drive.
TEST_CASE("on any drive nothing jumps at the instant a roller seats or leaves", "[sweep]") {
  std::mt19937 random(15);
  double worst_mm = 0.0, worst_bow_pitches = 0.0, worst_rad = 0.0;
  int instants = 0;
  for (int i = 0; i < drives; ++i) {
    const RandomDrive drawn = random_drive(random);
    const Drive drive = assembled(drawn);
    const double tooth_deg = 360.0 / drawn.engine.loops[0].sprockets[0].teeth;
    DrivePose before = drive.pose(0.0), after;
    const auto same = [](const DrivePose& a, const DrivePose& b) {
      return a.loops[0].strands[0].links == b.loops[0].strands[0].links &&
             a.loops[0].strands[0].first_pin == b.loops[0].strands[0].first_pin &&
             a.loops[0].strands[1].links == b.loops[0].strands[1].links &&
             a.loops[0].strands[1].first_pin == b.loops[0].strands[1].first_pin;
    };
    constexpr int looks = 40;
    for (int k = 1; k <= looks; ++k) {
      double low = tooth_deg * (k - 1) / looks, high = tooth_deg * k / looks;
      before = drive.pose(low);
      if (same(before, drive.pose(high))) continue;
      for (;;) {
        const double middle = 0.5 * (low + high);
        if (!(middle > low && middle < high)) break;
        (same(before, drive.pose(middle)) ? low : high) = middle;
      }
      before = drive.pose(low);
      after = drive.pose(high);
      const auto bowed = [](const DrivePose& pose, std::size_t pin) {
        const std::size_t along =
            (pin + pose.loops[0].pins_mm.size() - pose.loops[0].strands[0].first_pin) % pose.loops[0].pins_mm.size();
        return along > 0 && along < static_cast<std::size_t>(pose.loops[0].strands[0].links);
      };
      for (std::size_t pin = 0; pin < before.loops[0].pins_mm.size(); ++pin) {
        const double moved_mm = length2(after.loops[0].pins_mm[pin] - before.loops[0].pins_mm[pin]);
        if (bowed(before, pin) || bowed(after, pin))
          worst_bow_pitches = std::fmax(worst_bow_pitches, moved_mm / fitted_pitch_mm(drawn));
        else
          worst_mm = std::fmax(worst_mm, moved_mm);
      }
      worst_rad = std::fmax(worst_rad, std::fabs(drive.camshaft_rad(radians(high)) - drive.camshaft_rad(radians(low))));
      ++instants;
    }
  }
  // A roller seats and one leaves at each end of both strands once in a tooth; two may fall into one step.
  CHECK(instants > 3 * drives);
  CHECK(worst_mm < 1e-9);
  CHECK(worst_rad < 1e-13);
  // The slack strand's bow is a drawn shape: with most of a pitch to spare it gives by a little as a link joins it.
  CHECK(worst_bow_pitches < 0.01);
}

// The tooth mean by the trapezium rule, in place of Gauss' rule between the instants at which rollers seat and leave.
// For a periodic function with corners its error is about the corner times the step squared.
TEST_CASE("on any drive the camshaft stands ahead of half the crank's angle by half the phase on average", "[sweep]") {
  std::mt19937 random(16);
  double worst_deg = 0.0;
  for (int i = 0; i < 40; ++i) {
    const RandomDrive drawn = random_drive(random);
    const Drive drive = assembled(drawn);
    const double tooth_rad = turn_rad / drawn.engine.loops[0].sprockets[0].teeth;
    constexpr int samples = 4000;
    double sum_rad = 0.0;
    for (int k = 0; k < samples; ++k) {
      const double crank_rad = tooth_rad * k / samples;
      sum_rad += 2.0 * drive.camshaft_rad(crank_rad) - crank_rad;
    }
    worst_deg = std::fmax(worst_deg, std::fabs(degrees(sum_rad / samples) - drive.phase_deg()));
  }
  CHECK(worst_deg < 1e-7);
}

TEST_CASE("on any drive pins keep their identity through the cycle's end and past whole turns of the chain",
          "[sweep]") {
  std::mt19937 random(12);
  DrivePose pose;
  for (int i = 0; i < 60; ++i) {
    const RandomDrive drawn = random_drive(random);
    const Drive drive = assembled(drawn);
    const double pitch_mm = fitted_pitch_mm(drawn);
    const std::size_t count = static_cast<std::size_t>(drawn.engine.loops[0].chain.links);
    // A twentieth of a tooth moves the rim by a twentieth of a pitch; a pin that changed places would jump a whole one.
    const double step_deg = 18.0 / drawn.engine.loops[0].sprockets[0].teeth;
    const int steps = static_cast<int>(1500.0 / step_deg);
    std::vector<glm::dvec2> before;
    double most_mm = 0.0;
    for (int k = -steps / 3; k <= steps; ++k) {
      drive.pose(k * step_deg, pose);
      if (!before.empty())
        for (std::size_t pin = 0; pin < count; ++pin)
          most_mm = std::fmax(most_mm, length2(pose.loops[0].pins_mm[pin] - before[pin]));
      before = pose.loops[0].pins_mm;
    }
    INFO("drive " << i << ", " << drawn.engine.loops[0].sprockets[0].teeth << " teeth, slack "
                  << drive.slack_mm().least);
    CHECK(most_mm < 0.08 * pitch_mm);
    // After as many teeth as there are links, every pin is back where it was, after whole turns of both sprockets too.
    drive.pose(40.0, pose);
    before = pose.loops[0].pins_mm;
    drive.pose(40.0 + 360.0 * drawn.engine.loops[0].chain.links * 2.0, pose);
    for (std::size_t pin = 0; pin < count; ++pin) REQUIRE(length2(pose.loops[0].pins_mm[pin] - before[pin]) < 1e-8);
  }
}

TEST_CASE("on any drive a tooth of lay is worth exactly 720 / cam teeth, and the causes add up", "[sweep]") {
  std::mt19937 random(13);
  double worst_lay_deg = 0.0, worst_shift_rad = 0.0, worst_sum_deg = 0.0;
  for (int i = 0; i < drives; ++i) {
    RandomDrive drawn = random_drive(random);
    drawn.fitted.vernier = {whole_between(random, 5, 20), whole_between(random, 5, 20)};
    drawn.fitted.holes = {whole_between(random, 0, 4), whole_between(random, 0, 4)};
    drawn.fitted.slot_deg = between(random, -3.0, 3.0);
    const Drive drive = assembled(drawn);
    RandomDrive laid = drawn;
    ++laid.fitted.lay;
    const Drive further = assembled(laid);
    const double tooth_deg = 720.0 / drawn.engine.loops[0].sprockets[1].teeth;
    // Common practice, no source: one tooth at the crank sprocket is 360 / its teeth in crank degrees.
    CHECK_THAT(tooth_deg, WithinAbs(360.0 / drawn.engine.loops[0].sprockets[0].teeth, 1e-14));
    worst_lay_deg = std::fmax(worst_lay_deg, std::fabs(further.phase_deg() - drive.phase_deg() - tooth_deg));
    const double crank_rad = between(random, 0.0, 12.0);
    worst_shift_rad = std::fmax(worst_shift_rad, std::fabs(further.camshaft_rad(crank_rad) -
                                                           drive.camshaft_rad(crank_rad) - radians(tooth_deg) / 2.0));
    const Result<PhaseBreakdown> breakdown = phase_breakdown(drawn.engine, drawn.fitted);
    REQUIRE(breakdown.ok());
    double sum_deg = 0.0;
    for (const PhasePart& part : breakdown->parts) sum_deg += part.deg;
    worst_sum_deg = std::fmax(worst_sum_deg, std::fabs(sum_deg - drive.phase_deg()));
  }
  CHECK(worst_lay_deg < 1e-12);
  CHECK(worst_shift_rad < 1e-12);
  CHECK(worst_sum_deg < 1e-12);
}

TEST_CASE("any drive running anticlockwise is the mirror image of its clockwise twin", "[sweep]") {
  std::mt19937 random(14);
  double worst_mm = 0.0;
  for (int i = 0; i < drives; ++i) {
    const RandomDrive drawn = random_drive(random);
    RandomDrive twin = drawn;
    twin.engine.rotation = drawn.engine.rotation == Rotation::clockwise ? Rotation::anticlockwise : Rotation::clockwise;
    for (Sprocket& sprocket : twin.engine.loops[0].sprockets) {
      sprocket.centre_mm.x = -sprocket.centre_mm.x;
      sprocket.mark_clock_deg = 360.0 - sprocket.mark_clock_deg;
    }
    const Drive one = assembled(drawn), other = assembled(twin);
    CHECK_THAT(one.phase_deg(), WithinAbs(other.phase_deg(), 1e-11));
    const double crank_deg = between(random, 0.0, 720.0);
    CHECK_THAT(one.camshaft_rad(radians(crank_deg)), WithinAbs(other.camshaft_rad(radians(crank_deg)), 1e-12));
    const DrivePose a = one.pose(crank_deg), b = other.pose(crank_deg);
    REQUIRE(a.loops[0].pins_mm.size() == b.loops[0].pins_mm.size());
    for (std::size_t pin = 0; pin < a.loops[0].pins_mm.size(); ++pin)
      worst_mm = std::fmax(worst_mm, length2({a.loops[0].pins_mm[pin].x + b.loops[0].pins_mm[pin].x,
                                              a.loops[0].pins_mm[pin].y - b.loops[0].pins_mm[pin].y}));
  }
  CHECK(worst_mm < 1e-9);
}
