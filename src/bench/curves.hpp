// Curves of one engine as columns of figures, for other programs: over the cycle, against phase, and of the lobes.
#pragma once

#include "mechanics/clearance.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct CurveTable {
  std::vector<std::string> columns; // names with their unit: "inlet_valve_mm"
  std::vector<std::vector<double>> rows;
};

// Velocity, acceleration and jerk of a tappet or valve against its camshaft's angle, in any unit of that.
struct MotionState {
  double lift_mm = 0;
  double first = 0;
  double second = 0;
  double third = 0;
};
// Per radian of the camshaft. Of a valve all 0 while it is shut.
[[nodiscard]] MotionState tappet_motion(const ValveMotion& motion, double from_nose_rad);
[[nodiscard]] MotionState valve_motion(const ValveMotion& motion, double from_nose_rad);

// Of cylinder No. 1 from crank 0 to 720, both included: where a step does not divide 720, the last row comes sooner.
// Derivatives of lifts are per crank degree, the camshaft taken to turn at an even half of the crank's speed; the lifts
// themselves have the chain's ripple. `clearances`: its columns are left out when null.
[[nodiscard]] CurveTable cycle_curves(const Mechanism& mechanism, const ClearanceModel* clearances, double step_deg);

// Least clearance along the valves' axes with every camshaft so much further advanced, -20 to 20 crank degrees.
[[nodiscard]] CurveTable phase_curves(const Mechanism& mechanism, const ClearanceModel& clearances, double step_deg);

// Lift and outline of each kind's lobe, -180 to 180 cam degrees from the nose, both included. Derivatives per cam
// degree; x, y in the lobe's frame (lobe_contour.hpp).
[[nodiscard]] CurveTable lobe_curves(const Mechanism& mechanism, double step_deg);

} // namespace phasewright
