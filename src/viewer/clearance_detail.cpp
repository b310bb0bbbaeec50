#include "viewer/clearance_detail.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

double slope_at(const PhaseBand& band, std::size_t i) {
  const std::size_t before = i == 0 ? 0 : i - 1;
  const std::size_t after = std::min(i + 1, band.least_mm.size() - 1);
  return (band.least_mm[after] - band.least_mm[before]) / (band.extra_deg[after] - band.extra_deg[before]);
}

// The gap's own uncertainty is the same everywhere; what the phase adds goes with the slope, which is not.
void add_band(PhaseBand& band, const ClearanceQuality& quality, double gap_u_mm) {
  const double slope = std::fabs(quality.slope_mm_per_deg);
  const double from_phase_mm = std::sqrt(std::max(0.0, quality.u_mm * quality.u_mm - gap_u_mm * gap_u_mm));
  const double phase_u_deg = slope > 1e-6 ? from_phase_mm / slope : 0.0;
  for (std::size_t i = 0; i < band.least_mm.size(); ++i)
    band.half_mm.push_back(coverage * std::hypot(gap_u_mm, phase_u_deg * slope_at(band, i)));
}

} // namespace

ClearanceDetail clearance_detail(const ClearanceModel& model, const ClearanceModel* worn, const Target& target) {
  ClearanceDetail detail;
  detail.no_lash = model.lash_taken_up().least();
  for (const ValveKind kind : valve_kinds) {
    if (!model.has(kind)) continue;
    const auto slot = static_cast<std::size_t>(kind);
    const double limit_mm = axial_limit_mm(target, kind);
    detail.quality[slot] = model.quality(kind, limit_mm);
    detail.room[slot] = room_of(*detail.quality[slot]);
    if (worn != nullptr && worn->has(kind))
      detail.room[slot] = nearer(detail.room[slot], room_of(worn->quality(kind, limit_mm)));
  }
  return detail;
}

std::array<PhaseBand, 2> phase_bands(const ClearanceModel& model, const ClearanceModel* worn,
                                     const ClearanceDetail& detail) {
  std::array<PhaseBand, 2> bands;
  const PhaseCurve curve = model.phase_curve(-phase_reach_deg, phase_reach_deg, phase_step_deg);
  for (const ValveKind kind : valve_kinds) {
    const auto slot = static_cast<std::size_t>(kind);
    if (!detail.quality[slot] || curve.least_mm[slot].size() < 2) continue;
    bands[slot].extra_deg = curve.extra_deg;
    bands[slot].least_mm = curve.least_mm[slot];
    if (worn != nullptr && worn->has(kind))
      bands[slot].worn_mm = worn->phase_curve(kind, -phase_reach_deg, phase_reach_deg, phase_step_deg);
    add_band(bands[slot], *detail.quality[slot], model.fit(kind).u_mm);
  }
  return bands;
}

} // namespace phasewright::viewer
