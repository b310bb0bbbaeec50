// Piston to valve and valve to valve, over the cycle and against phase.
#pragma once

#include "mechanics/crown_gap.hpp"
#include "mechanics/cycle_looks.hpp"
#include "mechanics/mechanism.hpp"
#include "mechanics/valve_pair.hpp"

#include <array>
#include <functional>
#include <optional>
#include <vector>

namespace phasewright {

// Valve to piston, least over the cycle. Angles are crank angles of No. 1, 0 to 720.
struct LeastClearance {
  double least_mm = 0; // along the valve's axis (CrownGap::axial_mm); negative = they meet
  double at_crank_deg = 0;
  std::optional<double> radial_mm; // head's edge to pocket wall, least while the head is in its pocket
  std::optional<double> radial_at_crank_deg;
  double distance_mm = 0; // in any direction, between the solids
  double distance_at_crank_deg = 0;
};

// Inlet to exhaust valve of one cylinder.
struct ValveToValve {
  double least_mm = 0; // 0 = they meet
  double at_crank_deg = 0;
};

struct Clearances {
  std::optional<LeastClearance> inlet;
  std::optional<LeastClearance> exhaust;
  std::optional<ValveToValve> between;
};

// What the closed gap of one kind of valve was set from: least squares over all its readings, each weighted by its own
// uncertainty (indicator's limit, and the wheel's limit times how fast the gap changes there).
struct GapFit {
  int readings = 0;            // 0 = the engine file's dimensions
  double correction_mm = 0;    // what the readings add to the drawn gap
  double u_mm = 0;             // standard uncertainty of the gap
  std::vector<double> left_mm; // each reading less what the fitted gap gives there, in their order
  bool scattered = false;      // they disagree by more than the instruments explain: u_mm is widened by their scatter
  bool wild = false;           // further from the drawn gap than drawings are wrong: likelier a reading is
};

// How good a least clearance is, and how it goes with phase.
struct ClearanceQuality {
  double slope_mm_per_deg = 0; // d least / d phase (per crank degree of advance), where it stands
  double u_mm = 0;             // standard uncertainty: of the gap, and of the phase through the slope
  // Phase change (crank degrees, + = advance) at which the limit is reached going each way; nothing within 60 degrees.
  std::optional<double> retard_to_limit_deg; // negative or 0
  std::optional<double> advance_to_limit_deg;
};

// Least clearance against phase: [kind][sample], axial, empty for a kind the engine has not.
struct PhaseCurve {
  std::vector<double> extra_deg; // crank degrees on top of what is fitted
  std::array<std::vector<double>, 2> least_mm;
};

// Clearance along the axis at every step of 720 degrees: [kind][sample].
struct CycleSweep {
  double step_deg = 0;
  std::array<std::vector<double>, 2> axial_mm;
};

// Piston to valve from the file's geometry, or with the closed gaps set by clearances measured on the bench.
class ClearanceModel {
public:
  // Measured clearances are taken to have been read on `measured.engine` with `measured.with` fitted, whatever
  // `mechanism` has; where the two engines' drawn gaps differ, the difference is added. Problems: a lobe without a
  // valve, a head that does not enter its pocket, a drive that could not be as it was when measured.
  static Result<ClearanceModel> make(const Mechanism& mechanism, const Measured& measured,
                                     const Instruments& instruments = {});

  // At one crank angle (unit: mm). The engine must have that kind of valve.
  [[nodiscard]] double at(ValveKind kind, double crank_deg) const;          // along the axis
  [[nodiscard]] double distance_at(ValveKind kind, double crank_deg) const; // in any direction
  [[nodiscard]] std::optional<double> between_at(double crank_deg) const;   // inlet to exhaust valve

  // The same closed gaps with another thing fitted, without working them out again.
  [[nodiscard]] ClearanceModel mounted_on(const Mechanism& other) const;
  // The same with no lash left in the train: the valves open further.
  [[nodiscard]] ClearanceModel lash_taken_up() const;

