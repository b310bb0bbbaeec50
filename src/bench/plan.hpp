// Every correction the stock allows, ranked: safe ones first, then least error, then fewest parts changed.
#pragma once

#include "mechanics/clearance.hpp"
#include "mechanics/phase.hpp"

namespace phasewright {

struct PlanOption {
  int lay = 0;
  double crank_key_deg = 0;
  double cam_key_deg = 0;
  HolePair holes;                             // {0, 0} when the stock has no vernier
  double slot_deg = 0;
  double phase_deg = 0;
  double error_deg = 0;                       // phase less target
  std::optional<double> clearance_inlet_mm;   // least over the cycle, now
  std::optional<double> clearance_exhaust_mm;
  std::optional<double> worn_inlet_mm;        // at the wear limit
  std::optional<double> worn_exhaust_mm;
  bool safe = false;                          // all of them within the limits
  int changes = 0;                            // parts and settings that differ from what is fitted
  std::string words;                          // how to fit it: which way the step faces
};

struct Plan {
  double target_phase_deg = 0;
  double fitted_phase_deg = 0;
  std::vector<PlanOption> options;
};

// Lays of `lay_reach` teeth either way of the marks are tried (0 to 10).
[[nodiscard]] Result<Plan> plan_corrections(const Engine& engine, const Build& build, int lay_reach = 1);

// The fitted settings with that option in place.
[[nodiscard]] Fitted fitted_with(const Fitted& fitted, const PlanOption& option);

// The phase that the build's target asks for (crank degrees).
[[nodiscard]] Result<double> target_phase_deg(const Engine& engine, const Build& build);

// Sideways step (unit: mm) of an offset key's upper half for an angle at the shaft's surface: r sin(a). Angles within
// +-90 deg.
[[nodiscard]] double key_step_mm(double shaft_diameter_mm, double key_deg);

// Words for one key: "crank key 4 deg, sprocket half leading" / "cam key 2 deg, shaft half leading" / "... straight".
// `advance_deg` > 0 advances the cam.
enum class KeyAt { crank, cam };
[[nodiscard]] std::string key_words(KeyAt at, double advance_deg);

} // namespace phasewright
