// What every option of a plan keeps clear, and whether that is enough.
#pragma once

#include "bench/plan.hpp"
#include "bench/plan_options.hpp"
#include "mechanics/clearance.hpp"

#include <memory>

namespace phasewright {

// As it is fitted and as it will be when the chain has worn.
struct PlanModels {
  ClearanceModel now;
  ClearanceModel worn;
  double worn_percent = 0;
};

// The phases that matter to the valves, against what the models have fitted.
struct PlanState {
  std::array<double, 2> extra_deg{}; // crank degrees, of the camshafts that move inlet and exhaust valves
  double by_crank_deg = 0;           // of them by the crank's key
};

struct StateVerdict {
  std::array<double, 2> now_mm{};
  std::array<double, 2> worn_mm{};
  std::optional<ClearanceCriterion> unsafe_by;
  bool goes_together = true; // false: such a drive cannot be assembled

  [[nodiscard]] bool safe() const { return goes_together && !unsafe_by; }
};

// Judges states one by one; what it works out for one it keeps for those like it. What it says of a state does not
// depend on what was asked before, and several threads may ask at once.
class OptionsJudge {
public:
  // Holds on to what it is given. `from`, `to`: the phases that will be asked for, by kind.
  OptionsJudge(const Mechanism& now, const PlanModels& models, const Target& target, std::array<double, 2> from_deg,
               std::array<double, 2> to_deg);
  ~OptionsJudge();
  OptionsJudge(const OptionsJudge&) = delete;
  OptionsJudge& operator=(const OptionsJudge&) = delete;

  [[nodiscard]] StateVerdict judge(const PlanState& state) const;
  // Of a drive that has to be solved as it would be fitted: a camshaft that drives a later chain turns its teeth
  // against the others.
  [[nodiscard]] StateVerdict judge_assembled(const Fitted& fitted) const;

private:
  struct Held;
  std::unique_ptr<Held> held_;
};

// Whether a camshaft's setting also moves the teeth of a later chain against each other. Where none does, lay and keys
// turn the camshafts by exact amounts and shift the crank's angle, and leave the drive what it is.
[[nodiscard]] bool drives_a_chain(const Engine& engine);

} // namespace phasewright
