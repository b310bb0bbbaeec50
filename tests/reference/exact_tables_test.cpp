#include "geometry/angle.hpp"
#include "mechanics/strand.hpp"
#include "reference/csv.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <functional>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

using Row = std::map<std::string, std::string>;

double number(const Row& row, const std::string& column) {
  return std::stod(row.at(column));
}

int whole(const Row& row, const std::string& column) {
  return std::stoi(row.at(column));
}

// Half a unit of the last digit of a figure printed to so many significant digits, and a little for its own rounding.
double half_digit(double printed, int significant) {
  if (printed == 0.0) return 1e-11;
  return 0.51 * std::pow(10.0, std::floor(std::log10(std::fabs(printed))) + 1 - significant);
}

// A strand between sprockets whose centres stand `centres` apart.
TautStrand strand(int pull_teeth, int driven_teeth, double pitch, double centres) {
  return {seat_polygon({0.0, centres}, driven_teeth, pitch), seat_polygon({0.0, 0.0}, pull_teeth, pitch), pitch};
}

// How far the strand's line passes from the pulling sprocket's centre.
double line_arm(const TautStrand& strand, const StrandLie& lie) {
  const glm::dvec2 way = lie.to_pin_mm - lie.from_pin_mm;
  return std::fabs(cross2(lie.to_pin_mm - strand.to().centre_mm, way)) / length2(way);
}

// Driven speed / pulling speed: both sprockets have the strand's line in common, so their speeds are as the line's
// distances from their centres, r cos u each.
double speed_ratio(const TautStrand& strand, const StrandLie& lie) {
  const glm::dvec2 way = lie.to_pin_mm - lie.from_pin_mm;
  const double driven_arm = std::fabs(cross2(lie.from_pin_mm - strand.from().centre_mm, way)) / length2(way);
  return line_arm(strand, lie) / driven_arm;
}

// How far the driven sprocket stands ahead of a steady ratio (unit: rad), followed through the seats.
double lead_rad(const TautStrand& strand, double pull_rad) {
  const StrandLie lie = strand.entering(pull_rad);
  const int driven_seat = lie.seat - lie.links;
  return lie.from_rad - driven_seat * strand.from().step_rad - pull_rad * strand.to().teeth / strand.from().teeth;
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
    const bool rises = value(low + third) < value(high - third);
    (rises ? low : high) = rises ? low + third : high - third;
  }
  return value(0.5 * (low + high));
}

double least(const std::function<double(double)>& value, double tooth_rad) {
  return -greatest([&value](double rad) { return -value(rad); }, tooth_rad);
}

} // namespace

// Sources stand in the tables. Every printed digit must agree.
TEST_CASE("speed ratio and driven angle swing as in the exact strand's table", "[tables]") {
  const auto rows = read_table("exact_strand.csv");
  CHECK(rows.size() == 10);
  for (const Row& row : rows) {
    INFO(row.at("pull_teeth") << "/" << row.at("driven_teeth") << " at " << row.at("centres"));
    const TautStrand taut =
        strand(whole(row, "pull_teeth"), whole(row, "driven_teeth"), number(row, "pitch"), number(row, "centres"));
    const double tooth_rad = taut.to().step_rad;
    const auto ratio = [&taut](double rad) { return speed_ratio(taut, taut.entering(rad)); };
    const auto lead = [&taut](double rad) { return lead_rad(taut, rad); };
    const double least_ratio = least(ratio, tooth_rad), greatest_ratio = greatest(ratio, tooth_rad);
    const auto agrees = [&row](const char* column, double found, int digits) {
      INFO(column);
      CHECK_THAT(found, WithinAbs(number(row, column), half_digit(number(row, column), digits)));
    };
    agrees("least_ratio", least_ratio, 10);
    agrees("greatest_ratio", greatest_ratio, 10);
    agrees("range_percent", 100.0 * (greatest_ratio - least_ratio) * taut.from().teeth / taut.to().teeth, 6);
    agrees("swing_deg", degrees(greatest(lead, tooth_rad) - least(lead, tooth_rad)), 8);
  }
}

TEST_CASE("the length round both polygons is as tabled", "[tables]") {
  const auto rows = read_table("exact_wrap_length.csv");
  CHECK(rows.size() == 18);
  constexpr int steps = 400;
  for (const Row& row : rows) {
    INFO(row.at("teeth") << "/" << row.at("driven_teeth") << " at " << row.at("fraction"));
    const double pitch = number(row, "pitch");
    const SeatPolygon driver = seat_polygon({0.0, 0.0}, whole(row, "teeth"), pitch);
    const SeatPolygon driven = seat_polygon({number(row, "centres"), 0.0}, whole(row, "driven_teeth"), pitch);
    double shortest = 1e9, longest = 0.0, sum = 0.0;
    for (int i = 0; i < steps; ++i) {
      const double turn = driver.step_rad * i / steps;
      std::vector<glm::dvec2> seats;
      const auto add = [&seats](const SeatPolygon& polygon, double first_rad) {
        for (int seat = 0; seat < polygon.teeth; ++seat)
          seats.push_back(polygon.centre_mm + polygon.radius_mm * unit_vector(first_rad + seat * polygon.step_rad));
      };
      add(driver, turn);
      add(driven, turn * driver.teeth / driven.teeth + number(row, "fraction") * driven.step_rad);
      const double pitches = hull_length(std::move(seats)) / pitch;
      shortest = std::fmin(shortest, pitches);
      longest = std::fmax(longest, pitches);
      sum += pitches;
    }
    CHECK_THAT(shortest, WithinAbs(number(row, "least"), 0.51e-8));
    CHECK_THAT(longest, WithinAbs(number(row, "greatest"), 0.51e-8));
    CHECK_THAT(sum / steps, WithinAbs(number(row, "mean"), 0.51e-8));
    const double tangent = number(row, "tangent_polygon");
    CHECK_THAT(tangent_polygon_pitches(driver.teeth, driven.teeth, number(row, "centres") / pitch),
               WithinAbs(tangent, half_digit(tangent, 10)));
  }
}

// A strand so long that its direction hardly turns: the pulling sprocket alone makes it rise and fall.
TEST_CASE("the strand rises, and the chain's speed swings, as in the table of polygonal action", "[tables]") {
  const auto rows = read_table("chordal.csv");
  CHECK(rows.size() == 52);
  for (const Row& row : rows) {
    INFO(row.at("teeth") << " teeth");
    const TautStrand taut = strand(whole(row, "teeth"), 2 * whole(row, "teeth"), 1.0, 100.3);
    const auto arm = [&taut](double rad) { return line_arm(taut, taut.entering(rad)); };
    const double low = least(arm, taut.to().step_rad), high = greatest(arm, taut.to().step_rad);
    const double rise = number(row, "rise"), range = number(row, "speed_range_percent");
    CHECK_THAT(high - low, WithinAbs(rise, half_digit(rise, 8)));
    CHECK_THAT(100.0 * (high - low) / high, WithinAbs(range, half_digit(range, 8)));
    const double bend = number(row, "articulation_deg");
    CHECK_THAT(degrees(taut.to().step_rad), WithinAbs(bend, half_digit(bend, 10)));
  }
}
