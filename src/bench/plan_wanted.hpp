// Parts that are not on the shelf and would do better than the best of it.
#pragma once

#include "bench/plan_clearance.hpp"

namespace phasewright {

// Keys in steps of a quarter degree, each by itself or with a tooth, that would be safe and leave less error than the
// best safe option: at most three, the least error first. None when that is within a quarter crank degree already, or
// when a key of that size stands on the shelf. A tooth only where `lay_reach` allows one.
[[nodiscard]] std::vector<WantedPart> wanted_parts(const Engine& engine, const Build& build, const Mechanism& now,
                                                   const Plan& plan, const PlanModels& models, int lay_reach);

} // namespace phasewright
