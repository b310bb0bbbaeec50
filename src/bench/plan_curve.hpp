// Least axial clearance of one kind of valve against phase, quick to ask and right about its limit.
#pragma once

#include "bench/remembered.hpp"
#include "mechanics/clearance.hpp"

#include <optional>
#include <vector>

namespace phasewright {

// Read off a curve with a step of a crank degree; where that comes so near the limit that the curve's error or the
// chain's ripple could decide, the phase at which the limit is reached is solved for, once for each crank key. So a
// figure is on the right side of the limit, and within 0.02 mm of solving the drive; tests/reference measures it. May
// be asked from several threads.
class LimitedCurve {
public:
  // Holds on to the model. From `from_deg` to `to_deg`, at least, of extra phase.
  LimitedCurve(const ClearanceModel& model, ValveKind kind, double limit_mm, double from_deg, double to_deg);

  [[nodiscard]] double at_mm(double extra_deg, double by_crank_deg) const;

private:
  // A stretch of phase in which the curve comes near the limit.
  struct Near {
    double from_deg = 0;
    double to_deg = 0;
    bool crosses = false;      // once, and steadily
    double crossing_deg = 0;   // of the curve itself
    double crossing_slope = 0; // mm per degree
  };

  [[nodiscard]] double curve_mm(double extra_deg) const;
  void find_near_stretches();
  [[nodiscard]] std::optional<double> solve_crossing_deg(const Near& near, double by_crank_deg) const;
  [[nodiscard]] double solved_mm(double extra_deg, double by_crank_deg) const;

  const ClearanceModel* model_;
  ValveKind kind_;
  double limit_mm_;
  ClearanceModel::LeastAt least_at_;
  double low_deg_ = 0.0;
  std::vector<double> least_mm_;
  std::vector<Near> near_;
  Remembered<std::pair<std::size_t, double>, std::optional<double>> crossings_; // by stretch and crank key
};

} // namespace phasewright
