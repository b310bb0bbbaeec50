#include "scene/gap_figures.hpp"

namespace phasewright {

std::array<std::optional<GapFigure>, 2> gap_figures(const ClearanceModel& clearance, const Mechanism& mechanism,
                                                    const Target& target, double crank_deg, int cylinder) {
  const double own_deg = crank_deg - cylinder_delay_deg(mechanism.engine().block, cylinder);
  std::array<std::optional<GapFigure>, 2> figures;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    if (!clearance.has(kind)) continue;
    GapFigure figure;
    // Where No. 1 is when its piston stands as this one does, the valves stand the same but for the chain's ripple.
    const double lift_mm = mechanism.valve_lift_mm(kind, cylinder, crank_deg);
    figure.axial_mm = clearance.at(kind, own_deg) + (mechanism.valve_lift_mm(kind, 1, own_deg) - lift_mm);
    figure.axial_limit_mm = kind == ValveKind::inlet ? target.min_clearance_inlet_mm : target.min_clearance_exhaust_mm;
    figure.radial_limit_mm = target.min_clearance_radial_mm;
    if (const Result<CrownGap> gap = CrownGap::make(mechanism.engine(), kind))
      figure.radial_mm = gap->radial_mm(lift_mm, mechanism.piston_drop_mm(cylinder, crank_deg));
    figures[kind == ValveKind::inlet ? 0 : 1] = figure;
  }
  return figures;
}

} // namespace phasewright
