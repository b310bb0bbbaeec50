#include "mechanics/strand.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace phasewright {

namespace {

// Each wrong guess moves one seat toward the right pair, and rounding is at most one seat off at either end; guides may
// turn a strand by a few seats more.
constexpr int most_corrections = 32;

} // namespace

double pitch_radius_mm(double pitch_mm, int teeth) {
  return pitch_mm / (2.0 * std::sin(pi / teeth));
}

double SeatPolygon::own_rad(glm::dvec2 arm, double near_rad) const {
  const double angle = sense * std::atan2(arm.y, arm.x);
  return angle + turn_rad * std::round((near_rad - angle) / turn_rad);
}

SeatPolygon seat_polygon(glm::dvec2 centre_mm, int teeth, double pitch_mm, double sense) {
  return {centre_mm, teeth, pitch_radius_mm(pitch_mm, teeth), turn_rad / teeth, sense};
}

double touching_rad(const SeatPolygon& sprocket, glm::dvec2 way) {
  // The chain passes an inside sprocket on the right of the way, an outside one on its left.
  const glm::dvec2 arm = -sprocket.sense * left_of(way);
  return wrap_pi(sprocket.sense * std::atan2(arm.y, arm.x));
}

glm::dvec2 tangent_way(const SeatPolygon& from, const SeatPolygon& to) {
  const glm::dvec2 apart = to.centre_mm - from.centre_mm;
  const double apart2 = dot2(apart, apart);
  const double across = from.sense * from.radius_mm - to.sense * to.radius_mm;
  return (std::sqrt(apart2 - across * across) * apart + across * left_of(apart)) / apart2;
}

NoWay no_straight_run(double run_mm, double pitch_mm) {
  return NoWay(fmt::format("{:.2f} mm of straight chain between an arc and a sprocket, with a pitch of {:.2f} mm",
                           run_mm, pitch_mm));
}

TautStrand::TautStrand(const SeatPolygon& from, const SeatPolygon& to, double pitch_mm, std::vector<PathArc> arcs)
    : from_(from), to_(to), pitch_mm_(pitch_mm), arcs_(std::move(arcs)), along_(tangent_way(from, to)),
      from_touch_rad_(touching_rad(from, along_)), to_touch_rad_(touching_rad(to, along_)) {
  for (auto arc = arcs_.rbegin(); arc != arcs_.rend(); ++arc)
    arcs_back_.push_back({arc->centre_mm, arc->radius_mm, -arc->sense, arc->pitch_rad});
  if (arcs_.empty()) return;
  for (const bool known_is_to : {true, false}) {
    Known& hint = hints_[known_is_to ? 1 : 0];
    try {
      const StrandLie lie = solve(known_is_to, 0.0);
      PinPath path;
      if (lie.pattern == 0 || !path.lay(lie.from_pin_mm, lie.to_pin_mm, arcs_)) continue;
      const double known_rad = known_is_to ? lie.to_rad : lie.from_rad;
      const double sought_rad = known_is_to ? lie.from_rad : lie.to_rad;
      // Seats are counted from where the straight tangent touches, so this must not lie a whole turn from there.
      const double straight_rad = known_is_to ? to_touch_rad_ : from_touch_rad_;
      const double touch_rad = known_is_to ? touching_rad(to_, path.last_way()) : touching_rad(from_, path.first_way());
      hint = {true, straight_rad + wrap_pi(touch_rad - straight_rad), known_rad, sought_rad};
    } catch (const NoWay&) { // told when the strand is asked for
    }
  }
}

StrandLie TautStrand::solve(bool known_is_to, double known_turn_rad) const {
  if (const Known& hint = hints_[known_is_to ? 1 : 0]; hint.there) {
    // Both sprockets have turned on alike, but for the ripple and whole teeth, from where the hint was found.
    const SeatPolygon& known = known_is_to ? to_ : from_;
    const SeatPolygon& sought = known_is_to ? from_ : to_;
    StrandLie start;
    start.seat = static_cast<int>(std::lround((hint.touch_rad - known_turn_rad) / known.step_rad));
    const double moved_teeth = (known_turn_rad + start.seat * known.step_rad - hint.known_rad) / known.step_rad;
    (known_is_to ? start.from_rad : start.to_rad) = hint.sought_rad + moved_teeth * sought.step_rad;
    return solve_guided(known_is_to, known_turn_rad, start);
  }
  const StrandLie straight = solve_straight(known_is_to, known_turn_rad);
  if (arcs_.empty() || clear_of_guides(straight)) return straight;
  return solve_guided(known_is_to, known_turn_rad, straight);
}

