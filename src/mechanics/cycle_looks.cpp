#include "mechanics/cycle_looks.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Between two steps a part may be a little farther out than at either: an eighth of its acceleration over a crank
// degree, which for pistons and valves of any engine a file may describe is far less.
constexpr double between_steps_mm = 0.02;

// `one`, `other`: how far each part has moved along its way, at every step. `distance(step)` between them there.
template <class Distance>
bool farther_than(double mm, const std::vector<double>& one, const std::vector<double>& other, Distance distance) {
  const auto apart_mm = [&](std::size_t a, std::size_t b) {
    return std::fabs(one[a] - one[b]) + std::fabs(other[a] - other[b]) + between_steps_mm;
  };
  const std::size_t last = one.size() - 1;
  for (std::size_t step = 0; step < last;) {
    const double over_mm = distance(step) - mm;
    std::size_t sure = step; // the last step up to which nothing can have come as near
    while (sure < last && apart_mm(step, sure + 1) < over_mm) ++sure;
    if (sure == step) return false;
    step = sure;
  }
  return true;
}

} // namespace

CycleLooks::CycleLooks(const Mechanism& mechanism, const std::array<std::optional<Valve>, 2>& valves,
                       const std::optional<ValvePair>& pair)
    : pair_(pair) {
  for (int step = 0; step <= steps; ++step) drops_mm_.push_back(mechanism.slider_crank().drop_mm(step));
  for (std::size_t i = 0; i < valves.size(); ++i) {
    if (!valves[i]) continue;
    Train& train = trains_[i].emplace(Train{*valves[i], {}});
    for (int step = 0; step <= steps; ++step)
      train.camshaft_rad.push_back(mechanism.drive().camshaft_rad(radians(step), valves[i]->motion.camshaft_index()));
  }
}

std::vector<double> CycleLooks::lifts_mm(ValveKind kind, double extra_phase_deg) const {
  const Train& train = of(kind);
  const ValveMotion& motion = train.valve.motion;
  std::vector<double> lifts;
  lifts.reserve(train.camshaft_rad.size());
  for (const double camshaft_rad : train.camshaft_rad)
    lifts.push_back(motion.valve_lift_mm(motion.from_nose_rad(camshaft_rad + radians(extra_phase_deg) / 2.0, 0.0)) -
                    train.valve.correction_mm);
  return lifts;
}

bool CycleLooks::piston_farther_than(double mm, ValveKind kind, double extra_phase_deg) const {
  const std::vector<double> lifts = lifts_mm(kind, extra_phase_deg);
  return farther_than(mm, lifts, drops_mm_,
                      [&](std::size_t step) { return of(kind).valve.gap.distance_mm(lifts[step], drops_mm_[step]); });
}

bool CycleLooks::between_farther_than(double mm, double inlet_extra_deg, double exhaust_extra_deg) const {
  const std::vector<double> inlet = lifts_mm(ValveKind::inlet, inlet_extra_deg);
  const std::vector<double> exhaust = lifts_mm(ValveKind::exhaust, exhaust_extra_deg);
  return farther_than(mm, inlet, exhaust,
                      [&](std::size_t step) { return pair_->distance_mm(inlet[step], exhaust[step]); });
}

} // namespace phasewright
