#include "parts/engine.hpp"

#include <algorithm>
#include <cassert>

namespace phasewright {

const Camshaft* find_camshaft(const Engine& engine, const std::string& name) {
  const auto found = std::ranges::find(engine.camshafts, name, &Camshaft::name);
  return found == engine.camshafts.end() ? nullptr : &*found;
}

double cylinder_delay_deg(const Block& block, int number) {
  const auto found = std::ranges::find(block.firing_order, number);
  assert(found != block.firing_order.end());
  return 720.0 * static_cast<double>(found - block.firing_order.begin()) / block.cylinders;
}

const char* to_word(Rotation rotation) {
  return rotation == Rotation::clockwise ? "clockwise" : "anticlockwise";
}

const char* to_word(ValveKind kind) {
  return kind == ValveKind::inlet ? "inlet" : "exhaust";
}

const char* to_word(Follower follower) {
  switch (follower) {
  case Follower::flat_tappet:
    return "flat tappet";
  case Follower::roller_tappet:
    return "roller tappet";
  case Follower::bucket:
    return "bucket";
  case Follower::finger:
    return "finger";
  }
  return "";
}

} // namespace phasewright
