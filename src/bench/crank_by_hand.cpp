#include "bench/crank_by_hand.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

constexpr double at_stop_deg = 0.01;
constexpr double nothing_left_deg = 1e-9;

// Crank degrees after TDC at which the piston is that far down; between `highest_deg` and `lowest_deg` it only sinks or
// only rises.
double where_down(const SliderCrank& crank, double drop_mm, double highest_deg, double lowest_deg) {
  for (int halving = 0; halving < 60; ++halving) {
    const double middle_deg = (highest_deg + lowest_deg) / 2.0;
    (crank.drop_mm(middle_deg) < drop_mm ? highest_deg : lowest_deg) = middle_deg;
  }
  return (highest_deg + lowest_deg) / 2.0;
}

// Where the piston meets the stop: rising, before TDC (negative), and sinking, after it.
struct Stop {
  double before_deg;
  double after_deg;
};
Stop stop_of(const SliderCrank& crank, double stop_mm) {
  return {where_down(crank, stop_mm, 0.0, crank.bdc_deg() - 360.0), where_down(crank, stop_mm, 0.0, crank.bdc_deg())};
}

bool is_met(const SliderCrank& crank, double stop_mm) {
  return stop_mm > 0.0 && stop_mm < crank.travel_mm();
}

} // namespace

CrankByHand turned(const Mechanism& mechanism, const CrankByHand& at, double by_deg) {
  CrankByHand now = at;
  now.crank_deg += by_deg;
  if (by_deg < 0.0) {
    now.turning = Turning::backward;
    now.turn_forward_deg = 0.0;
    for (std::size_t i = 0; i < mechanism.engine().camshafts.size(); ++i)
      now.turn_forward_deg =
          std::max(now.turn_forward_deg, mechanism.drive().hang_back(now.crank_deg, i).turn_forward_deg);
  } else if (now.turning == Turning::backward) {
    now.turn_forward_deg = std::max(0.0, now.turn_forward_deg - by_deg);
  }
  if (now.turn_forward_deg < nothing_left_deg) now = {now.crank_deg, Turning::forward, 0.0};
  return now;
}

double held_by_stop(const SliderCrank& crank, double stop_mm, double from_deg, double to_deg) {
  if (!is_met(crank, stop_mm)) return to_deg;
  const Stop stop = stop_of(crank, stop_mm);
  const double past_tdc_deg = wrap_180(from_deg);
  const double tdc_deg = from_deg - past_tdc_deg;
  if (past_tdc_deg > stop.before_deg + at_stop_deg && past_tdc_deg < stop.after_deg - at_stop_deg) return to_deg;
  const bool after = past_tdc_deg >= stop.after_deg - at_stop_deg; // this TDC is behind
  const double next_deg = tdc_deg + (after ? 360.0 : 0.0) + stop.before_deg;
  const double last_deg = tdc_deg - (after ? 0.0 : 360.0) + stop.after_deg;
  return std::clamp(to_deg, std::min(last_deg, from_deg), std::max(next_deg, from_deg));
}

bool is_at_stop(const SliderCrank& crank, double stop_mm, double crank_deg) {
  if (!is_met(crank, stop_mm)) return false;
  const Stop stop = stop_of(crank, stop_mm);
  return std::ranges::any_of(std::array{stop.before_deg, stop.after_deg},
                             [crank_deg](double deg) { return std::fabs(wrap_180(crank_deg - deg)) < at_stop_deg; });
}

} // namespace phasewright
