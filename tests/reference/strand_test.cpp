#include "geometry/angle.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>
#include <functional>

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
  const glm::dvec2 way = lie.pull_pin_mm - lie.driven_pin_mm;
  const double pull_arm = cross2(lie.pull_pin_mm - strand.pull().centre_mm, way);
  const double driven_arm = cross2(lie.driven_pin_mm - strand.driven().centre_mm, way);
  return pull_arm / driven_arm;
}

// How far the driven sprocket stands ahead of a steady ratio (unit: rad), followed through the seats.
double lead_rad(const TautStrand& strand, double pull_rad) {
  const StrandLie lie = strand.at(pull_rad);
  const int driven_seat = lie.pull_seat - lie.links;
  return lie.driven_rad - driven_seat * strand.driven().step_rad -
         pull_rad * strand.pull().teeth / strand.driven().teeth;
}

// Greatest value over a tooth: looked for in steps, then closed in on by thirds, which finds kinks as well as tops.
double greatest(const std::function<double(double)>& value, double tooth_rad) {
  constexpr int looks = 720;
  double best_rad = 0.0;
  for (int i = 1; i < looks; ++i)
    if (value(tooth_rad * i / looks) > value(best_rad)) best_rad = tooth_rad * i / looks;
  double low = best_rad - tooth_rad / looks, high = best_rad + tooth_rad / looks;
  for (int i = 0; i < 100; ++i) {
    const double third = (high - low) / 3.0;
    (value(low + third) < value(high - third) ? low : high) =
        value(low + third) < value(high - third) ? low + third : high - third;
  }
  return value(0.5 * (low + high));
}

} // namespace

// Exact kinematics of the strand as a four-bar linkage (see Chen and Freudenstein, "Toward a More Exact Kinematics of
// Roller Chain Drives", ASME J. Mechanical Design 110, for why it is one). Figures derived independently, from the loop
// closure in the span's own frame with 30-digit arithmetic; every printed digit must agree.
TEST_CASE("speed ratio and driven angle swing as in the exact strand's table", "[strand]") {
  struct Row {
    int pull_teeth, driven_teeth;
    double pitch, centres, least_ratio, greatest_ratio, swing_deg, swing_digit;
  };
  static constexpr std::array rows{
      Row{20, 20, 1.0, 10.25, 0.9907246211, 1.009362217, 0.041750093, 1e-9},
      Row{20, 20, 1.0, 10.5, 0.9876883409, 1.012465126, 0.055601837, 1e-9},
      Row{12, 12, 1.0, 8.5, 0.9659258347, 1.035276171, 0.2581111, 1e-7},
      Row{18, 36, 9.525, 150.0, 0.4942882535, 0.5038244642, 0.024071079, 1e-9},
      Row{19, 38, 9.525, 140.0, 0.4949735251, 0.503097414, 0.019820435, 1e-9},
      Row{17, 34, 9.525, 110.0, 0.4942544865, 0.5027529535, 0.023712379, 1e-9},
      Row{21, 42, 9.525, 160.0, 0.4958126414, 0.5027837338, 0.015105542, 1e-9},
      Row{23, 46, 8.0, 130.0, 0.4969969429, 0.5013395639, 0.0086393722, 1e-10},
      Row{17, 34, 19.05, 765.026212, 0.4951815197, 0.5021952014, 0.018115576, 1e-9},
  };
  for (const Row& row : rows) {
    INFO(row.pull_teeth << "/" << row.driven_teeth << ", pitch " << row.pitch << ", centres " << row.centres);
    const TautStrand taut = strand(row.pull_teeth, row.driven_teeth, row.pitch, row.centres);
    const double tooth_rad = taut.pull().step_rad;
    const auto ratio = [&](double rad) { return speed_ratio(taut, taut.at(rad)); };
    const double digit = row.greatest_ratio > 1.0 ? 1e-9 : 1e-10;
    CHECK_THAT(greatest(ratio, tooth_rad), WithinAbs(row.greatest_ratio, 0.51 * digit));
    CHECK_THAT(-greatest([&](double rad) { return -ratio(rad); }, tooth_rad), WithinAbs(row.least_ratio, 0.51e-10));
    const double swing_rad = greatest([&](double rad) { return lead_rad(taut, rad); }, tooth_rad) +
                             greatest([&](double rad) { return -lead_rad(taut, rad); }, tooth_rad);
    CHECK_THAT(degrees(swing_rad), WithinAbs(row.swing_deg, 0.51 * row.swing_digit));
  }
}

