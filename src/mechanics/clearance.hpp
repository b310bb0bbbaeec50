// Piston to valve, over the cycle. Vertical valves; inclined ones are refused, not guessed.
#pragma once

#include "mechanics/mechanism.hpp"

#include <array>
#include <optional>
#include <vector>

namespace phasewright {

struct LeastClearance {
  double least_mm = 0;             // along the valve axis; negative = they meet
  double at_crank_deg = 0;         // 0 to 720, of No. 1
  std::optional<double> radial_mm; // head rim to pocket wall; nothing without a pocket
};

struct Clearances {
  std::optional<LeastClearance> inlet;
  std::optional<LeastClearance> exhaust;
};

// What the clearance is measured from: closed head face to crown at TDC, from the file's geometry, or set so that the
// measured clearance comes out (their mean when several were taken).
class ClearanceModel {
public:
  // Measured clearances are taken to have been read on `measured.engine` with `measured.with` fitted, whatever
  // `mechanism` has; where the two engines' drawn gaps differ, the difference is added. Problems: an
  // inclined valve (its mechanics are not covered yet), a lobe without a valve, a drive that could not be as it was
  // when measured.
  static Result<ClearanceModel> make(const Mechanism& mechanism, const Measured& measured);

  // Clearance along the valve axis at one crank angle (unit: mm). The engine must have that kind of valve.
  [[nodiscard]] double at(ValveKind kind, double crank_deg) const;

  // The same closed gaps with another thing fitted, without working them out again.
  [[nodiscard]] ClearanceModel mounted_on(const Mechanism& other) const;

  // Least over the cycle. `extra_phase_deg`: as if the camshaft that moves this kind of valve stood so many
  // crank degrees further advanced, `by_crank_deg` of them by the crank's key, which takes the chain's ripple along.
  [[nodiscard]] LeastClearance least(ValveKind kind, double extra_phase_deg = 0, double by_crank_deg = 0) const;
  [[nodiscard]] Clearances least() const;
  [[nodiscard]] bool has(ValveKind kind) const;

private:
  explicit ClearanceModel(const Mechanism& mechanism) : mechanism_(mechanism) {}
  [[nodiscard]] double gap_mm(ValveKind kind, double crank_deg, double extra_phase_deg, double by_crank_deg) const;

  Mechanism mechanism_;
  std::array<std::optional<double>, 2> closed_gap_mm_; // inlet, exhaust
};

// One figure against its limit. Nothing = an engine without that kind of valve, which has nothing to meet.
[[nodiscard]] bool clear_enough(std::optional<double> least_mm, double limit_mm);

// Least clearances at or over the target's limits; an engine without a kind of valve has nothing to meet there.
[[nodiscard]] bool within_limits(const Clearances& clearances, const Target& target);

// Elongation at which the last of the drive's chains is renewed (unit: percent).
[[nodiscard]] double wear_limit_percent(const Engine& engine);

// The build as it would be with the chain at its wear limit, or as far as the drive lets it wear before that: until its
// tensioner runs out or the slack is more than a drive may have.
[[nodiscard]] Fitted worn(const Engine& engine, const Fitted& fitted);

} // namespace phasewright
