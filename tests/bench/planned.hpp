// Builds to plan for, and plans of them.
#pragma once

#include "bench/plan.hpp"
#include "support/catch.hpp"

#include <utility>

namespace phasewright::testing {

inline Build worn_build() {
  Build build;
  build.fitted.elongation_percent = 0.9;
  build.fitted.centre_change_mm = -0.10;
  build.target.inlet_centre_deg = 104.0;
  build.stock.crank_key_deg = {0, 1, 2, 3, 4};
  build.stock.cam_key_deg = {0, 1, 2, 3};
  return build;
}

inline Build twin_build() {
  Build build;
  build.fitted.lay_of = {{"exhaust", 0}, {"inlet", 0}};
  build.fitted.cam_key_of = {{"exhaust", -1.0}};
  build.fitted.elongation_percent = 0.2;
  build.target.inlet_centre_deg = 104.0;
  build.stock.crank_key_deg = {0, 2};
  build.stock.cam_key_deg = {0, 1, 3};
  return build;
}

inline Plan planned(const Engine& engine, const Build& build, int lay_reach = 1) {
  Result<Plan> plan = plan_corrections(engine, build, lay_reach);
  REQUIRE(plan.ok());
  return *std::move(plan);
}

} // namespace phasewright::testing
