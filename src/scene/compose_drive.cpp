// Sprockets, keys, chain and plate.
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

double hole_pair_deg(const Fitted& fitted) {
  if (fitted.vernier.hub_holes == 0 || fitted.vernier.sprocket_holes == 0) return 0.0;
  return wrap_180(360.0 * fitted.holes.hub_hole / fitted.vernier.hub_holes -
                  360.0 * fitted.holes.sprocket_hole / fitted.vernier.sprocket_holes);
}

// The angle whose step is so many times as large. Past a quarter turn a key has no step to draw.
double magnified_deg(double key_deg, double times) {
  constexpr double most_deg = 60.0;
  const double sine = std::clamp(times * sin_deg(key_deg), -sin_deg(most_deg), sin_deg(most_deg));
  return times == 1.0 ? key_deg : degrees(std::asin(sine));
}

glm::dmat4 on_axis(glm::dvec2 centre_mm, double clock_deg, double z_mm = 0.0) {
  glm::dmat4 placement = turned_clock(clock_deg);
  placement[3] = {centre_mm, z_mm, 1.0};
  return placement;
}

struct SprocketState {
  const Sprocket& stated;
  const SprocketLayout& layout;
  glm::dvec2 centre_mm;
  double mark_clock_deg;
  const KeyPose& key;
  std::string key_is;  // "crank key straight"
  std::string step_is; // which way its step faces; empty when straight
};

SprocketState crank_state(const SceneLayout& layout, const Posed& posed) {
  const Engine& engine = posed.mechanism.engine();
  const double key_deg = posed.mechanism.fitted().crank_key_deg;
  return {engine.loops[0].sprockets[0],
          layout.crank,
          layout.crank.centre_mm,
          posed.pose.drive.loops[0].sprockets[0].mark_clock_deg,
          posed.crank_key,
          key_words(KeyAt::crank, key_deg),
          step_words(KeyAt::crank, key_deg, engine.rotation, 2.0 * layout.crank.bore_radius_mm)};
}

SprocketState cam_state(const SceneLayout& layout, const Posed& posed) {
  const Engine& engine = posed.mechanism.engine();
  const double key_deg = posed.mechanism.fitted().cam_key_deg;
  return {engine.loops[0].sprockets[1],
          layout.cam,
          posed.cam_centre_mm,
          posed.pose.drive.loops[0].sprockets[1].mark_clock_deg,
          posed.cam_key,
          key_words(KeyAt::cam, key_deg),
          step_words(KeyAt::cam, key_deg, engine.rotation, 2.0 * layout.cam.bore_radius_mm)};
}

void add_mark(const SprocketState& state, std::size_t part, double z_mm, bool ghost, Scene& scene) {
  const glm::dmat4 placement =
      on_axis(state.centre_mm, state.mark_clock_deg, z_mm) * moved({0, state.layout.mark_radius_mm, 0});
  add_instance(scene, state.layout.mark, part, Material::mark, placement, ghost);
}

void add_key(const SprocketState& state, std::size_t part, double z_mm, bool ghost, Scene& scene) {
  if (!state.layout.keyed) return;
  add_instance(scene, state.layout.key_shaft_half, part, Material::key_steel,
               on_axis(state.centre_mm, state.key.shaft_clock_deg, z_mm), ghost);
  add_instance(scene, state.layout.key_hub_half, part, Material::key_steel,
               on_axis(state.centre_mm, state.key.drawn_hub_clock_deg, z_mm), ghost);
}

