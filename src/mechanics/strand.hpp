// The exact taut strand of a roller chain: the common tangent of two rotating polygons, a whole number of pitches long.
//
// Everything here is in the *running plane*: a right-handed plane in which the crank turns anticlockwise whatever way
// the engine runs, so that every angle is positive in the running direction and the chain's loop is travelled
// anticlockwise. drive.cpp maps it to x right, y up as seen from the timing end.
#pragma once

#include <glm/vec2.hpp>

namespace phasewright {

// Radius on which the rollers' centres lie (unit: mm): chain pitch / (2 sin(180 deg / teeth)). ISO 606, pitch circle.
[[nodiscard]] double pitch_radius_mm(double pitch_mm, int teeth);

// One sprocket as a polygon of seats, numbered in the running direction.
struct SeatPolygon {
  glm::dvec2 centre_mm{};
  int teeth = 0;
  double radius_mm = 0; // pitch radius at the chain's present pitch
  double step_rad = 0;  // 2 pi / teeth
};

[[nodiscard]] SeatPolygon seat_polygon(glm::dvec2 centre_mm, int teeth, double pitch_mm);

// Where a taut strand lies at one angle of its pulling sprocket.
struct StrandLie {
  int pull_seat;     // seat of the pulling sprocket that the strand enters
  int links;         // pitches from the driven sprocket's last seat to the pulling sprocket's first
  double pull_rad;   // where that seat of the pulling sprocket stands
  double driven_rad; // where the last seat of the driven sprocket stands
  glm::dvec2 driven_pin_mm;
  glm::dvec2 pull_pin_mm;
};

// A strand that a sprocket pulls off another, both with the chain's rollers on their inside ("inside" wrap).
class TautStrand {
public:
  // `driven` gives the strand, `pull` takes it in. The sprockets' pitch circles must not overlap (checked by Drive).
  TautStrand(const SeatPolygon& driven, const SeatPolygon& pull, double pitch_mm);

  // Closed form for the right pair of seats, which is found by rounding and put right where it is one off: at the
  // instant a roller seats or leaves. `pull_turn_rad`: how far the pulling sprocket's seat 0 stands round, any size.
  [[nodiscard]] StrandLie at(double pull_turn_rad) const;

  [[nodiscard]] const SeatPolygon& driven() const { return driven_; }
  [[nodiscard]] const SeatPolygon& pull() const { return pull_; }
  [[nodiscard]] double tangent_rad() const { return tangent_rad_; }

private:
  SeatPolygon driven_;
  SeatPolygon pull_;
  double pitch_mm_;
  double tangent_rad_; // direction from the centres to the pitch circles' common tangent, where seats are looked for
  glm::dvec2 along_{}; // the tangent's own direction, from driven to pull
};

// Direction (unit: rad, [-pi, pi)) from the centres of two circles to their common tangent on the right of the way from
// `from` to `to`: where a chain lies that goes round both with its rollers inside.
[[nodiscard]] double tangent_normal_rad(const SeatPolygon& from, const SeatPolygon& to);

} // namespace phasewright