// A parallelogram linkage: elementary.
TEST_CASE("equal sprockets a whole number of pitches apart run at a constant ratio", "[strand]") {
  for (const int teeth : {9, 12, 20, 33}) {
    for (const double centres : {10.0, 11.0, 24.0}) {
      const TautStrand whole = strand(teeth, teeth, 1.0, centres);
      const double from_rad = lead_rad(whole, 0.0);
      for (int i = 0; i <= 400; ++i) {
        const double pull_rad = turn_rad * (i - 100) / 100.0 / 3.0;
        CHECK_THAT(lead_rad(whole, pull_rad), WithinAbs(from_rad, 2e-14));
        CHECK_THAT(speed_ratio(whole, whole.at(pull_rad)), WithinAbs(1.0, 1e-13));
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
    const StrandLie before = taut.at(pull_rad - h), now = taut.at(pull_rad), after = taut.at(pull_rad + h);
    if (before.links != after.links || before.pull_seat != after.pull_seat) continue;
    CHECK_THAT((after.driven_rad - before.driven_rad) / (2.0 * h), WithinAbs(speed_ratio(taut, now), 1e-8));
    ++compared;
  }
  CHECK(compared >= 390);
}

// Hull of two polygons of seats, one tooth of the crank in 400 steps. Figures derived independently with a hull of its
// own (rounded to 8 decimals there). `fraction`: how far the driven polygon stands from the driver's, in driven teeth.
TEST_CASE("the length round both polygons is as tabled", "[strand]") {
  struct Row {
    int teeth, driven_teeth;
    double pitch, centres, fraction, least, greatest, mean;
  };
  static constexpr std::array rows{
      Row{20, 20, 1.0, 10.0, 0.0, 40.0, 40.0, 40.0},
      Row{20, 20, 1.0, 10.0, 0.25, 40.0, 40.00008386, 40.00002905},
      Row{20, 20, 1.0, 10.5, 0.0, 41.0, 41.0, 41.0},
      Row{20, 20, 1.0, 10.5, 0.5, 41.0, 41.00014077, 41.00004920},
      Row{18, 36, 9.525, 150.0, 0.0, 59.01854021, 59.01891835, 59.01866312},
      Row{18, 36, 9.525, 150.0, 0.5, 59.01824701, 59.01930072, 59.01868340},
      Row{19, 38, 9.525, 140.0, 0.0, 58.51877858, 58.52217791, 58.52070317},
      Row{19, 38, 9.525, 140.0, 0.5, 58.51963265, 58.52132295, 58.52068934},
      Row{17, 34, 9.525, 110.0, 0.25, 49.23212226, 49.23534179, 49.23396764},
      Row{23, 46, 8.0, 130.0, 0.5, 67.82787393, 67.82864259, 67.82814264},
  };
  for (const Row& row : rows) {
    INFO(row.teeth << "/" << row.driven_teeth << " at " << row.fraction);
    const SeatPolygon driver = seat_polygon({0.0, 0.0}, row.teeth, row.pitch);
    const SeatPolygon driven = seat_polygon({row.centres, 0.0}, row.driven_teeth, row.pitch);
    double least = 1e9, greatest = 0.0, sum = 0.0;
    for (int i = 0; i < 400; ++i) {
      const double turn = driver.step_rad * i / 400.0;
      std::vector<glm::dvec2> seats;
      const auto add = [&seats](const SeatPolygon& polygon, double first_rad) {
        for (int seat = 0; seat < polygon.teeth; ++seat)
          seats.push_back(polygon.centre_mm + polygon.radius_mm * unit_vector(first_rad + seat * polygon.step_rad));
      };
      add(driver, turn);
      add(driven, turn * row.teeth / row.driven_teeth + row.fraction * driven.step_rad);
      const double pitches = hull_length(std::move(seats)) / row.pitch;
      least = std::fmin(least, pitches);
      greatest = std::fmax(greatest, pitches);
      sum += pitches;
    }
    CHECK_THAT(least, WithinAbs(row.least, 0.51e-8));
    CHECK_THAT(greatest, WithinAbs(row.greatest, 0.51e-8));
    CHECK_THAT(sum / 400.0, WithinAbs(row.mean, 0.51e-8));
  }
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
      const ChainLoop loop(engine, example.pitch_mm, 0.0);
      double sum_mm = 0.0;
      for (int i = 0; i < 400; ++i) sum_mm += loop.slack(loop.lie(loop.crank().step_rad * i / 400.0, 0)).excess_mm;
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
