// The instruments on a drill's bench, each read as such a thing is read: in its steps, and out by anything within its
// limit of error.
#pragma once

#include "bench/crank_by_hand.hpp"
#include "bench/drill.hpp"
#include "bench/mark_count.hpp"
#include "mechanics/clearance.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Where the crank stands while something is read, which way it was last turned, and the how manieth reading it is. The
// same place and number show the same figure for as long as one looks; another number is reading anew.
struct ReadingAt {
  double crank_deg = 0; // true, of No. 1; any finite angle
  Turning turning = Turning::forward;
  int number = 0; // 0 or more
};

// What an instrument shows goes in such steps; it is out by no more than its limit, rounding included.
[[nodiscard]] double
step_of_limit(double limit); // over 0: the largest of ..., 0.01, 0.02, 0.05, 0.1, ... not over the limit

enum class Edge { near_edge, far_edge };

// Everything is asked of the engine as it really is. Cheap to make and to copy; immutable.
class DrillBench {
public:
  explicit DrillBench(const Drill& drill);

  // What the wheel shows (unit: deg, 0 to 720: which turn it is, one sees by the valves): not the crank's true angle,
  // for nobody has set it to TDC, and it may have moved.
  [[nodiscard]] double wheel_deg(const ReadingAt& at) const;
  // A piston stop in No. 1, its rod at one of two lengths, 0 the longer and 1: where it really holds the crank.
  [[nodiscard]] PistonStop piston_stop(int rod) const;
  // A dial indicator on a tappet or on a valve, set to zero on the base circle. The engine must have such a valve and
  // cylinder.
  [[nodiscard]] double indicator_mm(ValveKind valve, int cylinder, CheckAt where, const ReadingAt& at) const;
  // The valve of No. 1 pushed down on the piston, by indicator; nothing where the engine file has no such dimensions.
  // 0 when they touch.
  [[nodiscard]] std::optional<double> clearance_mm(ValveKind valve, const ReadingAt& at) const;
  // The thickest feeler that goes in at the valve; 0 while the cam lifts it.
  [[nodiscard]] double lash_mm(ValveKind valve, int cylinder, const ReadingAt& at) const;
  // The thickest feeler that goes under the straight-edge at a sprocket of the crank's chain: "crank"'s own, or any
  // other's by its name. 0 = none does.
  [[nodiscard]] double gap_mm(const std::string& under, Edge edge, int number) const;
  // Camshaft pushed home and pulled out, by indicator. The engine must have that camshaft.
  [[nodiscard]] double float_mm(const std::string& camshaft, int number) const;
  // Pins along the taut strand from the camshaft's mark to the crank's, both left out. Nothing where its marks are
  // never in the chain together, or not where the crank stands; `count_at` says where they are.
  [[nodiscard]] std::optional<int> pins(const std::string& camshaft, double crank_deg) const;
  [[nodiscard]] std::optional<MarkCount> count_at(const std::string& camshaft) const;

private:
  [[nodiscard]] double read(double truth, double limit, int instrument, int number) const;

  std::shared_ptr<const DrillTruth> truth_;
  std::shared_ptr<const DrillCard> card_;
  Instruments instruments_;
  DrillAsk ask_;
};

// How far the crank's sprocket may stand out of square, edge to edge at its pitch circle (unit: mm).
[[nodiscard]] double tilt_limit_mm(const Engine& engine);

} // namespace phasewright
