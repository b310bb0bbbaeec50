#include "mechanics/chain_loop.hpp"

#include <boost/math/quadrature/gauss.hpp>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

namespace phasewright {

namespace {

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
  lie.note_run(strand, found.least_run_mm);
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
  lie.note_run(strand, found.least_run_mm);
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
