// How near an inlet and an exhaust valve of one cylinder come to each other.
#pragma once

#include "mechanics/valve_solid.hpp"
#include "parts/engine.hpp"

#include <optional>

namespace phasewright {

class ValvePair {
public:
  // Nothing when the engine has not both valves. Solids as in crown_gap.hpp.
  static std::optional<ValvePair> make(const Engine& engine);

  // Least distance between the two heads (unit: mm); 0 when they meet.
  [[nodiscard]] double distance_mm(double inlet_lift_mm, double exhaust_lift_mm) const;
  // A bound that it is not below, quick and rough, for heads up to so far off their seats.
  [[nodiscard]] double at_least_mm(double inlet_lift_mm, double exhaust_lift_mm) const;

private:
  explicit ValvePair(const Engine& engine);

  ValveSolid inlet_;
  ValveSolid exhaust_;
};

} // namespace phasewright
