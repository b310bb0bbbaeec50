#include "mechanics/phase_search.hpp"

#include "geometry/angle.hpp"

namespace phasewright {

PhaseSearch::PhaseSearch(const ValveMotion& motion, const CrownGap& gap, const SliderCrank& crank,
                         const CamshaftTable& camshaft, double correction_mm)
    : motion_(&motion), gap_(&gap), crank_(&crank), camshaft_(&camshaft), correction_mm_(correction_mm) {
  const double greatest_mm = motion.greatest_valve_lift_mm() - correction_mm;
  for (std::size_t step = 0; step < CycleSearch::steps; ++step)
    at_least_mm_[step] = gap.closed_at_least_mm(crank.drop_mm(CycleSearch::at_deg(step))) - greatest_mm;
}

double PhaseSearch::at_mm(double crank_deg, double extra_phase_deg, double by_crank_deg) const {
  const double camshaft_rad =
      camshaft_->camshaft_rad(radians(crank_deg + by_crank_deg)) + radians(extra_phase_deg - by_crank_deg) / 2.0;
  return gap_->closed_mm(crank_->drop_mm(crank_deg)) -
         motion_->valve_lift_mm(motion_->from_nose_rad(camshaft_rad, 0.0)) + correction_mm_;
}

CycleLeast PhaseSearch::least(double extra_phase_deg, double by_crank_deg) const {
  return CycleSearch::find([&](double crank_deg) { return at_mm(crank_deg, extra_phase_deg, by_crank_deg); },
                           [&](std::size_t step) { return at_least_mm_[step]; },
                           [](std::size_t) { return CycleSearch::not_seen_mm; });
}

} // namespace phasewright
