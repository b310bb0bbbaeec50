// Chains and sprockets, and the planes their loops stand in.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/model.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Between the pins' ends of two loops one in front of the other, and between the last and the backing plate (unit: mm).
constexpr double between_loops_mm = 3.0;
constexpr double to_plate_mm = 2.0;
constexpr double plate_thick_mm = 4.0;

ChainLayout lay_out_chain(const Chain& size) {
  ChainLayout chain;
  // Where a file gives no distance between rows, plates of ordinary thickness are taken.
  const double rows_apart_mm =
      size.transverse_pitch_mm > 1.2 * size.inner_width_mm ? size.transverse_pitch_mm : 1.8 * size.inner_width_mm;
  const double outermost_mm = (size.rows - 1) / 2.0 * rows_apart_mm;
  for (int row = 0; row < size.rows; ++row) chain.rows_mm.push_back(row * rows_apart_mm - outermost_mm);
  // Inner and outer plate share the room between the inner width and half way to the next row.
  const double room_mm = (rows_apart_mm - size.inner_width_mm) / 2.0;
  chain.inner_thick_mm = 0.48 * room_mm;
  chain.outer_thick_mm = 0.42 * room_mm;
  chain.inner_at_mm = size.inner_width_mm / 2.0 + chain.inner_thick_mm / 2.0;
  chain.outer_at_mm = size.inner_width_mm / 2.0 + 0.98 * room_mm - chain.outer_thick_mm / 2.0;
  chain.pin_half_mm = outermost_mm + rows_apart_mm / 2.0 + 0.05 * size.pitch_mm;
  return chain;
}

// Hub, bore and key in the room that the teeth leave. A shaft that no file states, and one too thick for its sprocket,
// are drawn so that a hub is left.
void fit_hub(const ShaftSeat& seat, SprocketLayout& sprocket) {
  const double room_mm = sprocket.form.gap_bottom_radius_mm;
  sprocket.bore_radius_mm = std::min(seat.diameter_mm > 0.0 ? seat.diameter_mm / 2.0 : 0.3 * room_mm, 0.72 * room_mm);
  sprocket.keyed = seat.key.width_mm > 0.0 && seat.key.height_mm > 0.0 && seat.key.diameter_mm > 0.0;
  if (sprocket.keyed) {
    const auto keyway = find_keyway(seat.key);
    sprocket.key_proud_mm = seat.key.height_mm - (keyway ? keyway->shaft_depth_mm : 0.75 * seat.key.height_mm);
  }
  const auto hub_needed_mm = [&] { // round the corners of the keyway
    const glm::dvec2 corner{sprocket.keyed ? seat.key.width_mm / 2.0 : 0.0,
                            sprocket.bore_radius_mm + (sprocket.keyed ? sprocket.key_proud_mm + 0.5 : 0.0)};
    return length2(corner) + 0.8;
  };
  const double greatest_hub_mm = 0.93 * room_mm;
  while (hub_needed_mm() > greatest_hub_mm && sprocket.bore_radius_mm > 0.25 * room_mm) sprocket.bore_radius_mm *= 0.95;
  if (hub_needed_mm() > greatest_hub_mm) sprocket.keyed = false;
  sprocket.hub_radius_mm =
      std::clamp(1.35 * sprocket.bore_radius_mm, std::min(hub_needed_mm(), greatest_hub_mm), greatest_hub_mm);
  sprocket.key_clock_deg = seat.key_clock_deg;
  sprocket.mark_dot_mm = std::min(0.26 * (room_mm - sprocket.hub_radius_mm), 2.4);
  sprocket.mark_radius_mm = room_mm - 1.25 * sprocket.mark_dot_mm;
}

SprocketLayout lay_out_sprocket(const Loop& loop, const Sprocket& stated, const ChainLayout& chain) {
  SprocketLayout sprocket;
  sprocket.form =
      tooth_form(loop.chain.pitch_mm, loop.chain.roller_mm, loop.chain.inner_width_mm, loop.chain.rows, stated.teeth);
  sprocket.centre_mm = stated.centre_mm;
  sprocket.hub_back_mm = chain.rows_mm.front() - sprocket.form.width_mm / 2.0 - 1.0;
  sprocket.hub_front_mm = chain.rows_mm.back() + sprocket.form.width_mm / 2.0 + 0.8;
  return sprocket;
}

