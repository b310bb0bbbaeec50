// Clearances against a target's limits: the one verdict that pages, panels and plans share. Facts only; the words are
// theirs.
#pragma once

#include "mechanics/clearance.hpp"

#include <array>
#include <optional>
#include <vector>

namespace phasewright {

inline constexpr std::array<ValveKind, 2> valve_kinds{ValveKind::inlet, ValveKind::exhaust};

// A standard uncertainty times this is what a figure may be out by, "±" in print: JCGM 100:2008, 6.3.
inline constexpr double coverage = 2.0;

// Over its limit by at least as much as it may be out by.
[[nodiscard]] bool surely_over(double figure_mm, double limit_mm, double u_mm);

enum class ClearanceCriterion {
  axial,   // along the valve's axis, against the valve's own limit
  any_way, // in any direction, against the lesser of that and the radial limit
  between  // inlet to exhaust valve
};

// One figure and its limit.
struct JudgedClearance {
  std::optional<ValveKind> kind; // nothing for `between`
  ClearanceCriterion criterion = ClearanceCriterion::axial;
  double figure_mm = 0;
  double limit_mm = 0;
  double at_crank_deg = 0;    // of No. 1, 0 to 720
  std::optional<double> u_mm; // standard uncertainty; nothing where none is worked out

  // NaN is not enough.
  [[nodiscard]] bool enough() const { return figure_mm >= limit_mm; }
  // Enough, but by less than it may be out by.
  [[nodiscard]] bool too_near_to_tell() const { return enough() && u_mm && !surely_over(figure_mm, limit_mm, *u_mm); }
};

struct Judgement {
  std::vector<JudgedClearance> figures; // all there are: inlet, exhaust, between; axial before any way

  [[nodiscard]] bool safe() const;
  [[nodiscard]] std::vector<JudgedClearance> too_close() const;
  [[nodiscard]] std::vector<JudgedClearance> too_near_to_tell() const;
};

[[nodiscard]] inline const std::optional<LeastClearance>& least_of(const Clearances& clearances, ValveKind kind) {
  return kind == ValveKind::inlet ? clearances.inlet : clearances.exhaust;
}

[[nodiscard]] double axial_limit_mm(const Target& target, ValveKind kind);
// In any direction: the lesser of the valve's own limit and the radial one.
[[nodiscard]] double any_way_limit_mm(const Target& target, ValveKind kind);

[[nodiscard]] Judgement judge(const Clearances& clearances, const Target& target);
// With the uncertainties of the axial figures; `clearances` are the model's own.
[[nodiscard]] Judgement judge(const ClearanceModel& model, const Clearances& clearances, const Target& target);

// How far the phase may go either way before a limit is reached; nothing = not within 60 crank degrees.
struct PhaseRoom {
  std::optional<double> retard_deg; // negative or 0
  std::optional<double> advance_deg;
};
[[nodiscard]] PhaseRoom room_of(const ClearanceQuality& quality);
// Of two states of one engine (as it is, worn) the nearer limit each way.
[[nodiscard]] PhaseRoom nearer(const PhaseRoom& one, const PhaseRoom& other);

} // namespace phasewright
