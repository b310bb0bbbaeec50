// Invented engines with more than two sprockets in a loop, for tests that need them without a file.
#pragma once

#include "support/small_engine.hpp"

namespace phasewright::testing {

// Two camshafts over a long chain: crank, exhaust up the left, inlet across, down the right over a fixed rail; a
// tensioner's shoe outside the strand that leaves the crank. Clockwise.
inline Engine overhead_engine() {
  Engine engine = small_engine();
  Loop& loop = engine.loops[0];
  loop.chain.links = 106;
  const Sprocket like = loop.sprockets[1];
  loop.sprockets[0].teeth = 18;
  loop.sprockets.resize(1);
  for (const char* name : {"exhaust", "inlet"}) {
    Sprocket& sprocket = loop.sprockets.emplace_back(like);
    sprocket.name = std::string(name) + " sprocket";
    sprocket.camshaft = name;
    sprocket.teeth = 36;
  }
  loop.sprockets[1].centre_mm = {-62.0, 300.0};
  loop.sprockets[2].centre_mm = {62.0, 300.0};
  loop.guides = {
      {.strand = {"inlet sprocket", "crank"}, .centre_mm = {361.0, 63.0}, .radius_mm = 300.0, .side = Side::outside}};
  loop.tensioner = Tensioner{.shoe = {.strand = {"crank", "exhaust sprocket"},
                                      .centre_mm = {-263.0, 93.0},
                                      .radius_mm = 200.0,
                                      .side = Side::outside},
                             .push_clock_deg = 90.0,
                             .travel_mm = {0.0, 24.0}};
  const ShaftSeat seat = engine.cam_seats.at("cam");
  engine.cam_seats = {{"exhaust", seat}, {"inlet", seat}};
  Camshaft exhaust = engine.camshafts[0];
  exhaust.name = "exhaust";
  exhaust.inlet.reset();
  Camshaft inlet = engine.camshafts[0];
  inlet.name = "inlet";
  inlet.exhaust.reset();
  engine.camshafts = {exhaust, inlet};
  return engine;
}

// The same engine seen in a mirror: it turns the other way.
inline Engine mirrored(Engine engine) {
  engine.rotation = engine.rotation == Rotation::clockwise ? Rotation::anticlockwise : Rotation::clockwise;
  const auto turned = [](double clock_deg) { return clock_deg == 0.0 ? 0.0 : 360.0 - clock_deg; };
  for (Loop& loop : engine.loops) {
    for (Sprocket& sprocket : loop.sprockets) {
      sprocket.centre_mm.x = -sprocket.centre_mm.x;
      sprocket.mark_clock_deg = turned(sprocket.mark_clock_deg);
    }
    for (Guide& guide : loop.guides) guide.centre_mm.x = -guide.centre_mm.x;
    if (!loop.tensioner) continue;
    loop.tensioner->shoe.centre_mm.x = -loop.tensioner->shoe.centre_mm.x;
    loop.tensioner->push_clock_deg = turned(loop.tensioner->push_clock_deg);
  }
  return engine;
}

// A short chain to a jackshaft, a second from there to the camshaft: 18:27 and 21:28. Clockwise, no tensioners.
inline Engine jackshaft_engine() {
  Engine engine = small_engine();
  const Sprocket cam = engine.loops[0].sprockets[1];
  Loop second = engine.loops[0];
  Loop& first = engine.loops[0];
  first.sprockets[0].teeth = 18;
  first.sprockets[1].name = "jackshaft";
  first.sprockets[1].camshaft.clear();
  first.sprockets[1].teeth = 27;
  first.chain.links = 46;
  second.driven_from = "jackshaft";
  second.sprockets[0].name = "jackshaft outer";
  second.sprockets[0].teeth = 21;
  second.sprockets[0].centre_mm = cam.centre_mm;
  second.sprockets[1].teeth = 28;
  second.sprockets[1].centre_mm = cam.centre_mm + glm::dvec2{30.0, 150.0};
  second.chain.links = 58;
  engine.loops.push_back(second);
  return engine;
}

} // namespace phasewright::testing
