// Whether valves keep clear of pistons in every direction, and of each other, at many phases: what a plan asks of each
// of its options besides the clearance along the axis.
#pragma once

#include "bench/remembered.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"

#include <array>
#include <cmath>
#include <optional>
#include <utility>

namespace phasewright {

// Nothing is too close, or what is, or too near a limit to tell without solving the very drive.
struct AsideVerdict {
  enum class Kind { clear, close, doubtful } kind = Kind::clear;
  std::optional<ClearanceCriterion> too_close;

  [[nodiscard]] bool doubt() const { return kind == Kind::doubtful; }
  // The worse of two: what is too close goes before doubt, doubt before clear.
  friend bool operator<(const AsideVerdict& a, const AsideVerdict& b) { return a.badness() < b.badness(); }

private:
  [[nodiscard]] int badness() const { return kind == Kind::close ? 2 : kind == Kind::doubtful ? 1 : 0; }
};

// A distance moves by no more than the valves do, and they by no more than their steepest flanks carry them. So one
// distance solved tells of all phases near it; nodes are solved as they are asked for, first coarse, then fine. What a
// node is does not depend on what was asked before, so that several threads may ask at once.
class AsideVerdicts {
public:
  // Holds on to what it is given.
  AsideVerdicts(const Mechanism& mechanism, const ClearanceModel& model, const Target& target);

  // With the camshafts that move inlet and exhaust valves so many crank degrees ahead of the model's.
  [[nodiscard]] AsideVerdict verdict(double inlet_extra_deg, double exhaust_extra_deg) const;

private:
  using Node = std::pair<int, std::pair<int, int>>; // how fine, and where

  [[nodiscard]] AsideVerdict::Kind any_way(std::size_t kind, double extra_deg) const;
  [[nodiscard]] AsideVerdict::Kind between(double inlet_extra_deg, double exhaust_extra_deg) const;

  const ClearanceModel& model_;
  CycleLooks looks_;
  const Target& target_;
  std::array<double, 2> steepest_mm_per_deg_{};        // of the valves, per crank degree of phase
  std::array<Remembered<int, bool>, 2> any_way_clear_; // surely, in the neighbourhood of a phase
  Remembered<std::pair<int, int>, bool> between_clear_;
  std::array<Remembered<Node, double>, 2> any_way_mm_;
  Remembered<Node, double> between_mm_;
  std::array<bool, 2> ask_any_way_{};
  bool ask_between_ = false;
};

} // namespace phasewright
