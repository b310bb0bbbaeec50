// Engines of several layouts for the scene's tests.
#pragma once

#include "support/small_engine.hpp"

#include <cmath>
#include <memory>
#include <string>
#include <vector>

namespace phasewright::testing {

struct NamedEngine {
  std::string name;
  std::shared_ptr<const Engine> engine;
};

inline std::shared_ptr<const Engine> share(Engine engine) {
  return std::make_shared<const Engine>(std::move(engine));
}

// Cylinders that lean away from the camshaft, as they do in an engine that has it in its block.
inline Engine block_cam_engine() {
  Engine engine = small_engine();
  engine.block.cylinder_clock_deg = 38.0;
  return engine;
}

inline Fitted fitted(int lay, double crank_key_deg, double cam_key_deg) {
  Fitted made;
  made.lay = lay;
  made.crank_key_deg = crank_key_deg;
  made.cam_key_deg = cam_key_deg;
  return made;
}

// An overhead camshaft on a long chain, with buckets.
inline Engine bucket_engine() {
  Engine engine = small_engine();
  engine.loops[0].chain.links = 120;
  engine.loops[0].sprockets[1].centre_mm = {0.0, 428.0};
  engine.camshafts[0].inlet->follower = Follower::bucket;
  engine.camshafts[0].exhaust->follower = Follower::bucket;
  engine.camshafts[0].inlet->rocker_ratio = engine.camshafts[0].exhaust->rocker_ratio = 1.0;
  engine.inlet_valve->offset_mm = {-18.0, 0.0};
  engine.exhaust_valve->offset_mm = {18.0, 0.0};
  return engine;
}

// The same camshaft over fingers: rollers, or pads of another radius.
inline Engine finger_engine(double pad_radius_mm) {
  Engine engine = bucket_engine();
  engine.inlet_valve->offset_mm = {-17.0, 0.0};
  engine.exhaust_valve->offset_mm = {17.0, 0.0};
  FingerArms arms;
  arms.pad_radius_mm = pad_radius_mm;
  const double pad_below_mm = engine.camshafts[0].inlet->base_radius_mm + pad_radius_mm;
  arms.pivot_mm = {30.0, -(engine.camshafts[0].inlet->base_radius_mm + 12.0)};
  // The pad's middle a little past the camshaft's, the end over the valve.
  const glm::dvec2 pad{-1.0, -std::sqrt(pad_below_mm * pad_below_mm - 1.0)};
  arms.pad_arm_mm = std::hypot(pad.x - arms.pivot_mm.x, pad.y - arms.pivot_mm.y);
  arms.valve_arm_mm = 44.0;
  arms.valve_arm_deg = -6.0;
  const double side = engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  for (Valve* valve : {&*engine.inlet_valve, &*engine.exhaust_valve})
    valve->offset_mm.y = side * (arms.pivot_mm.x - 44.0 * std::cos(6.0 * 3.14159265358979323846 / 180.0));
  for (ValveGear* gear : {&*engine.camshafts[0].inlet, &*engine.camshafts[0].exhaust}) {
    gear->follower = Follower::finger;
    gear->finger = arms;
    gear->lobe = LobePolynomial{.lift_mm = 5.5, .duration_deg = 330.0, .rise_deg = {}};
  }
  return engine;
}

// Valves that lean apart in pockets of a dome, one camshaft over buckets of both: it stands on both stems' lines.
inline Engine leaning_engine() {
  Engine engine = bucket_engine();
  engine.block.crown = {.shape = CrownShape::domed, .height_mm = 4.0, .radius_mm = 34.0};
  const double flat_mm = 43.5 + 152.0 + 0.46 * 72.0 + engine.block.deck_mm; // block face, as drawn
  double side = -1.0;
  for (Valve* valve : {&*engine.inlet_valve, &*engine.exhaust_valve}) {
    valve->head_mm = 30.0;
    valve->inclination_deg = 4.0 * side;
    valve->closed_height_mm = 7.0;
    valve->offset_mm = {17.5 * side, -side * (428.0 - flat_mm - 7.0) * std::tan(4.0 * 3.14159265358979323846 / 180.0)};
    valve->pocket = {.depth_mm = 2.0, .radius_mm = 17.0};
    side = 1.0;
  }
  return engine;
}

// Rockers by arms that are not square with their valves shut, and valves that lean.
inline Engine rocker_engine() {
  Engine engine = block_cam_engine();
  engine.block.crown = {.shape = CrownShape::dished, .height_mm = 3.0, .radius_mm = 26.0};
  for (ValveGear* gear : {&*engine.camshafts[0].inlet, &*engine.camshafts[0].exhaust})
    gear->rocker = RockerArms{.push_arm_mm = 27.0,
                              .valve_arm_mm = 36.0,
                              .push_arm_deg = -9.0,
                              .valve_arm_deg = -12.0,
                              .pad_radius_mm = gear == &*engine.camshafts[0].inlet ? 7.0 : 15.0};
  engine.inlet_valve->inclination_deg = engine.exhaust_valve->inclination_deg = 6.0;
  engine.inlet_valve->offset_mm = {-18.0, -3.0};
  engine.exhaust_valve->offset_mm = {18.0, -3.0};
  return engine;
}

inline std::vector<NamedEngine> engines() {
  std::vector<NamedEngine> all;
  all.push_back({"pushrod", share(block_cam_engine())});
  Engine leaning = block_cam_engine();
  leaning.block.cylinder_clock_deg = 322.0;
  leaning.rotation = Rotation::anticlockwise;
  leaning.block.pin_offset_mm = 1.2;
  all.push_back({"leaning, anticlockwise, pin offset", share(leaning)});
  Engine triplex = block_cam_engine();
  triplex.loops[0].chain.rows = 3;
  all.push_back({"triplex", share(triplex)});
  Engine odd = block_cam_engine();
  odd.loops[0].chain.links = 53;
  all.push_back({"odd links", share(odd)});
  Engine roller = block_cam_engine();
  for (auto* gear : {&*roller.camshafts[0].inlet, &*roller.camshafts[0].exhaust}) {
    gear->follower = Follower::roller_tappet;
    gear->roller_radius_mm = 9.0;
  }
  all.push_back({"roller tappets", share(roller)});
  all.push_back({"bucket", share(bucket_engine())});
  Engine pockets = block_cam_engine();
  pockets.inlet_valve->head_mm = pockets.exhaust_valve->head_mm = 28.0;
  pockets.inlet_valve->offset_mm = {-17.0, 0.0};
  pockets.exhaust_valve->offset_mm = {17.0, 0.0};
  pockets.inlet_valve->pocket = pockets.exhaust_valve->pocket = {.depth_mm = 2.0, .radius_mm = 15.5};
  all.push_back({"pockets", share(pockets)});
  all.push_back({"roller fingers", share(finger_engine(10.0))});
  all.push_back({"pad fingers", share(finger_engine(30.0))});
  all.push_back({"leaning valves in a dome's pockets", share(leaning_engine())});
  all.push_back({"rockers by their arms", share(rocker_engine())});
  Engine bare = block_cam_engine();
  bare.cam_seats.clear();
  bare.camshafts[0].exhaust.reset();
  bare.inlet_valve.reset();
  bare.exhaust_valve.reset();
  bare.block.cylinders = 1;
  bare.block.firing_order = {1};
  all.push_back({"bare single", share(bare)});
  return all;
}

} // namespace phasewright::testing
