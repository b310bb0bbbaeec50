// What every option of a plan keeps clear, and whether that is enough.
#pragma once

#include "bench/plan.hpp"
#include "mechanics/clearance.hpp"

namespace phasewright {

// As it is fitted and as it will be when the chain has worn.
struct PlanModels {
  ClearanceModel now;
  ClearanceModel worn;
  double worn_percent = 0;
};

// Fills in the clearances, `safe` and `unsafe_by` of every option. `shelf`: the build that the options were made from.
void judge_options(Plan& plan, const Build& shelf, const Mechanism& now, const PlanModels& models);

} // namespace phasewright
