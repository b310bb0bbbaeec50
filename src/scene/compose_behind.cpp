// Shims behind the crank sprocket, and the plates that hold camshafts back.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace phasewright {

namespace {

double magnified(const SceneOptions& options, double true_mm, double room_mm) {
  const double wanted = std::clamp(options.magnify_gaps, 1.0, 10.0);
  return true_mm > 0.0 ? std::min(wanted, room_mm / true_mm) : 1.0;
}

glm::dmat4 on_shaft(const SprocketState& state, double z_mm) {
  return moved({glm::dvec2(state.centre_mm), z_mm});
}

void add_shims(const SprocketLayout& sprocket, const SceneLayout& layout, const Posed& shown,
               const SceneOptions& options, Scene& scene) {
  const std::vector<double>& pieces = shown.mechanism.fitted().shim_mm;
  const double sum_mm = std::accumulate(pieces.begin(), pieces.end(), 0.0);
  if (sprocket.shim_room_mm == 0.0 || !(sum_mm > 0.0)) return;
  // The crank's sprocket gone back for its gap takes them with it.
  const bool gone_back = shown.gap && shown.gap->under == 0;
  const double times = gone_back ? shown.gap->times : magnified(options, sum_mm, sprocket.shim_room_mm - left_free_mm);
  const SprocketState& state = shown.at({0, 0});
  const double front_mm = state.centre_mm.z + sprocket.hub_back_mm;
  double at_mm = front_mm - times * sum_mm;
  add_instance(scene, sprocket.shoulder, add_part(scene, "crank shaft's shoulder", {}), Material::shaft_steel,
               state.out_of_plane * on_shaft(state, at_mm));
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const std::size_t part = add_part(scene, "crank shim", {length_words(options, pieces[i]) + " thick"});
    add_leaves(scene, layout.shim_leaves, part, i % 2 == 0 ? Material::chain_roller : Material::spring,
               state.out_of_plane * on_shaft(state, at_mm + shown.apart.shims_mm), times * pieces[i]);
    at_mm += times * pieces[i];
  }
  confess("shims", times, scene);
}

// As read, as the parts make it, or the middle of what the maker allows.
std::optional<double> float_mm(const Engine& engine, const SprocketLayout& sprocket, const SceneOptions& options) {
  if (options.instruments.end_float_mm && sprocket.camshaft == options.camshaft.value_or(0))
    return options.instruments.end_float_mm;
  const auto seat = engine.cam_seats.find(engine.camshafts[sprocket.camshaft].name);
  if (seat == engine.cam_seats.end()) return std::nullopt;
  if (seat->second.plate_mm && seat->second.boss_mm) return *seat->second.boss_mm - *seat->second.plate_mm;
  if (seat->second.end_float_mm) return (seat->second.end_float_mm->front() + seat->second.end_float_mm->back()) / 2.0;
  return std::nullopt;
}

double true_float_mm(const std::optional<double>& stated_mm) {
  constexpr double taken_mm = 0.1; // where nothing is known of it
  return std::max(stated_mm.value_or(taken_mm), 0.0);
}

// All camshafts' end float so many times as large, as the one with the least room allows.
double float_times(const SceneLayout& layout, const Engine& engine, const SceneOptions& options) {
  if (!options.instruments.dial_at_end) return 1.0;
  std::optional<double> times;
  for (const LoopLayout& loop : layout.loops)
    for (const SprocketLayout& sprocket : loop.sprockets) {
      if (sprocket.retainer == no_mesh) continue;
      const double room_mm = sprocket.retainer_room_mm - sprocket.retainer_thick_mm - left_free_mm;
      const double own = magnified(options, true_float_mm(float_mm(engine, sprocket, options)), room_mm);
      times = std::min(times.value_or(own), own);
    }
  return times.value_or(1.0);
}

void add_retainer(const SprocketLayout& sprocket, const SceneLayout& layout, const Posed& shown, double times,
                  const SprocketState& state, const SceneOptions& options, Scene& scene) {
  const Engine& engine = shown.mechanism.engine();
  const std::optional<double> stated_mm = float_mm(engine, sprocket, options);
  const double true_mm = true_float_mm(stated_mm);
  std::vector<std::string> figures;
  const auto seat = engine.cam_seats.find(engine.camshafts[sprocket.camshaft].name);
  if (seat != engine.cam_seats.end() && seat->second.plate_mm)
    figures.push_back(length_words(options, *seat->second.plate_mm) + " thick");
  if (!sprocket.retainer_to_size) figures.emplace_back("thickness as drawn is chosen");
  if (stated_mm)
    figures.push_back("end float " + length_words(options, *stated_mm));
  else
    figures.emplace_back("end float not stated");
  const std::string& words = layout.camshafts[sprocket.camshaft].words;
  const std::size_t part = add_part(scene, words + " retaining plate", std::move(figures));
  const double front_mm = layout.plate_front_mm;
  add_instance(scene, sprocket.retainer, part, Material::cast, on_shaft(state, front_mm + shown.apart.retainers_mm));
  add_instance(scene, sprocket.shoulder, add_part(scene, words + " shaft's shoulder", {}), Material::shaft_steel,
               on_shaft(state, front_mm));
  // A sprocket that has gone back for its gap has so much less of a boss: this one stays where the plate stops it, and
  // the hub goes over it.
  add_instance(scene, sprocket.boss, add_part(scene, words + " sprocket's boss", {"runs against the retaining plate"}),
               Material::sprocket_steel,
               on_shaft(state, front_mm + sprocket.retainer_thick_mm + times * true_mm + state.apart_mm));
}

} // namespace

void confess(const char* what, double times, Scene& scene) {
  constexpr double as_is = 1e-9;
  if (std::fabs(times - 1.0) > as_is) scene.confessions.push_back(fmt::format("{} shown ×{:.2g}", what, times));
}

void add_leaves(Scene& scene, const std::array<std::size_t, 3>& leaves, std::size_t part, Material material,
                const glm::dmat4& placement, double thick_mm) {
  std::size_t size = 0;
  while (size + 1 < leaf_mm.size() && leaf_mm[size + 1] <= thick_mm) ++size;
  const double leaf = leaf_mm[size];
  const double last_mm = std::max(thick_mm - leaf, 0.0);
  const int steps = static_cast<int>(std::ceil(last_mm / leaf - 1e-9));
  for (int i = 0; i <= steps; ++i)
    add_instance(scene, leaves[size], part, material,
                 placement * moved({0, 0, steps == 0 ? 0.0 : last_mm * i / steps}));
}

void add_behind(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const double times = float_times(layout, shown.mechanism.engine(), options);
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      const SprocketLayout& sprocket = layout.loops[l].sprockets[i];
      if (sprocket.mount == Mount::crank && l == 0) add_shims(sprocket, layout, shown, options, scene);
      if (sprocket.retainer != no_mesh) add_retainer(sprocket, layout, shown, times, shown.at({l, i}), options, scene);
    }
  confess("end float", times, scene);
}

} // namespace phasewright
