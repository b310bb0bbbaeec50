#include "benchmark/twin_cam.hpp"

#include "reference/loops_geometry.hpp"
#include "support/small_engine.hpp"

#include <cmath>

namespace phasewright::benchmark {

using namespace phasewright::testing;

namespace {

constexpr double travelled_anticlockwise = 1.0;

Sprocket sprocket(const char* name, int teeth, glm::dvec2 centre_mm, const char* camshaft) {
  Sprocket made;
  made.name = name;
  made.teeth = teeth;
  made.centre_mm = centre_mm;
  made.camshaft = camshaft;
  return made;
}

// The loop with its camshafts so high above the crank, and how many pitches its way is long.
double build(Loop& loop, int size, double height_mm) {
  const double scale = size;
  loop.sprockets = {sprocket("crank", 12 * size, {0.0, 0.0}, ""),
                    sprocket("cam", 24 * size, scale * glm::dvec2{37.0, height_mm}, "cam"),
                    sprocket("second cam", 24 * size, scale * glm::dvec2{-37.0, height_mm}, "second cam")};
  loop.guides.clear();
  loop.tensioner.reset();
  const Way bare = way_of(loop, travelled_anticlockwise, loop.chain.pitch_mm).value();
  // A face on the middle of a strand, so far past the straight chain.
  const auto face = [&](std::size_t strand, double radius_mm, double depth_mm) {
    const Leg& leg = bare.legs[strand];
    const glm::dvec2 way =
        (leg.to_mm - leg.from_mm) / std::hypot(leg.to_mm.x - leg.from_mm.x, leg.to_mm.y - leg.from_mm.y);
    Guide rail;
    rail.strand = {loop.sprockets[strand].name, loop.sprockets[(strand + 1) % 3].name};
    rail.radius_mm = radius_mm;
    rail.centre_mm = 0.5 * (leg.from_mm + leg.to_mm) +
                     (radius_mm + loop.chain.plate_height_mm / 2.0 - depth_mm) * glm::dvec2{way.y, -way.x};
    return rail;
  };
  loop.guides = {face(2, 300.0 * scale, 1.0 * scale)};
  Tensioner tensioner;
  tensioner.shoe = face(0, 40.0 * scale, 0.0);
  tensioner.push_clock_deg = 270.0;
  tensioner.travel_mm = {0.0, 25.0 * scale};
  const double pitches_long =
      pitches(way_of(loop, travelled_anticlockwise, loop.chain.pitch_mm).value(), loop.chain.pitch_mm);
  loop.tensioner = tensioner;
  return pitches_long;
}

} // namespace

Engine twin_cam_engine(int size) {
  Engine engine = small_engine();
  engine.rotation = Rotation::anticlockwise;
  Loop& loop = engine.loops[0];
  loop.chain.iso606.clear();
  loop.chain.pitch_mm = 8.0;
  loop.chain.roller_mm = 5.0;
  loop.chain.plate_height_mm = 7.1;
  // So high that an even number of links leaves the tensioner about half a pitch to take up.
  double height_mm = 110.0;
  double over = build(loop, size, height_mm);
  while (std::fabs(std::remainder(over + 0.5, 2.0)) > 0.1) over = build(loop, size, height_mm += 0.1);
  loop.chain.links = 2 * static_cast<int>(std::lround((over + 0.5) / 2.0));

  engine.camshafts.push_back(engine.camshafts[0]);
  engine.camshafts[1].name = "second cam";
  engine.cam_seats["second cam"] = engine.cam_seats["cam"];
  engine.camshafts[0].exhaust.reset();
  engine.camshafts[1].inlet.reset();
  return engine;
}

} // namespace phasewright::benchmark
