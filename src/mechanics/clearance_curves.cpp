// Clearance against phase and against crank angle.
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"

#include <cmath>

namespace phasewright {

ClearanceQuality ClearanceModel::quality(ValveKind kind, double /*limit_mm*/) const {
  ClearanceQuality made;
  constexpr double aside_deg = 0.01;
  made.slope_mm_per_deg =
      (least_axial(kind, aside_deg).least_mm - least_axial(kind, -aside_deg).least_mm) / (2.0 * aside_deg);
  made.u_mm = std::hypot(of(kind).fit.u_mm, made.slope_mm_per_deg * wheel_u_deg_);
  return made;
}

PhaseCurve ClearanceModel::phase_curve(double from_deg, double to_deg, double step_deg) const {
  PhaseCurve curve;
  const int steps = static_cast<int>(std::lround((to_deg - from_deg) / step_deg));
  for (int i = 0; i <= steps; ++i) curve.extra_deg.push_back(from_deg + i * step_deg);
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (has(kind))
      for (const double extra_deg : curve.extra_deg)
        curve.least_mm[kind == ValveKind::inlet ? 0 : 1].push_back(least_axial(kind, extra_deg).least_mm);
  return curve;
}

CycleSweep ClearanceModel::sweep(double step_deg) const {
  CycleSweep made;
  made.step_deg = step_deg;
  const int steps = static_cast<int>(std::lround(720.0 / step_deg));
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (has(kind))
      for (int i = 0; i <= steps; ++i)
        made.axial_mm[kind == ValveKind::inlet ? 0 : 1].push_back(at(kind, i * step_deg));
  return made;
}

} // namespace phasewright
