// The exact taut strand of a roller chain: the common tangent of two rotating polygons, a whole number of pitches long.
//
// Everything here is in the *running plane* of a chain loop: a right-handed plane in which the loop's driving sprocket
// turns anticlockwise whatever way the engine runs, so that the chain's loop is travelled anticlockwise. Every
// sprocket's angles are positive in its own sense: the way the travelling chain turns it.
#pragma once

#include "mechanics/pin_path.hpp"

#include <glm/vec2.hpp>

#include <array>
#include <cstddef>
#include <limits>
#include <stdexcept>
#include <vector>

namespace phasewright {

// Radius on which the rollers' centres lie (unit: mm): chain pitch / (2 sin(180 deg / teeth)). ISO 606, pitch circle.
[[nodiscard]] double pitch_radius_mm(double pitch_mm, int teeth);

// One sprocket as a polygon of seats, numbered in its own sense.
struct SeatPolygon {
  glm::dvec2 centre_mm{};
  int teeth = 0;
  double radius_mm = 0; // pitch radius at the chain's present pitch
  double step_rad = 0;  // 2 pi / teeth
  double sense = 1.0; // 1: inside the loop, turns with the driving sprocket; -1: on the chain's back, turns against it

  // From the centre to where an angle of its own points.
  [[nodiscard]] glm::dvec2 arm_mm(double own_rad) const { return radius_mm * unit_vector(sense * own_rad); }
  // Angle of its own at which an arm points, the one nearest to `near_rad`.
  [[nodiscard]] double own_rad(glm::dvec2 arm, double near_rad) const;
};

[[nodiscard]] SeatPolygon seat_polygon(glm::dvec2 centre_mm, int teeth, double pitch_mm, double sense = 1.0);

// Own angle at which a straight way touches a sprocket's pitch circle (unit: rad, [-pi, pi)).
[[nodiscard]] double touching_rad(const SeatPolygon& sprocket, glm::dvec2 way);

// Direction of the common tangent from one pitch circle to the other, each passed on its own side. The circles must
// leave room for it.
[[nodiscard]] glm::dvec2 tangent_way(const SeatPolygon& from, const SeatPolygon& to);

// A seat counts as inside the strand's line up to this share of half a pitch beyond it: at the instant a roller seats,
// two pairs of seats describe the same line and rounding must not send the search from one to the other and back.
inline constexpr double seat_slip = 1e-12;

// Guides that leave a strand no way: a mistake in an engine file, which Drive::assemble makes a Problem of.
struct NoWay : std::domain_error {
  using std::domain_error::domain_error;
  std::size_t strand = 0; // filled in by ChainLoop ...
  std::size_t loop = 0;   // ... and by Drive
};
// What is wrong when the end seats of a way cannot be told: too little straight chain between its arcs and its ends.
[[nodiscard]] NoWay no_straight_run(double run_mm, double pitch_mm);

// Where a taut strand lies at one angle of the sprocket that pulls it.
struct StrandLie {
  int seat = 0;        // seat of the sprocket whose angle was given that the strand ends in
  int links = 0;       // pitches from the last seat of the one sprocket to the first seat of the other
  double from_rad = 0; // where the last seat of the sprocket it leaves stands, that sprocket's own angle
  double to_rad = 0;   // where the first seat of the sprocket it enters stands
  glm::dvec2 from_pin_mm{};
  glm::dvec2 to_pin_mm{};
  // Straight chain between either end and the guide next to it: how near the strand is to having no way.
  double least_run_mm = std::numeric_limits<double>::infinity();
  std::uint64_t pattern = 0; // while this and the two numbers above stay the same, the angles change smoothly
};

// A strand pulled straight between two sprockets, over the guides it bears on.
class TautStrand {
public:
  // `arcs`: guides along it, in the direction of travel; at most PinPath::most_arcs. The pitch circles must not overlap
  // (checked by Drive).
  TautStrand(const SeatPolygon& from, const SeatPolygon& to, double pitch_mm, std::vector<PathArc> arcs = {});

  // How it lies when the sprocket it enters, or the one it leaves, has its seat 0 at that own angle, of any size.
  // Closed form where no guide bears: the right pair of seats is found by rounding and put right where it is one off,
  // at the instant a roller seats or leaves. Over guides the other sprocket's angle is a root. Throws NoWay when a
  // guide leaves the strand none.
  [[nodiscard]] StrandLie entering(double to_turn_rad) const { return solve(true, to_turn_rad); }
  [[nodiscard]] StrandLie leaving(double from_turn_rad) const { return solve(false, from_turn_rad); }

  [[nodiscard]] const SeatPolygon& from() const { return from_; }
  [[nodiscard]] const SeatPolygon& to() const { return to_; }
  [[nodiscard]] const std::vector<PathArc>& arcs() const { return arcs_; }
  // Own angles at which the strand touches the two pitch circles, about.
  [[nodiscard]] double from_touch_rad() const { return from_touch_rad_; }
  [[nodiscard]] double to_touch_rad() const { return to_touch_rad_; }

private:
  [[nodiscard]] StrandLie solve(bool known_is_to, double known_turn_rad) const;
  [[nodiscard]] StrandLie solve_straight(bool known_is_to, double known_turn_rad) const;
  [[nodiscard]] StrandLie solve_guided(bool known_is_to, double known_turn_rad, const StrandLie& start) const;
  [[nodiscard]] bool clear_of_guides(const StrandLie& lie) const;

  SeatPolygon from_;
  SeatPolygon to_;
  double pitch_mm_;
  std::vector<PathArc> arcs_;
  std::vector<PathArc> arcs_back_; // the same met from the far end
  // Where roots over guides are looked for: how the strand was found to lie with the known sprocket at 0.
  struct Known {
    bool there = false;
    double touch_rad = 0.0; // of the known sprocket
    double known_rad = 0.0;
    double sought_rad = 0.0;
  };
  std::array<Known, 2> hints_{}; // the known sprocket the one it leaves, the one it enters
  glm::dvec2 along_{};           // direction of the pitch circles' common tangent
  double from_touch_rad_;
  double to_touch_rad_;
};

} // namespace phasewright
