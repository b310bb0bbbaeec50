// The least clearances over the cycle.
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/cycle_search.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

LeastClearance ClearanceModel::least_axial(ValveKind kind, double extra_phase_deg, double by_crank_deg) const {
  const Kind& one = of(kind);
  const SliderCrank& crank = mechanism_.slider_crank();
  const double greatest_mm = one.motion.greatest_valve_lift_mm() - one.fit.correction_mm;
  const auto figure = [&](double crank_deg) {
    return one.gap.axial_mm(seat_lift_mm(kind, crank_deg, extra_phase_deg, by_crank_deg), crank.drop_mm(crank_deg));
  };
  const CycleLeast least =
      CycleSearch::find([&](std::size_t step) { return figure(CycleSearch::at_deg(step)); },
                        [&](std::size_t step) {
                          return one.gap.closed_at_least_mm(crank.drop_mm(CycleSearch::at_deg(step))) - greatest_mm;
                        },
                        figure);
  LeastClearance made;
  made.least_mm = least.mm;
  made.at_crank_deg = least.at_crank_deg;
  return made;
}

LeastClearance ClearanceModel::least(ValveKind kind, double extra_phase_deg) const {
  return least_axial(kind, extra_phase_deg);
}

std::optional<ValveToValve> ClearanceModel::least_between() const {
  return std::nullopt;
}

} // namespace phasewright
