// The section through a keyway.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/section.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

bool goes_right(const SprocketState& state) { // clockwise of the keyway, +x of its frame
  return sin_deg(state.key.shaft_clock_deg) <= 1e-9;
}

bool is_chain(Material material) {
  return material == Material::chain_plate || material == Material::taut_plate || material == Material::chain_roller;
}

// Rings that are placed without a turn: they are the same all round, and are turned so that they are cut where the
// shaft is.
bool is_ring(const SceneLayout& layout, const SprocketLayout& sprocket, std::size_t mesh) {
  return mesh == sprocket.shoulder || mesh == sprocket.boss ||
         (sprocket.shim_room_mm > 0.0 && std::ranges::find(layout.shim_leaves, mesh) != layout.shim_leaves.end());
}

bool sits_there(const SceneLayout& layout, const SprocketLayout& sprocket, std::size_t mesh) {
  for (const std::size_t own :
       {sprocket.disc, sprocket.ring, sprocket.nose, sprocket.key_shaft_half, sprocket.key_hub_half})
    if (mesh == own) return true;
  return is_ring(layout, sprocket, mesh);
}

} // namespace

SprocketPlace place_of(const SceneLayout& layout, std::optional<std::size_t> camshaft) {
  if (camshaft && *camshaft < layout.camshafts.size())
    return layout.camshafts[*camshaft].sprocket.value_or(SprocketPlace{});
  return {};
}

glm::dvec2 toward_cut(const SprocketState& state) {
  const double clock_deg = state.key.shaft_clock_deg + (goes_right(state) ? 90.0 : -90.0);
  return {sin_deg(clock_deg), cos_deg(clock_deg)};
}

void add_section(SceneLayout& layout, std::vector<Mesh>& meshes, std::size_t mesh, const std::vector<Mesh>& pieces,
                 double keyway_deg, double hatch_deg, double apart_mm) {
  const glm::dmat4 to_keyway = turned_clock(-keyway_deg);
  const glm::dmat4 back = turned_clock(keyway_deg);
  CutMesh& cut = layout.cuts[mesh];
  for (const CutAway away : {CutAway::left, CutAway::right}) {
    const auto side = static_cast<std::size_t>(away);
    Mesh left;
    for (const Mesh& piece : pieces) {
      Mesh turned;
      append(turned, piece, to_keyway);
      const Section section = cut_through(turned, away, hatch_deg, apart_mm);
      append(left, section.mesh, back);
      for (const auto& [a, b] : section.hatching)
        cut.hatching[side].push_back({glm::dvec3(back * glm::dvec4(a, 1.0)), glm::dvec3(back * glm::dvec4(b, 1.0))});
    }
    left.whole = true;
    cut.mesh[side] = add_mesh(meshes, std::move(left));
  }
}

void take_away(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const SprocketPlace place = place_of(layout, options.camshaft);
  const SprocketLayout& sprocket = layout.sprocket(place);
  if (!sprocket.keyed) {
    scene.confessions.emplace_back("no section: there is no key to cut through");
    return;
  }
  const SprocketState& state = shown.at(place);
  const auto side = static_cast<std::size_t>(goes_right(state) ? CutAway::right : CutAway::left);
  const glm::dvec2 before = toward_cut(state);
  const double pitch_mm = shown.mechanism.engine().loops[place.loop].chain.pitch_mm;
  const auto stands_before = [&](const Instance& instance) {
    const glm::dvec2 from_axis = glm::dvec2(instance.placement[3]) - glm::dvec2(state.centre_mm);
    const bool in_plane = std::fabs(instance.placement[3].z - state.centre_mm.z) < 0.5;
    const bool of_chain = is_chain(instance.material) && in_plane && shown.apart.share == 0.0 &&
                          length2(from_axis) < sprocket.form.tip_radius_mm + 0.5 * pitch_mm;
    return (of_chain || instance.mesh == sprocket.mark) && dot2(from_axis, before) > 0.0;
  };
  std::erase_if(scene.instances, [&](const Instance& instance) {
    return !instance.ghost && (stands_before(instance) || instance.mesh == sprocket.retainer);
  });
  for (Instance& instance : scene.instances) {
    if (instance.ghost || !sits_there(layout, sprocket, instance.mesh)) continue;
    const auto cut = layout.cuts.find(instance.mesh);
    if (cut == layout.cuts.end()) continue;
    if (is_ring(layout, sprocket, instance.mesh))
      instance.placement = instance.placement * turned_clock(state.key.shaft_clock_deg);
    instance.mesh = cut->second.mesh[side];
    for (const auto& [a, b] : cut->second.hatching[side])
      scene.strokes.push_back(
          {{glm::dvec3(instance.placement * glm::dvec4(a, 1.0)), glm::dvec3(instance.placement * glm::dvec4(b, 1.0))},
           instance.material == Material::key_steel ? Tone::quiet : Tone::ink, // the key has the colour of ink
           1.0f,
           StrokeStyle::solid});
  }
  scene.confessions.push_back(
      fmt::format("section: {} shaft, key and sprocket cut through their keyways", shaft_words(layout, sprocket)));
}

} // namespace phasewright
