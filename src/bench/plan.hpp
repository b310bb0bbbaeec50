// Every correction the stock allows, ranked: safe ones first, then least error, then fewest parts changed.
#pragma once

#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/phase.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct PlanOption {
  std::string camshaft; // the one it is about: lay and cam key are those of its sprocket
  bool others = false;  // the engine has more camshafts, whose lay and cam key stay as they are fitted
  int lay = 0;
  double crank_key_deg = 0;
  double cam_key_deg = 0;
  HolePair holes; // {0, 0} when the stock has no vernier
  double slot_deg = 0;
  double phase_deg = 0;                     // of that camshaft
  double error_deg = 0;                     // phase less target
  std::optional<double> clearance_inlet_mm; // least over the cycle, now
  std::optional<double> clearance_exhaust_mm;
  std::optional<double> worn_inlet_mm; // at the wear limit
  std::optional<double> worn_exhaust_mm;
  bool safe = false;                           // now and worn, all that ClearanceModel judges is within the limits
  std::optional<ClearanceCriterion> unsafe_by; // the first that is not
  int changes = 0;                             // parts and settings that differ from what is fitted
  std::string words;                           // how to fit it: which half of the key leads
};

struct Plan {
  std::size_t camshaft = 0; // index of the one that is planned
  double target_phase_deg = 0;
  double fitted_phase_deg = 0;
  std::vector<PlanOption> options;
};

// The camshaft that a target is about: the one that moves the target event's kind of valve, else the inlet valve, else
// the first. Index into Engine::camshafts.
[[nodiscard]] std::size_t planned_camshaft(const Engine& engine, const Target& target);

// All combinations of lay (as far as `lay_reach` teeth either way of the marks, 0 to 10), crank key, cam key, hole pair
// and slot that the stock and what is fitted allow, for the planned camshaft. The crank key moves every camshaft, and
// so do hole pair and slots, of which Fitted has one setting; the clearance of each kind of valve is that of its own
// camshaft. The phase of each is exact; clearances are read off a curve of
// least clearance against phase, computed once every half degree: within 0.005 mm of solving each drive (the chain's
// ripple moves with wear and keys), 0.02 mm where a valve is nearest when shut; tests/reference measures both. Within
// 0.03 mm of a limit the drive itself is solved, so that `safe` is what ClearanceModel says of it. Problems: as
// Mechanism::assemble for what is fitted, as ClearanceModel::make, as target_phase_deg; more than 100,000 combinations.
[[nodiscard]] Result<Plan> plan_corrections(const Engine& engine, const Build& build, int lay_reach = 1);

// The fitted settings with that option in place.
[[nodiscard]] Fitted fitted_with(const Fitted& fitted, const PlanOption& option);

// The phase that the build's target asks for (crank degrees). Problems: a target event at a lift its lobe never
// reaches, or of a valve the engine has not got.
[[nodiscard]] Result<double> target_phase_deg(const Engine& engine, const Build& build);

} // namespace phasewright