// The sprocket of the earliest loop on the same shaft.
SprocketPlace shaft_of(const Engine& engine, SprocketPlace place) {
  while (place.loop > 0 && place.sprocket == 0) {
    const auto driver = find_sprocket(engine, engine.loops[place.loop].driven_from);
    if (!driver || driver->loop >= place.loop) break;
    place = *driver;
  }
  return place;
}

bool drives_a_loop(const Engine& engine, const Sprocket& sprocket) {
  return std::ranges::any_of(
      engine.loops, [&](const Loop& loop) { return !sprocket.name.empty() && loop.driven_from == sprocket.name; });
}

void find_mounts(const Engine& engine, SceneLayout& layout) {
  for (std::size_t l = 0; l < engine.loops.size(); ++l)
    for (std::size_t i = 0; i < engine.loops[l].sprockets.size(); ++i) {
      const Sprocket& stated = engine.loops[l].sprockets[i];
      SprocketLayout& sprocket = layout.loops[l].sprockets[i];
      // A chain's back turns what it drives against what its inside drives.
      const SprocketPlace driver = shaft_of(engine, {l, 0});
      const double before = l == 0 ? layout.running_sign : layout.sprocket(driver).sense;
      sprocket.sense = stated.wrap == Wrap::outside ? -before : before;
      for (std::size_t k = 0; k < engine.camshafts.size(); ++k)
        if (!stated.camshaft.empty() && engine.camshafts[k].name == stated.camshaft) {
          sprocket.mount = Mount::camshaft;
          sprocket.camshaft = k;
        }
      if (sprocket.mount == Mount::camshaft) continue;
      if (l == 0 && i == 0)
        sprocket.mount = Mount::crank;
      else if (is_marked(engine, {l, i}))
        sprocket.mount = Mount::shaft;
    }
}

// The seats that files state: the crank's, and those of the camshafts' own sprockets. Others on those shafts are as
// thick, without a key; any other shaft is as thick as its smallest sprocket leaves room for.
void fit_hubs(const Engine& engine, SceneLayout& layout) {
  const auto seat_of = [&](SprocketPlace place) -> ShaftSeat {
    const SprocketLayout& sprocket = layout.sprocket(place);
    if (sprocket.mount == Mount::crank) return engine.crank_seat;
    if (sprocket.mount != Mount::camshaft) return {};
    const auto found = engine.cam_seats.find(engine.camshafts[sprocket.camshaft].name);
    return found == engine.cam_seats.end() ? ShaftSeat{} : found->second;
  };
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      SprocketLayout& sprocket = layout.loops[l].sprockets[i];
      ShaftSeat seat = seat_of({l, i});
      if (sprocket.mount == Mount::shaft) {
        const SprocketPlace shaft = shaft_of(engine, {l, i});
        seat.diameter_mm = seat_of(shaft).diameter_mm;
        double room_mm = sprocket.form.gap_bottom_radius_mm;
        for (std::size_t k = 1; k < layout.loops.size(); ++k)
          if (shaft_of(engine, {k, 0}) == shaft)
            room_mm = std::min(room_mm, layout.loops[k].sprockets[0].form.gap_bottom_radius_mm);
        if (seat.diameter_mm == 0.0)
          seat.diameter_mm = 0.9 * std::min(room_mm, layout.sprocket(shaft).form.gap_bottom_radius_mm);
      }
      fit_hub(seat, sprocket);
    }
}

struct Extents {
  glm::dvec2 low{1e300};
  glm::dvec2 high{-1e300};
};

Extents extents_of(const LoopLayout& loop) {
  Extents extents;
  for (const SprocketLayout& sprocket : loop.sprockets) {
    extents.low = glm::min(extents.low, sprocket.centre_mm - 1.1 * sprocket.form.tip_radius_mm);
    extents.high = glm::max(extents.high, sprocket.centre_mm + 1.1 * sprocket.form.tip_radius_mm);
  }
  return extents;
}

