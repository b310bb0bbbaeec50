#include "mechanics/judgement.hpp"

#include <algorithm>
#include <iterator>

namespace phasewright {

bool Judgement::safe() const {
  return std::ranges::all_of(figures, &JudgedClearance::enough);
}

std::vector<JudgedClearance> Judgement::too_close() const {
  std::vector<JudgedClearance> found;
  std::ranges::copy_if(figures, std::back_inserter(found), [](const JudgedClearance& one) { return !one.enough(); });
  return found;
}

double axial_limit_mm(const Target& target, ValveKind kind) {
  return kind == ValveKind::inlet ? target.min_clearance_inlet_mm : target.min_clearance_exhaust_mm;
}

double any_way_limit_mm(const Target& target, ValveKind kind) {
  return std::min(axial_limit_mm(target, kind), target.min_clearance_radial_mm);
}

Judgement judge(const Clearances& clearances, const Target& target) {
  Judgement made;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const std::optional<LeastClearance>& least = kind == ValveKind::inlet ? clearances.inlet : clearances.exhaust;
    if (!least) continue;
    made.figures.push_back(
        {kind, ClearanceCriterion::axial, least->least_mm, axial_limit_mm(target, kind), least->at_crank_deg});
    made.figures.push_back({kind, ClearanceCriterion::any_way, least->distance_mm, any_way_limit_mm(target, kind),
                            least->distance_at_crank_deg});
  }
  if (clearances.between)
    made.figures.push_back({std::nullopt, ClearanceCriterion::between, clearances.between->least_mm,
                            target.min_valve_to_valve_mm, clearances.between->at_crank_deg});
  return made;
}

bool clear_enough(std::optional<double> least_mm, double limit_mm) {
  return !least_mm || *least_mm >= limit_mm;
}

bool within_limits(const Clearances& clearances, const Target& target) {
  return judge(clearances, target).safe();
}

} // namespace phasewright
