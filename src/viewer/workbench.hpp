// The document and all that follows from it: what is fitted, what is tried beside it, and what both come to. No screen,
// no clock. Results are computed when an input changes and at no other time.
#pragma once

#include "bench/mark_count.hpp"
#include "bench/plan.hpp"
#include "files/files.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/events.hpp"
#include "mechanics/phase.hpp"
#include "viewer/clearance_detail.hpp"
#include "viewer/lobe_curves.hpp"

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// What undo goes back to: a value, kept whole.
struct Document {
  Fitted fitted;                          // on the engine now
  Fitted planned;                         // tried beside it
  std::vector<ClearanceReading> readings; // clearances measured on the bench

  friend bool operator==(const Document& a, const Document& b);
};

[[nodiscard]] bool same_readings(const std::vector<ClearanceReading>& a, const std::vector<ClearanceReading>& b);

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
  Target target;                      // that it is judged against
  PhaseBreakdown phase;               // of the camshaft that the target is about
  std::vector<PhaseBreakdown> phases; // of each, as Engine::camshafts
  std::optional<Events> events;       // none when the check lift is never reached; `events_fault` says so
  std::string events_fault;
  Clearances clearances; // as the chain is; empty when they cannot be computed
  Clearances worn;       // with the chain at its wear limit
  Judgement judged;      // of both against the target's limits
  Judgement judged_worn;
  std::string clearance_fault; // why there are none, or why the worn chain cannot be judged
  std::optional<bool> safe;    // all limits met, worn too; nothing when there are no clearances
  std::optional<MarkCount> pins_between_marks;
  Curves curves;
  std::optional<ClearanceModel> model; // as the chain is; none when clearances cannot be computed
  std::optional<ClearanceModel> model_worn;

  // Safe, but by less than the figures may be out by, or by readings that can hardly be right.
  [[nodiscard]] bool doubtful() const;
  // Worked out when first asked for, and kept. Not for several threads.
  [[nodiscard]] const ClearanceDetail& detail() const; // there must be a model
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

  mutable std::optional<ClearanceDetail> detail_;
  mutable std::optional<std::array<PhaseBand, 2>> bands_;
  mutable std::map<int, CylinderEvents> events_of_;
};

class Workbench {
public:
  // `option` of the plan (from 0) is tried from the start. Problems: what is fitted cannot be assembled; no such
  // option.
  static Result<Workbench> open(const Opened& opened, std::size_t option = 0);

  [[nodiscard]] const Engine& engine() const { return *engine_; }
  [[nodiscard]] std::shared_ptr<const Engine> shared_engine() const { return engine_; }
  [[nodiscard]] const Build& build() const { return build_; } // with what the document says is fitted
  [[nodiscard]] const Document& document() const { return document_; }
  [[nodiscard]] const State& fitted() const { return *fitted_; }
  [[nodiscard]] const State& planned() const { return *planned_; }
  [[nodiscard]] bool planned_differs() const { return planned_ != fitted_; }
  [[nodiscard]] const Plan& plan() const { return plan_; } // empty when there can be none; `plan_fault()` says why
  [[nodiscard]] const std::string& plan_fault() const { return plan_fault_; }
  // The phase the build asks for; nothing when it cannot be worked out, and `target_fault()` says why.
  [[nodiscard]] std::optional<double> target_phase_deg() const { return target_phase_deg_; }
  [[nodiscard]] const std::string& target_fault() const { return target_fault_; }
  // The camshaft that the target is about; index into Engine::camshafts.
  [[nodiscard]] std::size_t target_camshaft() const { return planned_camshaft(*engine_, build_.target); }
  // The option of the plan that is tried, if it is one of them.
  [[nodiscard]] std::optional<std::size_t> tried_option() const;
  [[nodiscard]] const std::vector<float>& piston_drop_mm() const { return piston_drop_mm_; } // as Curves
  // How the lobe of that kind moves its follower; nothing when the engine has none.
  [[nodiscard]] const LobeCurve* lobe_curve(ValveKind kind) const;

  // Puts a changed document in place, as one entry of undo. False = it cannot be assembled: nothing is changed and
  // `refusal()` says why. What `planned` had in common with `fitted` follows when only `fitted` is changed.
  bool change_fitted(const Fitted& fitted, std::string what);
  bool change_planned(const Fitted& planned, std::string what);
  bool change_readings(const std::vector<ClearanceReading>& readings, std::string what);
  bool try_option(std::size_t index);

  [[nodiscard]] bool can_undo() const { return !undo_.empty(); }
  [[nodiscard]] bool can_redo() const { return !redo_.empty(); }
  void undo();
  void redo();
  [[nodiscard]] std::string undo_what() const { return undo_.empty() ? "" : undo_.back().what; }
  [[nodiscard]] std::string redo_what() const { return redo_.empty() ? "" : redo_.back().what; }

  [[nodiscard]] const std::string& refusal() const { return refusal_; } // of the last change, empty when it was done
  // Grows with every change of the document; what is drawn from it is stale when this differs.
  [[nodiscard]] std::uint64_t revision() const { return revision_; }
  // How many times states and plans were computed, for tests of "only when an input changes".
  [[nodiscard]] int computations() const { return computations_; }

private:
  struct Entry {
    Document document;
    std::string what;
  };

  Workbench() = default;
  bool put(const Document& document, std::string what); // by value: the words may be those of a plan it replaces
  Problems adopt(const Document& document);
  [[nodiscard]] Fitted settings_of(const PlanOption& option) const;
  Result<std::shared_ptr<const State>> compute(const Fitted& fitted, const Measured& measured);

  std::shared_ptr<const Engine> engine_;
  Build build_;
  Document document_;
  std::shared_ptr<const State> fitted_;
  std::shared_ptr<const State> planned_;
  Plan plan_;
  std::string plan_fault_;
  std::optional<double> target_phase_deg_;
  std::string target_fault_;
  std::vector<float> piston_drop_mm_;
  std::array<std::optional<LobeCurve>, 2> lobe_curves_; // inlet, exhaust
  std::vector<Entry> undo_;
  std::vector<Entry> redo_;
  std::string refusal_;
  std::uint64_t revision_ = 0;
  int computations_ = 0;
};

// Whether both fit the same, however their tables say it: a camshaft that is not named has the common figure.
[[nodiscard]] bool same_fit(const Fitted& a, const Fitted& b, const Engine& engine);

// Lay and key of one of the engine's camshafts: by its name where there are others it must not move.
[[nodiscard]] int lay_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft);
[[nodiscard]] double cam_key_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft);
void set_lay(Fitted& fitted, const Engine& engine, std::size_t camshaft, int teeth);
void set_cam_key(Fitted& fitted, const Engine& engine, std::size_t camshaft, double deg);

// `planned` after `fitted` has changed from `before` to `after`: what they had in common follows.
[[nodiscard]] Fitted follow(const Fitted& planned, const Fitted& before, const Fitted& after);

} // namespace phasewright::viewer