  // Least along the axis over the cycle: only least_mm and at_crank_deg are filled. `extra_phase_deg`: as if the
  // camshaft that moves this kind of valve stood so many crank degrees further advanced, `by_crank_deg` of them by the
  // crank's key, which takes the chain's ripple along.
  [[nodiscard]] LeastClearance least_axial(ValveKind kind, double extra_phase_deg = 0, double by_crank_deg = 0) const;
  // Likewise in any direction: only distance_mm and distance_at_crank_deg are filled.
  [[nodiscard]] LeastClearance least_any_way(ValveKind kind, double extra_phase_deg = 0, double by_crank_deg = 0) const;
  // Whether that is the axial clearance at every phase: an upright valve over nothing higher than the flat under it.
  [[nodiscard]] bool axial_is_all(ValveKind kind) const;
  // Everything of it. `extra_phase_deg` moves all camshafts.
  [[nodiscard]] LeastClearance least(ValveKind kind, double extra_phase_deg = 0) const;
  [[nodiscard]] LeastClearance least(ValveKind kind, double extra_phase_deg, double by_crank_deg) const;
  [[nodiscard]] Clearances least() const;
  // The heads on their seats count too. Extra phase of the camshaft that moves each kind, as above.
  [[nodiscard]] std::optional<ValveToValve> least_between(double inlet_extra_deg = 0, double exhaust_extra_deg = 0,
                                                          double by_crank_deg = 0) const;
  // A bound it is not below at any phase, quick; nothing without both valves.
  [[nodiscard]] std::optional<double> between_at_least_mm() const;
  [[nodiscard]] bool has(ValveKind kind) const;

  [[nodiscard]] const GapFit& fit(ValveKind kind) const;
  // Standard uncertainty of the least axial clearance, which is at that crank angle.
  [[nodiscard]] double u_of_least_mm(ValveKind kind, double at_crank_deg) const;
  // `limit_mm`: the limit of the axial clearance.
  [[nodiscard]] ClearanceQuality quality(ValveKind kind, double limit_mm) const;
  [[nodiscard]] PhaseCurve phase_curve(double from_deg, double to_deg, double step_deg) const;
  // Of one kind, which the engine must have.
  [[nodiscard]] std::vector<double> phase_curve(ValveKind kind, double from_deg, double to_deg, double step_deg) const;
  // For asking one by one: the least axial clearance (unit: mm) with the camshaft so many crank degrees further
  // advanced, so many of them by the crank's key; as least_axial, read off a table of the camshaft's angle and so
  // within 1e-6 mm of it. Holds on to the model.
  using LeastAt = std::function<double(double extra_phase_deg, double by_crank_deg)>;
  [[nodiscard]] LeastAt least_at(ValveKind kind) const;
  [[nodiscard]] CycleSweep sweep(double step_deg) const;
  // For asking at many phases whether distances stay over a limit.
  [[nodiscard]] CycleLooks looks() const;

private:
  // One kind of valve: what moves it, what it comes near, and how far the readings move its seat from the drawn one.
  struct Kind {
    ValveMotion motion;
    CrownGap gap;
    GapFit fit;
  };

  explicit ClearanceModel(const Mechanism& mechanism) : mechanism_(mechanism) {}
  [[nodiscard]] double slope_mm_per_deg(ValveKind kind, double at_crank_deg) const;
  [[nodiscard]] const Kind& of(ValveKind kind) const { return *kinds_[kind == ValveKind::inlet ? 0 : 1]; }

  // How far the valve stands from its drawn seat: its lift, less what the readings say it sits higher.
  [[nodiscard]] double seat_lift_mm(ValveKind kind, double crank_deg, double extra_phase_deg = 0,
                                    double by_crank_deg = 0) const;

  Mechanism mechanism_;
  std::array<std::optional<Kind>, 2> kinds_; // inlet, exhaust
  std::optional<ValvePair> pair_;            // when the engine has both and lobes for both
  double wheel_u_deg_ = 0;                   // standard uncertainty of what the phase was read with
  bool lash_taken_up_ = false;
};

// One figure against its limit. Nothing = an engine without that kind of valve, which has nothing to meet.
[[nodiscard]] bool clear_enough(std::optional<double> least_mm, double limit_mm);

// All at or over the target's limits: along the axis; in any direction (the lesser of the axial limit and the radial
// one); valve to valve. An engine without a kind of valve has nothing to meet there.
[[nodiscard]] bool within_limits(const Clearances& clearances, const Target& target);

// Elongation at which the last of the drive's chains is renewed (unit: percent).
[[nodiscard]] double wear_limit_percent(const Engine& engine);

// The build as it would be with the chain at its wear limit, or as far as the drive lets it wear before that: until its
// tensioner runs out or the slack is more than a drive may have.
[[nodiscard]] Fitted worn(const Engine& engine, const Fitted& fitted);

} // namespace phasewright
