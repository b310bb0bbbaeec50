#include "mechanics/chain_loop.hpp"

#include <boost/math/quadrature/gauss.hpp>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

namespace phasewright {

namespace {

constexpr double seat_slip = 1e-12; // as in strand.cpp

double whole_turn(double rad) {
  return rad - turn_rad * std::floor(rad / turn_rad);
}

double near(double rad, double to_rad) {
  return rad + turn_rad * std::round((to_rad - rad) / turn_rad);
}

// A strand's seats, links and way into the loop's pattern.
void mix(std::uint64_t& pattern, const StrandLie& lie, int pin) {
  for (const std::uint64_t part : {static_cast<std::uint64_t>(lie.links), static_cast<std::uint64_t>(pin), lie.pattern})
    pattern = 1000003 * pattern + part;
}

// Does something about a strand; when that has no way, says which strand it is.
template <class Do>
auto about_strand(std::size_t strand, Do act) {
  try {
    return act();
  } catch (NoWay& fault) {
    fault.strand = strand;
    throw;
  }
}

} // namespace

ChainLoop::ChainLoop(LoopDrawing drawing) : drawing_(std::move(drawing)) {
  const std::size_t count = drawing_.sprockets.size();
  loose_ = drawing_.shoe ? drawing_.shoe->strand : 0;
  for (std::size_t i = 0; i < count; ++i) {
    std::vector<PathArc> arcs = drawing_.arcs[i];
    if (drawing_.shoe && drawing_.shoe->strand == i)
      arcs[drawing_.shoe->place].centre_mm += drawing_.shoe->travel_mm[0] * drawing_.shoe->push;
    strands_.emplace_back(drawing_.sprockets[i], drawing_.sprockets[after(i)], drawing_.pitch_mm, std::move(arcs));
  }
  for (std::size_t i = 0; i < count; ++i) {
    entry_rad_[i] = strands_[i == 0 ? count - 1 : i - 1].to_touch_rad();
    exit_rad_[i] = entry_rad_[i] + whole_turn(strands_[i].from_touch_rad() - entry_rad_[i]);
  }
  forward_mover_ = mover(loose_);
  backward_mover_ = mover(count - 1);
  if (!forward_mover_.shoe) return;
  // Roots are looked for from where one was found; a drive that has none is refused by Drive::assemble.
  try {
    const LoopLie found = lie(0.0, {});
    forward_mover_.start_mm = found.loose_strand.travel_mm;
    const Settled settled = settle(found, forward_mover_, forward_mover_.start_mm);
    const std::size_t to = after(loose_);
    exit_rad_[loose_] = near(touching_rad(drawing_.sprockets[loose_], settled.way_out), exit_rad_[loose_]);
    entry_rad_[to] = near(touching_rad(drawing_.sprockets[to], settled.way_in), entry_rad_[to]);
  } catch (const NoWay&) {
  }
}

ChainLoop::Mover ChainLoop::mover(std::size_t strand) const {
  if (drawing_.shoe && drawing_.shoe->strand == strand) {
    const std::array<double, 2>& travel = drawing_.shoe->travel_mm;
    return {true, true, false, drawing_.shoe->place, drawing_.shoe->push, 0.5 * (travel[0] + travel[1])};
  }
  if (drawing_.arcs[strand].empty()) return {};
  const glm::dvec2 way = tangent_way(drawing_.sprockets[strand], drawing_.sprockets[after(strand)]);
  return {true, false, false, 0, -drawing_.arcs[strand][0].sense * left_of(way), 0.0};
}

StrandState ChainLoop::state(std::size_t strand, Turning turning) const {
  const bool loose = strand == loose_strand(turning);
  if (turning == Turning::backward || !drawing_.shoe) return loose ? StrandState::slack : StrandState::taut;
  return strand <= loose_ ? StrandState::tensioned : StrandState::taut;
}

void ChainLoop::pull_upstream(LoopLie& lie, const Shifts& shifts, std::size_t strand) const {
  const std::size_t to = after(strand);
  LoopLie::Seated& taking = lie.sprockets[to];
  LoopLie::Seated& giving = lie.sprockets[strand];
  const StrandLie found = about_strand(strand, [&] { return strands_[strand].entering(taking.seat0_rad); });
  taking.first_pin = found.seat + shifts[to];
  giving.last_pin = taking.first_pin - found.links;
  const int seat = giving.last_pin - shifts[strand];
  giving.seat0_rad = near(found.from_rad, exit_rad_[strand]) - seat * drawing_.sprockets[strand].step_rad;
  lie.strands[strand] = {found.links, giving.last_pin, found.from_pin_mm, found.to_pin_mm};
  mix(lie.pattern, found, taking.first_pin);
}

void ChainLoop::pull_downstream(LoopLie& lie, const Shifts& shifts, std::size_t strand) const {
  const std::size_t to = after(strand);
  LoopLie::Seated& giving = lie.sprockets[strand];
  LoopLie::Seated& taking = lie.sprockets[to];
  const SeatPolygon& sprocket = drawing_.sprockets[strand];
  const StrandLie found = about_strand(strand, [&] { return strands_[strand].leaving(giving.seat0_rad); });
  // The strand counts its seats from where its own touching angle lies, the loop from where the chain came in.
  const double turns = std::round((exit_rad_[strand] - strands_[strand].from_touch_rad()) / turn_rad);
  giving.last_pin = found.seat + static_cast<int>(turns) * sprocket.teeth + shifts[strand];
  taking.first_pin = giving.last_pin + found.links - (strand == 0 ? drawing_.links : 0);
  const int seat = taking.first_pin - shifts[to];
  taking.seat0_rad = near(found.to_rad, entry_rad_[to]) - seat * drawing_.sprockets[to].step_rad;
  lie.strands[strand] = {found.links, giving.last_pin, found.from_pin_mm, found.to_pin_mm};
  mix(lie.pattern, found, giving.last_pin);
}

// Pulls strands as far as is needed to know where `sprocket` stands; count() asks for all.
void ChainLoop::pull(LoopLie& lie, double driving_rad, const Shifts& shifts, Turning turning,
                     std::size_t sprocket) const {
  lie.loose = loose_strand(turning);
  lie.pattern = 0;
  lie.sprockets[0].turn_rad = driving_rad;
  lie.sprockets[0].seat0_rad = driving_rad + drawing_.first_seat_rad[0];
  const bool all = sprocket == count();
  if (all || sprocket > lie.loose)
    for (std::size_t strand = count() - 1; strand > lie.loose && (all || strand >= sprocket); --strand)
      pull_upstream(lie, shifts, strand);
  if (all || sprocket <= lie.loose)
    for (std::size_t strand = 0; strand < lie.loose && (all || strand < sprocket); ++strand)
      pull_downstream(lie, shifts, strand);
  for (std::size_t i = 1; i < count(); ++i)
    lie.sprockets[i].turn_rad = lie.sprockets[i].seat0_rad - drawing_.first_seat_rad[i];
}

double ChainLoop::sprocket_turn_rad(std::size_t sprocket, double driving_rad, const Shifts& shifts,
                                    Turning turning) const {
  if (sprocket == 0) return driving_rad;
  LoopLie lie;
  pull(lie, driving_rad, shifts, turning, sprocket);
  return lie.sprockets[sprocket].turn_rad;
}

LoopLie ChainLoop::lie_at_travel(double driving_rad, const Shifts& shifts, double travel_mm) const {
  LoopLie found = pulled(driving_rad, shifts);
  Mover held = forward_mover_;
  held.held = true;
  held.start_mm = travel_mm;
  about_strand(found.loose, [&] { close(found, shifts, held); });
  return found;
}

LoopLie ChainLoop::pulled(double driving_rad, const Shifts& shifts, Turning turning) const {
  LoopLie found;
  pull(found, driving_rad, shifts, turning, count());
  return found;
}

LoopLie ChainLoop::lie(double driving_rad, const Shifts& shifts, Turning turning) const {
  LoopLie found = pulled(driving_rad, shifts, turning);
  about_strand(found.loose, [&] { close(found, shifts, mover_of(turning)); });
  return found;
}

ArcList ChainLoop::moved_arcs(std::size_t strand, const Mover& mover, double travel_mm) const {
  ArcList list;
  list.count = drawing_.arcs[strand].size();
  std::copy(drawing_.arcs[strand].begin(), drawing_.arcs[strand].end(), list.arc.begin());
  if (mover.there) list.arc[mover.place].centre_mm += travel_mm * mover.push;
  return list;
}

void ChainLoop::lay_paths(const LoopLie& lie, Turning turning, StrandPaths& paths) const {
  for (std::size_t strand = 0; strand < count(); ++strand) {
    if (drawing_.arcs[strand].empty()) continue;
    // The loose strand's mover stands where it took the excess up; a pulled strand pushes the shoe back.
    const bool yields = drawing_.shoe && drawing_.shoe->strand == strand;
    const ArcList arcs = strand == lie.loose ? moved_arcs(strand, mover_of(turning), lie.loose_strand.travel_mm)
                         : yields            ? moved_arcs(strand, forward_mover_, drawing_.shoe->travel_mm[0])
                                             : moved_arcs(strand, Mover{}, 0.0);
    const LoopLie::Strand& ends = lie.strands[strand];
    if (!paths[strand].lay(ends.from_pin_mm, ends.to_pin_mm, arcs.span()))
      throw NoWay("an arc that reaches over the end of the strand");
  }
}

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
        at.no_way = !high_has_way;
        at.over_mm = 0.0; // as near as travel can be told
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
  if (root.no_way) throw NoWay("an arc that reaches over the end of the strand");
  if (!mover.shoe && root.over_mm != 0.0) return hanging; // standing off does not take all of it up
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
    else
      return;
    if (correction == most_corrections) throw no_straight_run(settled.path, drawing_.pitch_mm);
  }
}

