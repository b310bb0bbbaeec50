// What the `clearance` command found, for its page and its JSON.
#pragma once

#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::cli {

// The clearances in one state of the engine.
struct ClearanceState {
  Clearances least;
  Judgement judgement;
  std::array<std::optional<ClearanceQuality>, 2> quality; // inlet, exhaust
};

struct ClearanceCase {
  const Engine& engine;
  const Build& build;                        // with what its readings found
  std::map<std::string, double> by_readings; // what the build file does not say of it, by camshaft
  Fitted at_limit;                           // with the chain worn
  ClearanceState now;
  ClearanceState worn;
  ClearanceState no_lash; // as it stands now, should the lash close up; shown but not judged
  std::array<std::optional<GapFit>, 2> fits;
  std::optional<PhaseCurve> curve; // when asked for

  [[nodiscard]] bool safe() const { return now.judgement.safe() && worn.judgement.safe(); }
};

[[nodiscard]] inline std::size_t index_of(ValveKind kind) {
  return kind == ValveKind::inlet ? 0 : 1;
}

[[nodiscard]] inline const std::optional<LeastClearance>& least_of(const ClearanceState& state, ValveKind kind) {
  return kind == ValveKind::inlet ? state.least.inlet : state.least.exhaust;
}

[[nodiscard]] const char* way_word(ClearanceCriterion criterion); // "along its axis", "sideways", "valve to valve"

// Every axial clearance that is over its limit by less than it may be out by: "inlet", "exhaust".
[[nodiscard]] std::vector<ValveKind> too_near_to_tell(const ClearanceCase& found);

[[nodiscard]] std::string clearance_page(const ClearanceCase& found);

} // namespace phasewright::cli
