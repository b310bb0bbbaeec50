// Sprockets, keys and plate.
#include "bench/offset_key.hpp"
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// A ghost stands this much behind what it is compared with, so that only what differs shows (unit: mm). Less than keys
// and marks stand out of the face they are in.
constexpr double ghost_behind_mm = 0.1;

// A sprocket that is to be drawn: what the file says of it, where it stands, and what its key is.
struct Drawn {
  const Sprocket& stated;
  const SprocketLayout& layout;
  const SprocketState& state;
  const Apart& apart;
  std::string key;     // "crank key"; empty without one
  std::string key_is;  // "crank key straight"; empty without a key
  std::string step_is; // which way its step faces; empty when straight
};

Drawn drawn(const SceneLayout& layout, const Posed& posed, SprocketPlace place) {
  const Engine& engine = posed.mechanism.engine();
  const SprocketLayout& sprocket = layout.sprocket(place);
  Drawn one{sprocket_at(engine, place), sprocket, posed.at(place), posed.apart, {}, {}, {}};
  if (sprocket.mount != Mount::crank && sprocket.mount != Mount::camshaft) return one;
  const KeyAt at = sprocket.mount == Mount::crank ? KeyAt::crank : KeyAt::cam;
  const double key_deg = key_deg_at(sprocket, engine, posed.mechanism.fitted());
  one.key = shaft_words(layout, sprocket) + " key";
  const std::string words = key_words(at, key_deg); // begins with "crank" or "cam"
  one.key_is = at == KeyAt::crank ? words : shaft_words(layout, sprocket) + words.substr(std::string("cam").size());
  one.step_is = step_words(at, key_deg, sprocket.sense > 0.0 ? Rotation::clockwise : Rotation::anticlockwise,
                           2.0 * sprocket.bore_radius_mm);
  return one;
}

glm::dmat4 on_axis(const SprocketState& state, double clock_deg, double forward_mm = 0.0) {
  glm::dmat4 placement = turned_clock(clock_deg);
  placement[3] = {state.centre_mm + glm::dvec3{0.0, 0.0, forward_mm}, 1.0};
  return placement;
}

void add_mark(const Drawn& one, std::size_t part, double forward_mm, bool ghost, Scene& scene) {
  const glm::dmat4 placement = one.state.out_of_plane *
                               on_axis(one.state, one.state.mark_clock_deg, one.state.apart_mm + forward_mm) *
                               moved({0, one.layout.mark_radius_mm, 0});
  add_instance(scene, one.layout.mark, part, Material::mark, placement, ghost);
}

void add_key(const Drawn& one, std::size_t part, double forward_mm, bool ghost, Scene& scene) {
  if (!one.layout.keyed) return;
  // Both halves go the way the keyway in the shaft points.
  const double shaft_deg = one.state.key.shaft_clock_deg;
  const double out_mm = one.apart.keys_out_mm;
  const glm::dmat4 out = moved({out_mm * sin_deg(shaft_deg), out_mm * cos_deg(shaft_deg), one.apart.keys_mm});
  add_instance(scene, one.layout.key_shaft_half, part, Material::key_steel,
               out * on_axis(one.state, shaft_deg, forward_mm), ghost);
  add_instance(scene, one.layout.key_hub_half, part, Material::key_steel,
               out * on_axis(one.state, one.state.key.drawn_hub_clock_deg, forward_mm), ghost);
}

void add_disc(const Drawn& one, const SceneOptions& options, Scene& scene) {
  const SprocketLayout& layout = one.layout;
  const std::size_t part = add_part(scene, fmt::format("{} sprocket", one.stated.name),
                                    {fmt::format("{} teeth", one.stated.teeth),
                                     "pitch circle " + length_words(options, 2.0 * layout.form.pitch_radius_mm),
                                     "tooth width " + length_words(options, layout.form.width_mm)});
  if (one.stated.wrap == Wrap::outside) scene.parts[part].figures.emplace_back("on the chain's back");
  add_instance(scene, layout.disc, part, Material::sprocket_steel,
               one.state.out_of_plane * on_axis(one.state, one.state.mark_clock_deg, one.state.apart_mm));
  add_instance(scene, layout.ring, part, Material::sprocket_steel,
               one.state.out_of_plane * on_axis(one.state, one.state.key.drawn_hub_clock_deg, one.state.apart_mm));
  if (layout.mark == no_mesh) return;
  const std::size_t mark = add_part(scene, fmt::format("{} mark", one.stated.name),
                                    {one.stated.mark == MarkOn::tooth ? "on a tooth" : "on a gap",
                                     fmt::format("at {:.1f}°", one.state.mark_clock_deg)});
  add_mark(one, mark, 0.0, false, scene);
}

