#include "geometry/angle.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// A strand between sprockets whose centres stand `centres` apart.
TautStrand strand(int pull_teeth, int driven_teeth, double pitch, double centres) {
  return {seat_polygon({0.0, centres}, driven_teeth, pitch), seat_polygon({0.0, 0.0}, pull_teeth, pitch), pitch};
}

// Driven speed / pulling speed: both sprockets have the strand's line in common, so their speeds are as the line's
// distances from their centres, r cos u each.
double speed_ratio(const TautStrand& strand, const StrandLie& lie) {
  const glm::dvec2 way = lie.to_pin_mm - lie.from_pin_mm;
  const double pull_arm = cross2(lie.to_pin_mm - strand.to().centre_mm, way);
  const double driven_arm = cross2(lie.from_pin_mm - strand.from().centre_mm, way);
  return pull_arm / driven_arm;
}

// How far the driven sprocket stands ahead of a steady ratio (unit: rad), followed through the seats.
double lead_rad(const TautStrand& strand, double pull_rad) {
  const StrandLie lie = strand.entering(pull_rad);
  const int driven_seat = lie.seat - lie.links;
  return lie.from_rad - driven_seat * strand.from().step_rad - pull_rad * strand.to().teeth / strand.from().teeth;
}

} // namespace

// A parallelogram linkage: elementary.
TEST_CASE("equal sprockets a whole number of pitches apart run at a constant ratio", "[strand]") {
  for (const int teeth : {9, 12, 20, 33}) {
    for (const double centres : {10.0, 11.0, 24.0}) {
      const TautStrand whole = strand(teeth, teeth, 1.0, centres);
      const double from_rad = lead_rad(whole, 0.0);
      for (int i = 0; i <= 400; ++i) {
        const double pull_rad = turn_rad * (i - 100) / 100.0 / 3.0;
        CHECK_THAT(lead_rad(whole, pull_rad), WithinAbs(from_rad, 2e-14));
        CHECK_THAT(speed_ratio(whole, whole.entering(pull_rad)), WithinAbs(1.0, 1e-13));
      }
    }
  }
}

// Differences of the angle against the distances of the line, on any tooth counts: centred over 2e-6 rad they are good
// to 1e-9, but where a roller seats or leaves within those the slope itself has a step.
TEST_CASE("the driven angle's slope is the ratio of the line's distances", "[strand]") {
  std::mt19937 random(2);
  constexpr double h = 1e-6;
  int compared = 0;
  for (int i = 0; i < 400; ++i) {
    const int pull_teeth = whole_between(random, 9, 60), driven_teeth = whole_between(random, 9, 60);
    const double apart = between(random, 1.3, 4.0) * (pull_teeth + driven_teeth) / (2.0 * pi);
    const TautStrand taut = strand(pull_teeth, driven_teeth, 1.0, apart);
    const double pull_rad = between(random, -20.0, 20.0);
    const StrandLie before = taut.entering(pull_rad - h), now = taut.entering(pull_rad),
                    after = taut.entering(pull_rad + h);
    if (before.links != after.links || before.seat != after.seat) continue;
    CHECK_THAT((after.from_rad - before.from_rad) / (2.0 * h), WithinAbs(speed_ratio(taut, now), 1e-8));
    ++compared;
  }
  CHECK(compared >= 390);
}

