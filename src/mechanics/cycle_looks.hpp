// Whether valves keep a distance over the whole cycle, asked at many phases: quick, and sure where the answer is yes.
#pragma once

#include "mechanics/crown_gap.hpp"
#include "mechanics/mechanism.hpp"
#include "mechanics/valve_pair.hpp"

#include <array>
#include <optional>
#include <vector>

namespace phasewright {

// A distance cannot shrink faster than the parts move. So one distance, looked at, answers for all of the cycle around
// it until valve and piston together have moved by what it is over; the next look is taken there. Where the parts are
// far apart that is far.
class CycleLooks {
public:
  // One kind of valve: what moves it, what it comes near, and how far the readings move its seat from the drawn one.
  struct Valve {
    ValveMotion motion;
    CrownGap gap;
    double correction_mm = 0;
  };

  CycleLooks(const Mechanism& mechanism, const std::array<std::optional<Valve>, 2>& valves,
             const std::optional<ValvePair>& pair);

  // Whether the valve is surely farther than `mm` from its piston in any direction, over the whole cycle, with its
  // camshaft so many crank degrees ahead of what is fitted. False: it is not, or it is too near to tell. The engine
  // must have that kind of valve.
  [[nodiscard]] bool piston_farther_than(double mm, ValveKind kind, double extra_phase_deg) const;
  // Likewise between the two valves, which the engine must have.
  [[nodiscard]] bool between_farther_than(double mm, double inlet_extra_deg, double exhaust_extra_deg) const;

private:
  static constexpr int steps = 720; // of a crank degree

  struct Train {
    Valve valve;
    std::vector<double> camshaft_rad; // at every step
  };

  [[nodiscard]] std::vector<double> lifts_mm(ValveKind kind, double extra_phase_deg) const;
  [[nodiscard]] const Train& of(ValveKind kind) const { return *trains_[kind == ValveKind::inlet ? 0 : 1]; }

  std::array<std::optional<Train>, 2> trains_; // inlet, exhaust
  std::optional<ValvePair> pair_;
  std::vector<double> drops_mm_;
};

} // namespace phasewright