// What it sits on.
void add_shaft(const Drawn& one, const SceneOptions& options, Scene& scene) {
  const SprocketLayout& layout = one.layout;
  const glm::dmat4 placement = on_axis(one.state, one.state.key.shaft_clock_deg);
  if (layout.mount == Mount::idler) {
    add_instance(scene, layout.nose, add_part(scene, fmt::format("{} spindle", one.stated.name), {"stands still"}),
                 Material::shaft_steel, moved({0, 0, one.apart.nuts_mm}) * placement);
    add_instance(scene, layout.bearing, add_part(scene, fmt::format("{} bearing", one.stated.name), {}),
                 Material::spring, moved({0, 0, one.state.apart_mm}) * placement);
    return;
  }
  std::vector<std::string> figures{length_words(options, 2.0 * layout.bore_radius_mm) + " at the sprocket"};
  if (layout.keyed) figures.emplace_back("drawn cut off at its key");
  const std::size_t shaft = add_part(scene, fmt::format("{} shaft", one.stated.name), std::move(figures));
  add_instance(scene, layout.nose, shaft, Material::shaft_steel, placement);
  if (layout.keyed) {
    std::vector<std::string> rows{fmt::format("keyway at {}", clock_words(one.state.key.shaft_clock_deg))};
    if (!one.step_is.empty()) rows.push_back(one.step_is);
    // A name that stays the same whatever key is fitted, for those who look parts up by it.
    if (options.every_part) rows.push_back(one.key_is);
    const std::string& name = options.every_part ? one.key : one.key_is;
    add_key(one, add_part(scene, name, std::move(rows)), 0.0, false, scene);
  }
  if ((options.nuts || one.apart.share > 0.0) && layout.nut != no_mesh) {
    const std::size_t nut = add_part(scene, fmt::format("{} nut", one.stated.name), {"tab washer"});
    add_instance(scene, layout.nut, nut, Material::shaft_steel, moved({0, 0, one.apart.nuts_mm}) * placement);
    add_instance(scene, layout.lock_tab, nut, Material::spring, moved({0, 0, one.apart.lock_tabs_mm}) * placement);
  }
}

// Calls `use(place)` for every sprocket of every loop.
template <class Use>
void each_sprocket(const SceneLayout& layout, Use use) {
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) use(SprocketPlace{l, i});
}

} // namespace

void add_drive(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  if (options.plate) {
    const std::size_t plate = add_part(scene, "backing plate", {});
    add_instance(scene, layout.plate, plate, Material::plate, moved({0, 0, shown.apart.plate_mm}));
  }
  bool stepped = false;
  each_sprocket(layout, [&](SprocketPlace place) {
    const Drawn one = drawn(layout, shown, place);
    add_disc(one, options, scene);
    add_shaft(one, options, scene);
    stepped = stepped || !one.step_is.empty();
  });
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    // A straight-edge comes before the chain, which would hide what it shows.
    if (l > 0 || !options.instruments.straight_edge) add_chain(layout, shown, l, options, scene);
    add_rails(layout, shown, l, options, scene);
  }
  const double times = std::clamp(options.magnify_key_step, 1.0, 10.0);
  if (stepped) confess("key step", times, scene);
}

void add_drive_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ, Scene& scene) {
  each_sprocket(layout, [&](SprocketPlace place) {
    const SprocketLayout& sprocket = layout.sprocket(place);
    const bool moved_itself = differ.sprockets[place.loop][place.sprocket];
    const bool shaft = sprocket.mount == Mount::camshaft && differ.camshafts[sprocket.camshaft];
    if (!moved_itself && !shaft) return;
    const Drawn one = drawn(layout, present, place);
    std::vector<std::string> figures;
    if (!one.key_is.empty()) figures.push_back(one.key_is);
    const std::size_t part = add_part(scene, fmt::format("{} sprocket, present", one.stated.name), std::move(figures));
    if (moved_itself) {
      add_instance(scene, sprocket.disc, part, Material::sprocket_steel,
                   one.state.out_of_plane *
                       on_axis(one.state, one.state.mark_clock_deg, one.state.apart_mm - ghost_behind_mm),
                   true);
      add_mark(one, part, -ghost_behind_mm, true, scene);
    }
    add_key(one, part, -ghost_behind_mm, true, scene);
  });
}

} // namespace phasewright
