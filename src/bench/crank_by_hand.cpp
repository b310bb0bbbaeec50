#include "bench/crank_by_hand.hpp"

#include "bench/reading_model.hpp"
#include "geometry/angle.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

constexpr double at_stop_deg = 0.01;
constexpr double nothing_left_deg = 1e-9;

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

std::optional<PistonStop> piston_stop(const SliderCrank& crank, double drop_mm) {
  const auto stop_deg = foretell_stop(crank, drop_mm);
  return stop_deg ? std::optional<PistonStop>({(*stop_deg)[0], (*stop_deg)[1]}) : std::nullopt;
}

double held_by(const PistonStop& stop, double from_deg, double to_deg) {
  if (!goes_in(stop, from_deg)) return to_deg;
  const double past_tdc_deg = wrap_180(from_deg);
  const double tdc_deg = from_deg - past_tdc_deg;
  const bool after = past_tdc_deg >= stop.after_deg - at_stop_deg; // this TDC is behind
  const double next_deg = tdc_deg + (after ? 360.0 : 0.0) + stop.before_deg;
  const double last_deg = tdc_deg - (after ? 0.0 : 360.0) + stop.after_deg;
  return std::clamp(to_deg, std::min(last_deg, from_deg), std::max(next_deg, from_deg));
}

bool bears_on(const PistonStop& stop, double crank_deg) {
  return std::ranges::any_of(std::array{stop.before_deg, stop.after_deg},
                             [crank_deg](double deg) { return std::fabs(wrap_180(crank_deg - deg)) < at_stop_deg; });
}

bool goes_in(const PistonStop& stop, double crank_deg) {
  const double past_tdc_deg = wrap_180(crank_deg);
  return past_tdc_deg <= stop.before_deg + at_stop_deg || past_tdc_deg >= stop.after_deg - at_stop_deg;
}

} // namespace phasewright
