#include "mechanics/judgement.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace phasewright {

namespace {

// A limit within reach is nearer than one that is not.
std::optional<double> nearer_deg(const std::optional<double>& one, const std::optional<double>& other) {
  if (!one || !other) return one ? one : other;
  return std::fabs(*one) < std::fabs(*other) ? one : other;
}

} // namespace

bool surely_over(double figure_mm, double limit_mm, double u_mm) {
  return figure_mm - limit_mm >= coverage * u_mm;
}

bool Judgement::safe() const {
  return std::ranges::all_of(figures, &JudgedClearance::enough);
}

std::vector<JudgedClearance> Judgement::too_close() const {
  std::vector<JudgedClearance> found;
  std::ranges::copy_if(figures, std::back_inserter(found), [](const JudgedClearance& one) { return !one.enough(); });
  return found;
}

std::vector<JudgedClearance> Judgement::too_near_to_tell() const {
  std::vector<JudgedClearance> found;
  std::ranges::copy_if(figures, std::back_inserter(found), &JudgedClearance::too_near_to_tell);
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
  for (const ValveKind kind : valve_kinds) {
    const std::optional<LeastClearance>& least = least_of(clearances, kind);
    if (!least) continue;
    made.figures.push_back(
        {kind, ClearanceCriterion::axial, least->least_mm, axial_limit_mm(target, kind), least->at_crank_deg, {}});
    made.figures.push_back({kind,
                            ClearanceCriterion::any_way,
                            least->distance_mm,
                            any_way_limit_mm(target, kind),
                            least->distance_at_crank_deg,
                            {}});
  }
  if (clearances.between)
    made.figures.push_back({std::nullopt,
                            ClearanceCriterion::between,
                            clearances.between->least_mm,
                            target.min_valve_to_valve_mm,
                            clearances.between->at_crank_deg,
                            {}});
  return made;
}

Judgement judge(const ClearanceModel& model, const Clearances& clearances, const Target& target) {
  Judgement made = judge(clearances, target);
  for (JudgedClearance& one : made.figures)
    if (one.criterion == ClearanceCriterion::axial) one.u_mm = model.u_of_least_mm(*one.kind, one.at_crank_deg);
  return made;
}

PhaseRoom room_of(const ClearanceQuality& quality) {
  return {quality.retard_to_limit_deg, quality.advance_to_limit_deg};
}

PhaseRoom nearer(const PhaseRoom& one, const PhaseRoom& other) {
  return {nearer_deg(one.retard_deg, other.retard_deg), nearer_deg(one.advance_deg, other.advance_deg)};
}

bool clear_enough(std::optional<double> least_mm, double limit_mm) {
  return !least_mm || *least_mm >= limit_mm;
}

bool within_limits(const Clearances& clearances, const Target& target) {
  return judge(clearances, target).safe();
}

} // namespace phasewright
