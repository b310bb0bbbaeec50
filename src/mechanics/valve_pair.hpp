// How near an inlet and an exhaust valve of one cylinder come to each other while both are open.
#pragma once

#include "parts/engine.hpp"

#include <optional>

namespace phasewright {

class ValvePair {
public:
  // Nothing when the engine has not both valves. Solids as in crown_gap.hpp.
  static std::optional<ValvePair> make(const Engine& engine);

  // Least distance between the two heads (unit: mm); 0 when they meet.
  [[nodiscard]] double distance_mm(double inlet_lift_mm, double exhaust_lift_mm) const;

private:
  ValvePair(const Engine& engine);
  Valve inlet_;
  Valve exhaust_;
};

} // namespace phasewright