bool in_the_way(const LoopLayout& a, const LoopLayout& b) {
  if (std::fabs(a.z_mm - b.z_mm) >= a.chain.pin_half_mm + b.chain.pin_half_mm + 0.99 * between_loops_mm) return false;
  const Extents x = extents_of(a);
  const Extents y = extents_of(b);
  return x.low.x < y.high.x && y.low.x < x.high.x && x.low.y < y.high.y && y.low.y < x.high.y;
}

// A later loop stands in front of the one that drives it, or behind it where it would hide a key.
void choose_planes(const Engine& engine, SceneLayout& layout) {
  for (std::size_t l = 1; l < layout.loops.size(); ++l) {
    LoopLayout& loop = layout.loops[l];
    const auto driver = find_sprocket(engine, engine.loops[l].driven_from);
    if (!driver || driver->loop >= l) continue;
    const LoopLayout& before = layout.loops[driver->loop];
    const Mount mount = layout.sprocket(shaft_of(engine, *driver)).mount;
    const double way = mount == Mount::crank || mount == Mount::camshaft ? -1.0 : 1.0;
    loop.z_mm = before.z_mm + way * (before.chain.pin_half_mm + between_loops_mm + loop.chain.pin_half_mm);
    for (std::size_t k = 0; k < l; ++k)
      if (in_the_way(loop, layout.loops[k])) {
        const LoopLayout& other = layout.loops[k];
        loop.z_mm = other.z_mm + way * (other.chain.pin_half_mm + between_loops_mm + loop.chain.pin_half_mm);
        k = static_cast<std::size_t>(-1); // and it may now be in another's way
      }
  }
}

// Each shaft's nose goes from the plate, or from the sprocket behind it on the same shaft, to its sprocket's front.
void reach_back(const Engine& engine, SceneLayout& layout) {
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      LoopLayout& loop = layout.loops[l];
      SprocketLayout& sprocket = loop.sprockets[i];
      double from_mm = sprocket.mount == Mount::idler ? layout.plate_front_mm : layout.plate_back_mm;
      const SprocketPlace shaft = shaft_of(engine, {l, i});
      for (std::size_t k = 0; k < layout.loops.size(); ++k)
        for (std::size_t j = 0; j < layout.loops[k].sprockets.size(); ++j) {
          const LoopLayout& other = layout.loops[k];
          if ((k == l && j == i) || shaft_of(engine, {k, j}) != shaft) continue;
          if (other.z_mm < loop.z_mm)
            from_mm = std::max(from_mm, other.z_mm + other.sprockets[j].hub_front_mm);
          else
            sprocket.in_front = false;
        }
      sprocket.nose_back_mm = from_mm - loop.z_mm;
    }
}

} // namespace

bool is_marked(const Engine& engine, SprocketPlace place) {
  const Sprocket& sprocket = sprocket_at(engine, place);
  if (place.sprocket == 0 || !sprocket.camshaft.empty() || drives_a_loop(engine, sprocket)) return true;
  return sprocket.mark_stated || sprocket.mark != MarkOn::tooth ||
         sprocket.mark_clock_deg != 0.0; // a magneto, a timed pump
}

void lay_out_loops(const Engine& engine, SceneLayout& layout) {
  for (const Loop& stated : engine.loops) {
    LoopLayout loop;
    loop.chain = lay_out_chain(stated.chain);
    for (const Sprocket& sprocket : stated.sprockets)
      loop.sprockets.push_back(lay_out_sprocket(stated, sprocket, loop.chain));
    layout.loops.push_back(std::move(loop));
  }
  find_mounts(engine, layout);
  fit_hubs(engine, layout);
  choose_planes(engine, layout);
  double last_mm = 0.0;
  for (const LoopLayout& loop : layout.loops) last_mm = std::min(last_mm, loop.z_mm - loop.chain.pin_half_mm);
  layout.plate_front_mm = last_mm - to_plate_mm;
  layout.plate_back_mm = layout.plate_front_mm - plate_thick_mm;
  reach_back(engine, layout);
}

} // namespace phasewright
