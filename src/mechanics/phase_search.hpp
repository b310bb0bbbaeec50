// The least axial clearance of one kind of valve, asked for at many phases.
#pragma once

#include "mechanics/camshaft_table.hpp"
#include "mechanics/crank.hpp"
#include "mechanics/crown_gap.hpp"
#include "mechanics/cycle_search.hpp"
#include "mechanics/valve_gear.hpp"

#include <array>

namespace phasewright {

class PhaseSearch {
public:
  // Holds on to all it is given. `correction_mm`: what readings add to the drawn gap.
  PhaseSearch(const ValveMotion& motion, const CrownGap& gap, const SliderCrank& crank, const CamshaftTable& camshaft,
              double correction_mm);

  // The clearance at a crank angle with the camshaft so many crank degrees further advanced, `by_crank_deg` of them by
  // the crank's key, which takes the chain's ripple along.
  [[nodiscard]] double at_mm(double crank_deg, double extra_phase_deg, double by_crank_deg = 0) const;
  // Its least over the cycle.
  [[nodiscard]] CycleLeast least(double extra_phase_deg, double by_crank_deg = 0) const;

private:
  const ValveMotion* motion_;
  const CrownGap* gap_;
  const SliderCrank* crank_;
  const CamshaftTable* camshaft_;
  double correction_mm_;
  std::array<double, CycleSearch::steps> at_least_mm_{};
};

} // namespace phasewright
