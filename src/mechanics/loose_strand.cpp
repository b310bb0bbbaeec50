// The strand that is left over when the others are pulled: the travel of the shoe that takes it up, or its slack.
#include "mechanics/chain_loop.hpp"

#include <cmath>
#include <limits>

namespace phasewright {

namespace {

// The travel at which a way past a moving arc is `links` pitches long. Longer ways need less travel, so the root is
// kept between a travel that is too little and one that is too much.
struct TravelRoot {
  PinPath path;
  double travel_mm = 0;
  double over_mm = 0;  // way left over; 0 when the root was found
  bool no_way = false; // a little further the arcs leave none
};

template <class Arcs>
TravelRoot find_travel(glm::dvec2 from, glm::dvec2 to, int links, double pitch_mm, double start_mm, std::size_t place,
                       glm::dvec2 push, const std::array<double, 2>& within_mm, Arcs arcs) {
  constexpr int most_steps = 80;
  constexpr double most_step_mm = 10.0;
  constexpr double least_slope = 1e-4;
  constexpr double near_mm = 1e-9; // the last step from here is taken without another look
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
  TravelRoot at;
  at.travel_mm = start_mm;
  double before_travel_mm = 0.0;
  double before_over_mm = 0.0;
  bool before = false;
  bool high_has_way = true;
  for (int step = 0; step < most_steps; ++step) {
    double next = 0.0;
    if (!at.path.lay(from, to, arcs(at.travel_mm).span())) {
      high = at.travel_mm;
      high_has_way = false;
      next = at.travel_mm - 0.5 * most_step_mm;
      before = false;
    } else {
      at.over_mm = at.path.left_after(links - 1, pitch_mm).mm - pitch_mm;
      const PinPath::Contact contact = at.path.contact(place);
      double slope = contact.bears ? dot2(contact.way_in - contact.way_out, push) : 0.0;
      if (before && at.travel_mm != before_travel_mm && at.over_mm != before_over_mm) {
        const double secant = (at.over_mm - before_over_mm) / (at.travel_mm - before_travel_mm);
        if (secant > 0.5 * slope && secant < 2.0 * slope) slope = secant;
      }
      if (std::fabs(at.over_mm) <= near_mm && (slope > least_slope || at.over_mm == 0.0)) {
        if (at.over_mm != 0.0) at.travel_mm -= at.over_mm / slope;
        at.over_mm = 0.0;
        return at;
      }
      (at.over_mm < 0.0 ? low : high) = at.travel_mm;
      if (at.over_mm > 0.0) high_has_way = true;
      before = contact.bears;
      before_travel_mm = at.travel_mm;
      before_over_mm = at.over_mm;
      const double wanted = slope > least_slope ? -at.over_mm / slope : std::copysign(most_step_mm, -at.over_mm);
      next = at.travel_mm + std::fmax(-most_step_mm, std::fmin(most_step_mm, wanted));
    }
    next = std::fmax(within_mm[0], std::fmin(within_mm[1], next));
    if (!(next > low && next < high)) {
      if (!std::isfinite(low) || !std::isfinite(high)) break;
      next = 0.5 * (low + high);
      next = std::fmax(within_mm[0], std::fmin(within_mm[1], next));
      if (!(next > low && next < high)) {
        // As near as travel can be told, unless the way breaks off or jumps there.
        constexpr double jump_mm = 1e-6;
        at.no_way = !high_has_way || std::fabs(at.over_mm) > jump_mm;
        at.over_mm = 0.0;
        return at;
      }
    }
    if (at.travel_mm == next) break;
    at.travel_mm = next;
  }
  return at;
}

} // namespace

// What takes up the excess of the loose strand between two end pins, and the ways it leaves and enters them by.
ChainLoop::Settled ChainLoop::settle(const LoopLie& lie, const Mover& mover, double start_mm) const {
  const LoopLie::Strand& strand = lie.strands[lie.loose];
  const double pitch_mm = drawing_.pitch_mm;
  const int links = strand.links;
  const glm::dvec2 apart = strand.to_pin_mm - strand.from_pin_mm;
  const double chord_mm = length2(apart);
  Settled settled;
  LooseStrand& loose = settled.loose;
  loose.links = links;
  loose.span_mm = chord_mm;
  loose.excess_mm = links * pitch_mm - chord_mm;
  loose.travel_mm = mover.shoe ? start_mm : 0.0;
  loose.bows = true;
  settled.way_out = settled.way_in = apart / chord_mm;
  if (!mover.there || links < 1) return settled;

  Settled hanging; // clear of the guides
  const auto arcs = [&](double travel_mm) { return moved_arcs(lie.loose, mover, travel_mm); };
  const auto use_path = [&](const PinPath& path) {
    loose.bows = false;
    settled.way_out = path.first_way();
    settled.way_in = path.last_way();
    settled.path = path;
  };
  if (mover.held || !mover.shoe) {
    PinPath resting;
    if (!resting.lay(strand.from_pin_mm, strand.to_pin_mm, arcs(mover.held ? start_mm : 0.0).span()))
      throw NoWay("an arc that reaches over the end of the strand");
    loose.excess_mm = pitch_mm - resting.left_after(links - 1, pitch_mm).mm;
    loose.span_mm = links * pitch_mm - loose.excess_mm;
    // Much slack hangs clear of the guides, in a bow; a little of it lies along them, just off the first.
    double into_mm = 0.0;
    const ArcList standing = arcs(0.0);
    for (const PathArc& arc : standing.span()) {
      const glm::dvec2 reach = arc.centre_mm - strand.from_pin_mm;
      into_mm = std::fmax(into_mm, arc.radius_mm - arc.sense * cross2(apart, reach) / chord_mm);
    }
    const double bow_mm = std::sqrt(3.0 / 8.0 * chord_mm * std::fmax(0.0, links * pitch_mm - chord_mm));
    if (!mover.held && loose.excess_mm > 0.0 && bow_mm > 2.0 * into_mm) return settled;
    hanging = settled;
    use_path(resting);
    if (mover.held || !(loose.excess_mm > 0.0)) return settled;
  }
  // A little beyond the travel allowed, so that a drive that has all but run out is told by how much.
  constexpr double margin_mm = 5.0;
  const std::array<double, 2> within_mm =
      mover.shoe ? std::array{drawing_.shoe->travel_mm[0] - margin_mm, drawing_.shoe->travel_mm[1] + margin_mm}
                 : std::array{0.0, chord_mm};
  const TravelRoot root = find_travel(strand.from_pin_mm, strand.to_pin_mm, links, pitch_mm, start_mm, mover.place,
                                      mover.push, within_mm, arcs);
  if (!mover.shoe && (root.no_way || root.over_mm != 0.0)) return hanging; // standing off does not take all of it up
  if (root.no_way) throw NoWay("an arc that reaches over the end of the strand");
  use_path(root.path);
  loose.travel_mm = root.travel_mm;
  if (mover.shoe) {
    loose.excess_mm = -root.over_mm;
    loose.span_mm = links * pitch_mm + root.over_mm;
  }
  return settled;
}

void ChainLoop::close(LoopLie& lie, const Shifts& shifts, const Mover& mover) const {
  const std::size_t from = lie.loose;
  const std::size_t to = after(from);
  const SeatPolygon& giving = drawing_.sprockets[from];
  const SeatPolygon& taking = drawing_.sprockets[to];
  LoopLie::Seated& giving_at = lie.sprockets[from];
  LoopLie::Seated& taking_at = lie.sprockets[to];
  const double half_pitch_mm = 0.5 * drawing_.pitch_mm * (1.0 + seat_slip);
  // Both seats are guessed by the pitch circles' tangent and moved, one at a time, until no other stands outside the
  // way.
  int from_seat = static_cast<int>(std::lround((exit_rad_[from] - giving_at.seat0_rad) / giving.step_rad));
  int to_seat = static_cast<int>(std::lround((entry_rad_[to] - taking_at.seat0_rad) / taking.step_rad));
  double start_mm = mover.start_mm;
  constexpr int most_corrections = 32;
  for (int correction = 0;; ++correction) {
    giving_at.last_pin = from_seat + shifts[from];
    taking_at.first_pin = to_seat + shifts[to];
    const int links = taking_at.first_pin - giving_at.last_pin + (from == 0 ? drawing_.links : 0);
    const glm::dvec2 from_arm = giving.arm_mm(giving_at.seat0_rad + from_seat * giving.step_rad);
    const glm::dvec2 to_arm = taking.arm_mm(taking_at.seat0_rad + to_seat * taking.step_rad);
    lie.strands[from] = {links, giving_at.last_pin, giving.centre_mm + from_arm, taking.centre_mm + to_arm};
    // Between lying along a guide and hanging clear of it the seats may change about for ever: then it hangs clear.
    const bool changes_about = correction > most_corrections / 2 && !mover.shoe;
    const Settled settled = settle(lie, changes_about ? Mover{} : mover, start_mm);
    lie.loose_strand = settled.loose;
    start_mm = settled.loose.travel_mm;
    const double from_past_mm = dot2(from_arm, settled.way_out);
    const double to_past_mm = dot2(to_arm, settled.way_in);
    lie.loose_strand.from_past_mm = from_past_mm;
    lie.loose_strand.to_past_mm = to_past_mm;
    if (from_past_mm > half_pitch_mm)
      --from_seat;
    else if (from_past_mm < -half_pitch_mm)
      ++from_seat;
    else if (to_past_mm > half_pitch_mm)
      --to_seat;
    else if (to_past_mm < -half_pitch_mm)
      ++to_seat;
    else {
      if (mover.shoe && settled.path.bears()) lie.note_run(from, settled.path.least_run_mm());
      return;
    }
    if (correction == most_corrections) throw no_straight_run(settled.path.least_run_mm(), drawing_.pitch_mm);
  }
}

} // namespace phasewright
