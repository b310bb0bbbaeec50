#include "mechanics/valve_pair.hpp"

#include "mechanics/convex_distance.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

ValvePair::ValvePair(const Engine& engine)
    : inlet_(*engine.inlet_valve, engine.block.deck_mm), exhaust_(*engine.exhaust_valve, engine.block.deck_mm) {}

std::optional<ValvePair> ValvePair::make(const Engine& engine) {
  if (!engine.inlet_valve || !engine.exhaust_valve) return std::nullopt;
  return ValvePair(engine);
}

double ValvePair::distance_mm(double inlet_lift_mm, double exhaust_lift_mm) const {
  const ValveSolid inlet = inlet_.moved(inlet_lift_mm, 0.0);
  const ValveSolid exhaust = exhaust_.moved(exhaust_lift_mm, 0.0);
  return convex_distance_mm(inlet, exhaust, exhaust.face_mm() - inlet.face_mm());
}

double ValvePair::at_least_mm(double inlet_lift_mm, double exhaust_lift_mm) const {
  // Sideways every head keeps within its radius of its axis.
  const auto reach_mm = [](const ValveSolid& head, double lift_mm) {
    return head.radius_mm() + std::fabs(head.up().x) * (std::max(0.0, lift_mm) + head.margin_mm() + head.radius_mm());
  };
  const double apart_mm =
      std::hypot(inlet_.face_mm().x - exhaust_.face_mm().x, inlet_.face_mm().y - exhaust_.face_mm().y);
  return apart_mm - reach_mm(inlet_, inlet_lift_mm) - reach_mm(exhaust_, exhaust_lift_mm);
}

} // namespace phasewright