std::array<double, most_sprockets> ChainLoop::mean_leads_rad() const {
  // Between the instants at which a roller seats, leaves, or comes onto a guide the leads are smooth, and Gauss' rule
  // is good to rounding. Those instants are found by halving; the leads themselves are continuous, so that an instant
  // missed by so little is worth nothing.
  using Gauss = boost::math::quadrature::gauss<double, 20>;
  constexpr int first_look = 32;
  const double tooth_rad = drawing_.sprockets[0].step_rad;
  const double instant_rad = 1e-10 * tooth_rad;
  std::array<double, most_sprockets> sums{};
  const auto add = [&](double rad, double weight) {
    const LoopLie lie = pulled(rad, {});
    for (std::size_t i = 1; i < count(); ++i) {
      const double ratio = static_cast<double>(drawing_.sprockets[0].teeth) / drawing_.sprockets[i].teeth;
      sums[i] += weight * (lie.sprockets[i].turn_rad - ratio * rad);
    }
  };
  const auto integrate = [&](double from, double to) {
    const double middle = 0.5 * (from + to);
    const double half = 0.5 * (to - from);
    for (std::size_t k = 0; k < Gauss::abscissa().size(); ++k) {
      const double off = half * Gauss::abscissa()[k];
      const double weight = half * Gauss::weights()[k];
      add(middle - off, weight);
      if (off != 0.0) add(middle + off, weight);
    }
  };
  const auto pattern = [&](double rad) { return pulled(rad, {}).pattern; };
  double from = 0.0;
  double low = 0.0;
  std::uint64_t low_pattern = pattern(0.0);
  for (int look = 1; look <= first_look; ++look) {
    const double end = tooth_rad * look / first_look;
    const std::uint64_t end_pattern = pattern(end);
    while (low_pattern != end_pattern) {
      double high = end;
      std::uint64_t high_pattern = end_pattern;
      while (high - low > instant_rad) {
        const double middle = 0.5 * (low + high);
        const std::uint64_t middle_pattern = pattern(middle);
        if (middle_pattern == low_pattern) {
          low = middle;
        } else {
          high = middle;
          high_pattern = middle_pattern;
        }
      }
      integrate(from, high);
      from = low = high;
      low_pattern = high_pattern;
    }
    low = end;
  }
  integrate(from, tooth_rad);
  for (double& sum : sums) sum /= tooth_rad;
  return sums;
}

Shifts ChainLoop::marked_shifts(double driving_rad) const {
  const LoopLie lie = pulled(driving_rad, {});
  Shifts shifts{};
  for (std::size_t i = 1; i < count(); ++i)
    shifts[i] = -static_cast<int>(std::lround(lie.sprockets[i].turn_rad / drawing_.sprockets[i].step_rad));
  return shifts;
}

} // namespace phasewright
