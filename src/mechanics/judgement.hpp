// Clearances against a target's limits: the one verdict that pages, panels and plans share. Facts only; the words are
// theirs.
#pragma once

#include "mechanics/clearance.hpp"

#include <array>
#include <optional>
#include <vector>

namespace phasewright {

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
  double at_crank_deg = 0; // of No. 1, 0 to 720

  // NaN is not enough.
  [[nodiscard]] bool enough() const { return figure_mm >= limit_mm; }
};

struct Judgement {
  std::vector<JudgedClearance> figures; // all there are: inlet, exhaust, between; axial before any way

  [[nodiscard]] bool safe() const;
  [[nodiscard]] std::vector<JudgedClearance> too_close() const;
};

[[nodiscard]] double axial_limit_mm(const Target& target, ValveKind kind);
// In any direction: the lesser of the valve's own limit and the radial one.
[[nodiscard]] double any_way_limit_mm(const Target& target, ValveKind kind);

[[nodiscard]] Judgement judge(const Clearances& clearances, const Target& target);

} // namespace phasewright