bool TautStrand::clear_of_guides(const StrandLie& lie) const {
  PinPath path;
  return path.lay(lie.from_pin_mm, lie.to_pin_mm, arcs_) && !path.bears();
}

StrandLie TautStrand::solve_straight(bool known_is_to, double known_turn_rad) const {
  const SeatPolygon& known = known_is_to ? to_ : from_;
  const SeatPolygon& sought = known_is_to ? from_ : to_;
  const double known_touch_rad = known_is_to ? to_touch_rad_ : from_touch_rad_;
  const double sought_touch_rad = known_is_to ? from_touch_rad_ : to_touch_rad_;
  const double ahead_sign = known_is_to ? 1.0 : -1.0; // the known end is ahead of the sought one, or behind it
  const int link_sign = known_is_to ? 1 : -1;
  const double half_pitch_mm = 0.5 * pitch_mm_ * (1.0 + seat_slip);
  int seat = static_cast<int>(std::lround((known_touch_rad - known_turn_rad) / known.step_rad));
  int links = 0;
  for (int correction = 0; correction < most_corrections; ++correction) {
    const double known_rad = known_turn_rad + seat * known.step_rad;
    const glm::dvec2 arm = known.arm_mm(known_rad);
    const glm::dvec2 known_pin = known.centre_mm + arm;
    const glm::dvec2 reach = known_pin - sought.centre_mm;
    if (correction == 0) links = static_cast<int>(std::lround(ahead_sign * dot2(reach, along_) / pitch_mm_));

    // The far end lies where the circle of `links` pitches about the near end cuts the other pitch circle, on the side
    // on which the chain passes that sprocket.
    const double length_mm = links * pitch_mm_;
    const double reach2 = dot2(reach, reach);
    const double reach_mm = std::sqrt(reach2);
    const double radius2 = sought.radius_mm * sought.radius_mm;
    const double near_mm = (reach2 + radius2 - length_mm * length_mm) / (2.0 * reach_mm);
    const double aside_mm = std::sqrt(std::fmax(0.0, radius2 - near_mm * near_mm));
    const glm::dvec2 ahead = reach / reach_mm;
    const glm::dvec2 far_arm = near_mm * ahead - ahead_sign * sought.sense * aside_mm * left_of(ahead);
    const glm::dvec2 sought_pin = sought.centre_mm + far_arm;

    // No other seat may stand outside the line: its ends lie within half a pitch of the feet of the perpendiculars.
    const glm::dvec2 way = ahead_sign * (known_pin - sought_pin) / length_mm;
    const double known_past_mm = dot2(arm, way);
    const double sought_past_mm = dot2(far_arm, way);
    if (known_past_mm > half_pitch_mm) {
      --seat;
      links -= link_sign;
    } else if (known_past_mm < -half_pitch_mm) {
      ++seat;
      links += link_sign;
    } else if (sought_past_mm > half_pitch_mm) {
      links += link_sign;
    } else if (sought_past_mm < -half_pitch_mm) {
      links -= link_sign;
    } else {
      const double sought_rad = sought.own_rad(far_arm, sought_touch_rad);
      if (known_is_to)
        return {.seat = seat,
                .links = links,
                .from_rad = sought_rad,
                .to_rad = known_rad,
                .from_pin_mm = sought_pin,
                .to_pin_mm = known_pin};
      return {.seat = seat,
              .links = links,
              .from_rad = known_rad,
              .to_rad = sought_rad,
              .from_pin_mm = known_pin,
              .to_pin_mm = sought_pin};
    }
  }
  throw std::logic_error("taut strand: no pair of seats found");
}

namespace {

// The sought sprocket's angle at which the way from a pin to its seat is `links` pitches long.
class GuidedRoot {
public:
  GuidedRoot(const SeatPolygon& sought, double pitch_mm, std::span<const PathArc> arcs)
      : sought_(sought), pitch_mm_(pitch_mm), arcs_(arcs) {}

  // Pitches to that seat, to the nearest whole number.
  [[nodiscard]] int links(glm::dvec2 pin, double rad) {
    lay(pin, rad);
    fresh_ = true;
    return static_cast<int>(std::lround(path_.pitches(pitch_mm_)));
  }

