// Valve gears of every kind of follower, for tests. All invented.
#pragma once

#include "parts/engine.hpp"

namespace phasewright::testing {

inline ValveGear flat_gear() {
  ValveGear gear;
  gear.centre_deg = 108.0;
  gear.follower = Follower::flat_tappet;
  gear.base_radius_mm = 26.0;
  gear.lobe = LobePolynomial{6.9, 330.0, {}};
  return gear;
}

// Its flanks are hollow.
inline ValveGear roller_gear() {
  ValveGear gear = flat_gear();
  gear.follower = Follower::roller_tappet;
  gear.base_radius_mm = 16.0;
  gear.roller_radius_mm = 9.0;
  gear.lobe = LobePolynomial{7.5, 250.0, {}};
  return gear;
}

// A finger under its camshaft. On the right, it slides on a broad pad; on the left, it carries a roller.
inline ValveGear sliding_finger_gear() {
  ValveGear gear = flat_gear();
  gear.follower = Follower::finger;
  gear.base_radius_mm = 15.0;
  gear.lobe = LobePolynomial{5.6, 320.0, 150.0};
  gear.finger = FingerArms{.pivot_mm = {34.0, -24.0},
                           .pad_arm_mm = 38.5,
                           .pad_radius_mm = 25.0,
                           .valve_arm_mm = 50.0,
                           .valve_arm_deg = -6.0};
  return gear;
}

inline ValveGear roller_finger_gear() {
  ValveGear gear = sliding_finger_gear();
  gear.base_radius_mm = 16.0;
  gear.lobe = LobePolynomial{5.2, 320.0, {}};
  gear.finger = FingerArms{.pivot_mm = {-30.0, -28.0},
                           .pad_arm_mm = 31.0,
                           .pad_radius_mm = 9.0,
                           .valve_arm_mm = 46.0,
                           .valve_arm_deg = -8.0};
  return gear;
}

inline ValveGear rocker_gear() {
  ValveGear gear = flat_gear();
  gear.rocker = RockerArms{
      .push_arm_mm = 28.0, .valve_arm_mm = 40.0, .push_arm_deg = -6.0, .valve_arm_deg = -9.0, .pad_radius_mm = 8.0};
  return gear;
}

} // namespace phasewright::testing