void add_sprocket(const SprocketState& state, const SceneOptions& options, Scene& scene) {
  const SprocketLayout& layout = state.layout;
  const std::size_t part = add_part(scene, fmt::format("{} sprocket", state.stated.name),
                                    {fmt::format("{} teeth", state.stated.teeth),
                                     fmt::format("pitch circle {:.2f} mm", 2.0 * layout.form.pitch_radius_mm),
                                     fmt::format("tooth width {:.2f} mm", layout.form.width_mm)});
  add_instance(scene, layout.disc, part, Material::sprocket_steel, on_axis(state.centre_mm, state.mark_clock_deg));
  add_instance(scene, layout.ring, part, Material::sprocket_steel,
               on_axis(state.centre_mm, state.key.drawn_hub_clock_deg));

  const std::size_t mark = add_part(scene, fmt::format("{} mark", state.stated.name),
                                    {state.stated.mark == MarkOn::tooth ? "on a tooth" : "on a gap",
                                     fmt::format("at {:.1f}°", state.mark_clock_deg)});
  add_mark(state, mark, 0.0, false, scene);

  const std::size_t shaft =
      add_part(scene, fmt::format("{} shaft", state.stated.name),
               {fmt::format("{:.1f} mm at the sprocket", 2.0 * layout.bore_radius_mm), "drawn cut off at its key"});
  add_instance(scene, layout.nose, shaft, Material::shaft_steel, on_axis(state.centre_mm, state.key.shaft_clock_deg));
  if (layout.keyed) {
    std::vector<std::string> figures{fmt::format("keyway at {}", clock_words(state.key.shaft_clock_deg))};
    if (!state.step_is.empty()) figures.push_back(state.step_is);
    add_key(state, add_part(scene, state.key_is, std::move(figures)), 0.0, false, scene);
  }
  if (options.nuts) {
    const std::size_t nut = add_part(scene, fmt::format("{} nut", state.stated.name), {"tab washer"});
    const glm::dmat4 placement = on_axis(state.centre_mm, state.key.shaft_clock_deg);
    add_instance(scene, layout.nut, nut, Material::shaft_steel, placement);
    add_instance(scene, layout.lock_tab, nut, Material::spring, placement);
  }
}

void add_chain(const SceneLayout& layout, const Posed& posed, Scene& scene) {
  const DrivePose& drive = posed.pose.drive;
  const Chain& size = posed.mechanism.engine().loops[0].chain;
  const ChainLayout& chain = layout.chain;
  std::vector<std::string> figures{fmt::format("{} links of {:.3f} mm", size.links, size.pitch_mm)};
  if (posed.mechanism.fitted().elongation_percent != 0.0)
    figures.push_back(fmt::format("worn {:.2f} %", posed.mechanism.fitted().elongation_percent));
  const std::size_t seated =
      add_part(scene, size.iso606.empty() ? "chain" : fmt::format("chain {}", size.iso606), figures);
  std::size_t taut = seated;
  std::size_t slack = seated;
  for (const StrandPose& strand : drive.loops[0].strands) {
    if (strand.state == StrandState::taut)
      taut = add_part(scene, "taut strand",
                      {fmt::format("{} links", strand.links), fmt::format("{:.2f} mm", strand.span_mm)});
    else
      slack = add_part(scene, "slack strand",
                       {fmt::format("{:.2f} mm spare", strand.slack_mm), fmt::format("{:.1f} mm bow", strand.bow_mm)});
  }
  const std::size_t count = drive.loops[0].pins_mm.size();
  const auto on_strand = [&](std::size_t link) -> const StrandPose* {
    for (const StrandPose& strand : drive.loops[0].strands)
      if ((link + count - strand.first_pin) % count < static_cast<std::size_t>(strand.links)) return &strand;
    return nullptr;
  };
  for (std::size_t i = 0; i < count; ++i) {
    const glm::dvec2 pin = drive.loops[0].pins_mm[i];
    const glm::dvec2 next = drive.loops[0].pins_mm[(i + 1) % count];
    const glm::dvec2 way = (next - pin) / length2(next - pin);
    const StrandPose* strand = on_strand(i);
    const bool is_taut = strand != nullptr && strand->state == StrandState::taut;
    const std::size_t part = strand == nullptr ? seated : is_taut ? taut : slack;
    glm::dmat4 placement(1.0);
    placement[3] = {pin, 0.0, 1.0};
    add_instance(scene, chain.roller, part, Material::chain_roller, placement);
    add_instance(scene, chain.pin, part, Material::chain_roller, placement);
    placement[0] = {way, 0.0, 0.0};
    placement[1] = {left_of(way), 0.0, 0.0};
    placement[3] = {(pin + next) / 2.0, 0.0, 1.0};
    // Link 0 is an inner one. With an odd number of links the last one comes after an outer link and meets link 0: its
    // left end is an inner link's, its right end an outer one's.
    const bool closes_odd = count % 2 != 0 && i + 1 == count;
    const std::size_t plates = closes_odd ? chain.cranked_plates : i % 2 == 0 ? chain.inner_plates : chain.outer_plates;
    add_instance(scene, plates, part, is_taut ? Material::taut_plate : Material::chain_plate, placement);
  }
}

} // namespace

