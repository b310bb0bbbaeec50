#include "parts/engine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

namespace phasewright {

const Camshaft* find_camshaft(const Engine& engine, const std::string& name) {
  const auto found = std::ranges::find(engine.camshafts, name, &Camshaft::name);
  return found == engine.camshafts.end() ? nullptr : &*found;
}

namespace {

template <class Wanted>
std::optional<SprocketPlace> first_sprocket(const Engine& engine, Wanted wanted) {
  for (std::size_t loop = 0; loop < engine.loops.size(); ++loop)
    for (std::size_t i = 0; i < engine.loops[loop].sprockets.size(); ++i)
      if (wanted(engine.loops[loop].sprockets[i])) return SprocketPlace{loop, i};
  return std::nullopt;
}

} // namespace

std::optional<SprocketPlace> find_sprocket(const Engine& engine, const std::string& name) {
  return first_sprocket(engine, [&name](const Sprocket& sprocket) { return sprocket.name == name; });
}

std::optional<SprocketPlace> find_cam_sprocket(const Engine& engine, const std::string& camshaft) {
  if (camshaft.empty()) return std::nullopt;
  return first_sprocket(engine, [&camshaft](const Sprocket& sprocket) { return sprocket.camshaft == camshaft; });
}

std::string loop_key(std::size_t loop) {
  return loop == 0 ? "" : fmt::format("stage[{}].", loop);
}

std::string sprocket_key(SprocketPlace place) {
  return fmt::format("{}sprocket[{}]", loop_key(place.loop), place.sprocket + 1);
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

Rotation camshaft_rotation(const Engine& engine, const std::string& camshaft) {
  SprocketPlace place = *find_cam_sprocket(engine, camshaft);
  bool with_crank = sprocket_at(engine, place).wrap == Wrap::inside;
  while (place.loop > 0) {
    place = *find_sprocket(engine, engine.loops[place.loop].driven_from);
    with_crank = with_crank == (sprocket_at(engine, place).wrap == Wrap::inside);
  }
  if (with_crank) return engine.rotation;
  return engine.rotation == Rotation::clockwise ? Rotation::anticlockwise : Rotation::clockwise;
}

} // namespace phasewright
