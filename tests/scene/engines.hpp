// Engines of several layouts for the scene's tests.
#pragma once

#include "support/small_engine.hpp"

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
