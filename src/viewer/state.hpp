// What one state of the engine, as fitted or as planned, comes to: computed once, for good.
#pragma once

#include "bench/mark_count.hpp"
#include "bench/standing.hpp"
#include "mechanics/events.hpp"
#include "mechanics/phase.hpp"
#include "viewer/clearance_detail.hpp"

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// What stands where a curve is not worked out: farther than any plot shows.
inline constexpr double far_mm = 1000.0;
inline constexpr int between_reach_deg = 76; // either side of the overlap TDC

// The cycle of No. 1, the crank turned forward, in steps of one crank degree, 0 to 720 inclusive; empty where the
// engine has no such valve.
struct Curves {
  std::array<std::vector<float>, 2> lift_mm;      // inlet, exhaust, at the valve
  std::array<std::vector<float>, 2> clearance_mm; // piston to valve, along the valve's axis
  // How far each could be open before it met the piston: where the piston stands along its axis.
  std::array<std::vector<float>, 2> piston_reach_mm;
  std::vector<float> between_mm; // inlet to exhaust valve; empty unless they come near enough to matter
};

// One of the two states with everything computed for it.
struct State {
  State(Mechanism assembled, const Target& wanted) : mechanism(std::move(assembled)), target(wanted) {}

  Mechanism mechanism;
  Target target;                          // that it is judged against
  std::optional<double> target_phase_deg; // what it asks for, as this is fitted; none when it cannot be worked out
  std::string target_fault;               // why
  PhaseBreakdown phase;                   // of the camshaft that the target is about
  std::vector<PhaseBreakdown> phases;     // of each, as Engine::camshafts
  std::optional<Events> events;           // none when the check lift is never reached; `events_fault` says so
  std::string events_fault;
  Standing standing; // of its valves against the target's limits
  std::optional<MarkCount> pins_between_marks;
  Curves curves;

  // Worked out when first asked for, and kept. Not for several threads.
  [[nodiscard]] const ClearanceDetail& detail() const; // the standing must have a model
  [[nodiscard]] const std::array<PhaseBand, 2>& bands() const;
  // Of a cylinder; nothing where a check lift is never reached, and `events_fault_of` says so.
  [[nodiscard]] const std::optional<Events>& events_of(int number) const;
  [[nodiscard]] const std::string& events_fault_of(int number) const;

private:
  struct CylinderEvents {
    std::optional<Events> events;
    std::string fault;
  };
  [[nodiscard]] const CylinderEvents& cylinder(int number) const;
  [[nodiscard]] const ClearanceModel* worn_model() const {
    return standing.model_worn ? &*standing.model_worn : nullptr;
  }

  mutable std::optional<ClearanceDetail> detail_;
  mutable std::optional<std::array<PhaseBand, 2>> bands_;
  mutable std::map<int, CylinderEvents> events_of_;
};

// `build` says against what it is judged and how well it was measured. Problems: it cannot be assembled.
[[nodiscard]] Result<std::shared_ptr<const State>> compute_state(const std::shared_ptr<const Engine>& engine,
                                                                 const Build& build, const Fitted& fitted);

} // namespace phasewright::viewer