// What the chain has over: N pitches less the hull of both sprockets' seats as the marks say they stand.
TEST_CASE("the slack strand's excess is the chain's length less the hull of the seats", "[strand]") {
  std::mt19937 random(3);
  double worst_mm = 0.0;
  for (int i = 0; i < 200; ++i) {
    const RandomDrive drawn = random_drive(random);
    const Engine& engine = drawn.engine;
    const Result<Drive> drive = Drive::assemble(engine, drawn.fitted);
    REQUIRE(drive.ok());
    const double pitch_mm = fitted_pitch_mm(drawn);
    for (int k = 0; k < 5; ++k) {
      const DrivePose pose = drive->pose(between(random, 0.0, 720.0));
      std::vector<glm::dvec2> seats = seats_mm(engine.loops[0].sprockets[0], engine.loops[0].sprockets[0].centre_mm,
                                               pitch_mm, pose.loops[0].sprockets[0].mark_clock_deg);
      const std::vector<glm::dvec2> cam = seats_mm(engine.loops[0].sprockets[1], fitted_cam_centre_mm(drawn), pitch_mm,
                                                   pose.loops[0].sprockets[1].mark_clock_deg);
      seats.insert(seats.end(), cam.begin(), cam.end());
      const double left_mm = engine.loops[0].chain.links * pitch_mm - hull_length(std::move(seats));
      worst_mm = std::fmax(worst_mm, std::fabs(left_mm - pose.loops[0].strands[0].slack_mm));
      CHECK(pose.loops[0].strands[0].slack_mm >= drive->slack_mm().least - 1e-9);
      CHECK(pose.loops[0].strands[0].slack_mm <= drive->slack_mm().greatest + 1e-3 * pitch_mm);
    }
  }
  CHECK(worst_mm < 1e-9);
}

// Worked examples of a textbook (Bhandari, Design of Machine Elements, ch. 14; the author's name from memory):
// example 14.3, teeth 21/63, p 12.7 mm, centres about 500 mm: 121.875097 pitches, 122 links, a = 500.804717 mm.
// Example 14.4, teeth 17/34, p 19.05 mm, centres about 40 p: 105.683011 pitches, 106 links, a = 765.026212 mm before
// the allowance for sag. The handbook's series stops at its second term: the true loop is longer by up to 0.004 pitch.
TEST_CASE("chains come out as long as the handbook's formula, but for what it leaves out", "[strand]") {
  struct Example {
    int teeth, driven_teeth;
    double pitch_mm, about_mm, pitches;
    int links;
    double centres_mm;
  };
  static constexpr std::array examples{Example{21, 63, 12.7, 500.0, 121.875097, 122, 500.804717},
                                       Example{17, 34, 19.05, 762.0, 105.683011, 106, 765.026212}};
  std::mt19937 random(4);
  for (const Example& example : examples) {
    INFO(example.teeth << "/" << example.driven_teeth);
    RandomDrive drawn = random_drive(random);
    Engine& engine = drawn.engine;
    engine.loops[0].chain.pitch_mm = example.pitch_mm;
    engine.loops[0].chain.links = example.links;
    engine.loops[0].sprockets[0].teeth = example.teeth;
    engine.loops[0].sprockets[1].teeth = example.driven_teeth;
    const auto mean_excess_pitches = [&](double centres_mm) {
      engine.loops[0].sprockets[1].centre_mm = engine.loops[0].sprockets[0].centre_mm + glm::dvec2{centres_mm, 0.0};
      const ChainLoop loop(draw_loop(engine, Fitted{}, Growth{}, 0).drawing);
      const double tooth_rad = loop.drawing().sprockets[0].step_rad;
      double sum_mm = 0.0;
      for (int i = 0; i < 400; ++i) sum_mm += loop.lie(tooth_rad * i / 400.0, Shifts{}).loose_strand.excess_mm;
      return sum_mm / 400.0 / example.pitch_mm;
    };
    // At the centres asked for, what the formula says; at the centres it gives for whole links, nothing over.
    CHECK_THAT(example.links - mean_excess_pitches(example.about_mm), WithinAbs(example.pitches, 0.004));
    CHECK_THAT(mean_excess_pitches(example.centres_mm), WithinAbs(0.0, 0.004));
    // The tangent polygon leaves nothing out that is worth more than 5e-5 pitch.
    CHECK_THAT(
        example.links - mean_excess_pitches(example.about_mm),
        WithinAbs(tangent_polygon_pitches(example.teeth, example.driven_teeth, example.about_mm / example.pitch_mm),
                  5e-5));
  }
}
