#include "mechanics/valve_pair.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

ValvePair::ValvePair(const Engine& engine) : inlet_(*engine.inlet_valve), exhaust_(*engine.exhaust_valve) {}

std::optional<ValvePair> ValvePair::make(const Engine& engine) {
  if (!engine.inlet_valve || !engine.exhaust_valve) return std::nullopt;
  return ValvePair(engine);
}

double ValvePair::distance_mm(double /*inlet_lift_mm*/, double /*exhaust_lift_mm*/) const {
  const glm::dvec2 apart_mm = inlet_.offset_mm - exhaust_.offset_mm;
  return std::max(0.0, length2(apart_mm) - (inlet_.head_mm + exhaust_.head_mm) / 2.0);
}

} // namespace phasewright