Posed pose_for_scene(const Mechanism& mechanism, const SceneLayout& layout, const SceneOptions& options) {
  Posed posed{mechanism, mechanism.pose(options.crank_deg), {}, {}, layout.cam.centre_mm};
  const Fitted& fitted = mechanism.fitted();
  const glm::dvec2 apart = layout.cam.centre_mm - layout.crank.centre_mm;
  posed.cam_centre_mm += apart * (fitted.centre_change_mm / length2(apart));
  const double times = std::clamp(options.magnify_key_step, 1.0, 10.0);
  const double sign = layout.running_sign;

  // Crank: the sprocket half leads the shaft half by the key's angle.
  KeyPose& crank = posed.crank_key;
  crank.shaft_clock_deg = wrap_360(layout.crank.key_clock_deg + sign * options.crank_deg);
  crank.hub_clock_deg = wrap_360(crank.shaft_clock_deg + sign * fitted.crank_key_deg);
  crank.drawn_hub_clock_deg = wrap_360(crank.shaft_clock_deg + sign * magnified_deg(fitted.crank_key_deg, times));

  // Cam: the shaft half leads the sprocket half.
  KeyPose& cam = posed.cam_key;
  const double hub_turned_deg =
      posed.pose.drive.loops[0].sprockets[1].turned_deg + hole_pair_deg(fitted) + fitted.slot_deg;
  cam.hub_clock_deg = wrap_360(layout.cam.key_clock_deg + sign * hub_turned_deg);
  cam.shaft_clock_deg = wrap_360(cam.hub_clock_deg + sign * fitted.cam_key_deg);
  cam.drawn_hub_clock_deg = wrap_360(cam.shaft_clock_deg - sign * magnified_deg(fitted.cam_key_deg, times));
  return posed;
}

Differences differences(const Posed& shown, const Posed& present) {
  const DrivePose& a = shown.pose.drive;
  const DrivePose& b = present.pose.drive;
  const auto differ = [](double p, double q) { return std::fabs(wrap_180(p - q)) > same_deg; };
  Differences found;
  found.crank = differ(a.loops[0].sprockets[0].turned_deg, b.loops[0].sprockets[0].turned_deg);
  found.cam = differ(a.loops[0].sprockets[1].turned_deg, b.loops[0].sprockets[1].turned_deg) ||
              length2(shown.cam_centre_mm - present.cam_centre_mm) > 1e-3;
  found.camshaft = !a.camshafts.empty() &&
                   differ(shown.mechanism.drive().phase_deg() / 2.0, present.mechanism.drive().phase_deg() / 2.0);
  return found;
}

void add_drive(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  if (options.plate) {
    const std::size_t plate = add_part(scene, "backing plate", {});
    add_instance(scene, layout.plate, plate, Material::plate, glm::dmat4(1.0));
  }
  add_sprocket(crank_state(layout, shown), options, scene);
  add_sprocket(cam_state(layout, shown), options, scene);
  add_chain(layout, shown, scene);
  const Fitted& fitted = shown.mechanism.fitted();
  const double times = std::clamp(options.magnify_key_step, 1.0, 10.0);
  const bool stepped =
      (fitted.crank_key_deg != 0.0 && layout.crank.keyed) || (fitted.cam_key_deg != 0.0 && layout.cam.keyed);
  if (times > 1.0 && stepped) scene.confessions.push_back(fmt::format("key step shown ×{:.3g}", times));
}

void add_drive_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ, Scene& scene) {
  const auto add_ghost = [&](const SprocketState& state, bool sprocket) {
    const std::size_t part = add_part(scene, fmt::format("{} sprocket, present", state.stated.name), {state.key_is});
    if (sprocket) {
      add_instance(scene, state.layout.disc, part, Material::sprocket_steel,
                   on_axis(state.centre_mm, state.mark_clock_deg, -ghost_behind_mm), true);
      add_mark(state, part, -ghost_behind_mm, true, scene);
    }
    add_key(state, part, -ghost_behind_mm, true, scene);
  };
  if (differ.crank) add_ghost(crank_state(layout, present), true);
  if (differ.cam || differ.camshaft) add_ghost(cam_state(layout, present), differ.cam);
}

} // namespace phasewright