  double solve(glm::dvec2 pin, int links, double start_rad) {
    // Newton by the slope of the way's length, then secants; the length is all but linear in the angle. So near the
    // root that the slope's error no longer counts, the last step is taken without another look.
    constexpr double near_mm = 1e-8;
    double rad = start_rad;
    double before_rad = 0.0;
    double before_mm = 0.0;
    constexpr int most_steps = 40;
    for (int step = 0; step < most_steps; ++step) {
      if (step > 0 || !fresh_) lay(pin, rad);
      fresh_ = false;
      const PinPath::Left left = path_.left_after(links - 1, pitch_mm_);
      const double over_mm = left.mm - pitch_mm_;
      pattern_ = left.pattern;
      const double slope = step == 0 || rad == before_rad || over_mm == before_mm
                               ? dot2(path_.last_way(), sought_.sense * left_of(sought_.arm_mm(rad)))
                               : (over_mm - before_mm) / (rad - before_rad);
      if (std::fabs(over_mm) <= near_mm) return rad - over_mm / slope;
      before_rad = rad;
      before_mm = over_mm;
      rad += std::clamp(-over_mm / slope, -2.0 * sought_.step_rad, 2.0 * sought_.step_rad);
    }
    throw NoWay("the strand over its guides does not come to a whole number of pitches");
  }

  [[nodiscard]] const PinPath& path() const { return path_; }
  [[nodiscard]] std::uint64_t pattern() const { return pattern_; } // of the way that was found; not 0

private:
  void lay(glm::dvec2 pin, double rad) {
    if (!path_.lay(pin, sought_.centre_mm + sought_.arm_mm(rad), arcs_))
      throw NoWay("an arc that reaches over the end of the strand");
  }

  const SeatPolygon& sought_;
  double pitch_mm_;
  std::span<const PathArc> arcs_;
  PinPath path_;
  std::uint64_t pattern_ = 0;
  bool fresh_ = false; // the way is laid to the angle a root is about to be looked for from
};

} // namespace

StrandLie TautStrand::solve_guided(bool known_is_to, double known_turn_rad, const StrandLie& start) const {
  const SeatPolygon& known = known_is_to ? to_ : from_;
  const SeatPolygon& sought = known_is_to ? from_ : to_;
  const double ahead_sign = known_is_to ? 1.0 : -1.0;
  const int link_sign = known_is_to ? 1 : -1;
  const double half_pitch_mm = 0.5 * pitch_mm_ * (1.0 + seat_slip);
  GuidedRoot root(sought, pitch_mm_, known_is_to ? arcs_back_ : arcs_);
  int seat = start.seat;
  double sought_rad = known_is_to ? start.from_rad : start.to_rad;
  int links = 0;
  for (int correction = 0; correction < most_corrections; ++correction) {
    const double known_rad = known_turn_rad + seat * known.step_rad;
    const glm::dvec2 arm = known.arm_mm(known_rad);
    const glm::dvec2 known_pin = known.centre_mm + arm;
    if (correction == 0) links = root.links(known_pin, sought_rad);
    sought_rad = root.solve(known_pin, links, sought_rad);
    // The path is laid from the known end, against the travel when that is the end ahead.
    const glm::dvec2 known_way = -ahead_sign * root.path().first_way();
    const glm::dvec2 sought_way = -ahead_sign * root.path().last_way();
    const glm::dvec2 far_arm = sought.arm_mm(sought_rad);
    const double known_past_mm = dot2(arm, known_way);
    const double sought_past_mm = dot2(far_arm, sought_way);
    if (known_past_mm > half_pitch_mm) {
      --seat;
      links -= link_sign;
    } else if (known_past_mm < -half_pitch_mm) {
      ++seat;
      links += link_sign;
    } else if (sought_past_mm > half_pitch_mm) {
      links += link_sign;
      sought_rad -= sought.step_rad;
    } else if (sought_past_mm < -half_pitch_mm) {
      links -= link_sign;
      sought_rad += sought.step_rad;
    } else {
      const glm::dvec2 sought_pin = sought.centre_mm + far_arm;
      if (known_is_to)
        return {seat, links, sought_rad, known_rad, sought_pin, known_pin, root.path().least_run_mm(), root.pattern()};
      return {seat, links, known_rad, sought_rad, known_pin, sought_pin, root.path().least_run_mm(), root.pattern()};
    }
  }
  throw no_straight_run(root.path().least_run_mm(), pitch_mm_);
}

} // namespace phasewright
