#include "reference/drives.hpp"

#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>

namespace phasewright::testing {

namespace {

constexpr double half_turn_rad = std::numbers::pi;

double seat_radius_mm(double pitch_mm, int teeth) {
  return pitch_mm / (2.0 * std::sin(half_turn_rad / teeth));
}

double length(glm::dvec2 v) {
  return std::hypot(v.x, v.y);
}

} // namespace

double between(std::mt19937& random, double low, double high) {
  return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
}

int whole_between(std::mt19937& random, int low, int high) {
  return low + static_cast<int>(random() % static_cast<unsigned>(high - low + 1));
}

double fitted_pitch_mm(const RandomDrive& drive) {
  return drive.engine.loops[0].chain.pitch_mm * (1.0 + drive.fitted.elongation_percent / 100.0);
}

glm::dvec2 fitted_cam_centre_mm(const RandomDrive& drive) {
  const glm::dvec2 crank = drive.engine.loops[0].sprockets[0].centre_mm;
  const glm::dvec2 apart = drive.engine.loops[0].sprockets[1].centre_mm - crank;
  return crank + apart * (1.0 + drive.fitted.centre_change_mm / length(apart));
}

double tangent_polygon_pitches(int small_teeth, int great_teeth, double centres_pitches) {
  const double b = std::asin((seat_radius_mm(1.0, great_teeth) - seat_radius_mm(1.0, small_teeth)) / centres_pitches);
  return 2.0 * centres_pitches * std::cos(b) + (small_teeth + great_teeth) / 2.0 +
         b * (great_teeth - small_teeth) / half_turn_rad;
}

RandomDrive random_drive(std::mt19937& random) {
  RandomDrive drive{small_engine(), {}};
  Engine& engine = drive.engine;
  Sprocket& crank = engine.loops[0].sprockets[0];
  Sprocket& cam = engine.loops[0].sprockets[1];
  crank.teeth = whole_between(random, 12, 40);
  cam.teeth = 2 * crank.teeth;
  engine.loops[0].chain.iso606.clear();
  engine.loops[0].chain.pitch_mm = between(random, 5.0, 16.0);
  engine.loops[0].chain.roller_mm = 0.63 * engine.loops[0].chain.pitch_mm;
  engine.rotation = random() % 2 == 0 ? Rotation::clockwise : Rotation::anticlockwise;
  for (Sprocket* sprocket : {&crank, &cam}) {
    sprocket->mark = random() % 2 == 0 ? MarkOn::tooth : MarkOn::gap;
    sprocket->mark_clock_deg = between(random, 0.0, 360.0);
  }
  drive.fitted.lay = whole_between(random, -2, 2);
  drive.fitted.crank_key_deg = between(random, -4.0, 4.0);
  drive.fitted.cam_key_deg = between(random, -3.0, 3.0);
  drive.fitted.elongation_percent = between(random, 0.0, 2.0);
  drive.fitted.centre_change_mm = between(random, -0.2, 0.2);

  // Tips clear each other by ISO 606's greatest tip diameter, d + 1.25 p - d1.
  const double pitch_mm = engine.loops[0].chain.pitch_mm;
  const double clear_mm = seat_radius_mm(pitch_mm, crank.teeth) + seat_radius_mm(pitch_mm, cam.teeth) +
                          1.25 * pitch_mm - engine.loops[0].chain.roller_mm;
  const double centres_mm = clear_mm * between(random, 1.0, 2.5) + 0.5;
  const double direction_rad = between(random, -half_turn_rad, half_turn_rad);
  crank.centre_mm = {between(random, -100.0, 100.0), between(random, -100.0, 100.0)};
  cam.centre_mm = crank.centre_mm + centres_mm * glm::dvec2{std::cos(direction_rad), std::sin(direction_rad)};
  const double reach_pitches = tangent_polygon_pitches(
      crank.teeth, cam.teeth, (centres_mm + drive.fitted.centre_change_mm) / fitted_pitch_mm(drive));
  constexpr double breathing_pitches = 0.03; // the true length swings about its mean by less
  engine.loops[0].chain.links = static_cast<int>(std::ceil(reach_pitches + breathing_pitches));
  return drive;
}

std::vector<glm::dvec2> seats_mm(const Sprocket& sprocket, glm::dvec2 centre_mm, double pitch_mm,
                                 double mark_clock_deg) {
  const double radius_mm = seat_radius_mm(pitch_mm, sprocket.teeth);
  std::vector<glm::dvec2> seats;
  for (int seat = 0; seat < sprocket.teeth; ++seat) {
    const double from_mark = sprocket.mark == MarkOn::gap ? seat : seat + 0.5;
    const double clock_rad = (mark_clock_deg / 180.0 + 2.0 * from_mark / sprocket.teeth) * half_turn_rad;
    seats.push_back(centre_mm + radius_mm * glm::dvec2{std::sin(clock_rad), std::cos(clock_rad)});
  }
  return seats;
}

double farthest_outside_mm(const std::vector<glm::dvec2>& seats, glm::dvec2 from, glm::dvec2 to, glm::dvec2 inside) {
  const glm::dvec2 way = (to - from) / length(to - from);
  const auto left = [&](glm::dvec2 point) { return way.x * (point.y - from.y) - way.y * (point.x - from.x); };
  const double inward = left(inside) > 0.0 ? 1.0 : -1.0;
  double farthest_mm = -inward * left(seats.front());
  for (const glm::dvec2 seat : seats) farthest_mm = std::fmax(farthest_mm, -inward * left(seat));
  return farthest_mm;
}

double hull_length(std::vector<glm::dvec2> points) {
  std::ranges::sort(points, {}, [](glm::dvec2 p) { return std::tuple(p.x, p.y); });
  double sum = 0.0;
  std::vector<glm::dvec2> half;
  const auto right_turn = [&half](glm::dvec2 next) {
    const glm::dvec2 a = half.back() - half[half.size() - 2];
    const glm::dvec2 b = next - half[half.size() - 2];
    return a.x * b.y - a.y * b.x <= 0.0;
  };
  for (int side = 0; side < 2; ++side) {
    half.clear();
    for (const glm::dvec2 point : points) {
      while (half.size() >= 2 && right_turn(point)) half.pop_back();
      half.push_back(point);
    }
    for (std::size_t i = 1; i < half.size(); ++i) sum += length(half[i] - half[i - 1]);
    std::ranges::reverse(points);
  }
  return sum;
}

} // namespace phasewright::testing
