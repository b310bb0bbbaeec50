#include "scene/model.hpp"

#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright {

namespace {

using Points = std::vector<glm::dvec3>;

Box box_around(const Points& points) {
  Box box{points[0], points[0]};
  for (const glm::dvec3 point : points) {
    box.low_mm = glm::min(box.low_mm, point);
    box.high_mm = glm::max(box.high_mm, point);
  }
  return box;
}

void add_disc(glm::dvec2 centre, double radius, double low_z, double high_z, Points& points) {
  constexpr int around = 16;
  for (int i = 0; i < around; ++i)
    for (const double z : {low_z, high_z}) points.push_back({centre + radius * unit_vector(turn_rad * i / around), z});
}

// A cylinder's gear: from `low_mm` on the cylinder's axis to over the rockers or the camshaft.
void add_cylinder(const SceneLayout& layout, const Engine& engine, int number, double low_mm, Points& points) {
  const CylinderLayout& cylinder = layout.cylinder;
  const double bore_mm = engine.block.bore_mm;
  const auto add_corners = [&](glm::dvec2 low, glm::dvec2 high) {
    for (const glm::dvec2 corner : {low, high, glm::dvec2{low.x, high.y}, glm::dvec2{high.x, low.y}})
      for (const double side : {-0.5, 0.5})
        points.push_back(
            glm::dvec3(layout.engine_frame * glm::dvec4(corner, cylinder.middle_mm(number) + side * bore_mm, 1.0)));
  };
  add_corners({-0.5 * bore_mm, low_mm}, {0.5 * bore_mm, cylinder.face_mm});
  for (const ValveLayout& valve : layout.valves) {
    const glm::dvec2 tip = valve.head_mm + (valve.stem_mm + 14.0) * valve.stem;
    const double push_mm = valve.lever ? valve.lever->pivot_mm.x : tip.x;
    add_corners({std::min(tip.x, push_mm) - 6.0, tip.y - 30.0}, {std::max(tip.x, push_mm) + 6.0, tip.y});
    const double reach_mm = valve.lobe_reach_mm + 1.0;
    if (valve.overhead()) {
      add_corners(valve.cam_mm - reach_mm, valve.cam_mm + reach_mm);
    } else {
      add_corners({valve.cam_mm.x - reach_mm, tip.y - 30.0}, {valve.cam_mm.x + reach_mm, tip.y});
    }
  }
}

// The drive: sprockets with the chain on them, rails and tensioners, from the plate to the pins' front ends, or to the
// nuts' when it is apart.
void add_drive_points(const SceneLayout& layout, const Engine& engine, const Apart& apart, Points& points) {
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    const LoopLayout& loop = layout.loops[l];
    const double pitch_mm = engine.loops[l].chain.pitch_mm;
    const double front_mm = loop.z_mm + loop.chain.pin_half_mm + apart.loops[l].chain_mm;
    for (const SprocketLayout& sprocket : loop.sprockets) {
      const double hub_mm = loop.z_mm + sprocket.hub_front_mm + apart.loops[l].sprockets_mm;
      add_disc(sprocket.centre_mm, sprocket.form.tip_radius_mm + pitch_mm, layout.plate_back_mm,
               std::max(hub_mm, front_mm), points);
      if (apart.share > 0.0)
        add_disc(sprocket.centre_mm, 1.3 * sprocket.bore_radius_mm, layout.plate_back_mm,
                 std::max(apart.end_mm, std::max(hub_mm, front_mm)), points);
    }
    const double rails_mm = loop.z_mm + loop.chain.pin_half_mm + apart.loops[l].rails_mm;
    for (const glm::dvec2 point : rail_points_mm(loop))
      for (const double z_mm : {layout.plate_back_mm, rails_mm}) points.emplace_back(point, z_mm);
  }
}

} // namespace

std::size_t add_part(Scene& scene, std::string name, std::vector<std::string> figures) {
  scene.parts.push_back({std::move(name), std::move(figures), {}});
  return scene.parts.size() - 1;
}

std::size_t piece_of(std::size_t part, std::string name, const SceneOptions& options, Scene& scene) {
  return options.every_part ? add_part(scene, std::move(name), {}) : part;
}

void put_within(const SceneOptions& options, const char* whole, std::size_t first, Scene& scene) {
  if (!options.every_part) return;
  for (std::size_t i = first; i < scene.parts.size(); ++i)
    scene.parts[i].within.insert(scene.parts[i].within.begin(), whole);
}

void add_instance(Scene& scene, std::size_t mesh, std::size_t part, Material material, const glm::dmat4& placement,
                  bool ghost) {
  if (mesh != no_mesh) scene.instances.push_back({mesh, part, material, ghost, placement});
}

SceneModel::SceneModel(std::shared_ptr<const Engine> engine) : engine_(std::move(engine)) {
  assert(engine_ && !engine_->loops.empty() && engine_->loops[0].sprockets.size() >= 2);
  auto layout = std::make_shared<SceneLayout>(lay_out(*engine_));
  add_chain_meshes(*engine_, *layout, meshes_);
  add_sprocket_meshes(*engine_, *layout, meshes_);
  add_behind_meshes(*layout, meshes_);
  add_rail_meshes(*layout, meshes_);
  add_crank_meshes(*engine_, *layout, meshes_);
  add_valve_meshes(*engine_, *layout, meshes_);
  add_instrument_meshes(*layout, meshes_);
  add_sections(*engine_, *layout, meshes_);
  layout_ = std::move(layout);
}

Scene SceneModel::compose(const Mechanism& shown, const Mechanism* present, const SceneOptions& options) const {
  Scene scene;
  compose(shown, present, options, scene);
  return scene;
}

void SceneModel::compose(const Mechanism& shown, const Mechanism* present, const SceneOptions& options,
                         Scene& into) const {
  into.parts.clear();
  into.instances.clear();
  into.strokes.clear();
  into.labels.clear();
  into.confessions.clear();
  const Posed posed = pose_for_scene(shown, *layout_, options);
  add_drive(*layout_, posed, options, into);
  add_behind(*layout_, posed, options, into);
  put_within(options, "timing drive", 0, into);
  if (options.engine_parts) {
    const std::size_t crank = into.parts.size();
    add_crank(*layout_, posed, options, into);
    put_within(options, "crank, rods and pistons", crank, into);
    const std::size_t valves = into.parts.size();
    add_valves(*layout_, posed, options, into);
    put_within(options, "valve gear", valves, into);
    add_gaps(*layout_, posed, options, into);
  }
  if (present != nullptr) {
    const Posed was = pose_for_scene(*present, *layout_, options);
    const Differences differ = differences(posed, was, *layout_);
    add_drive_ghost(*layout_, was, differ, into);
    if (differ.any_camshaft() && options.engine_parts) {
      add_valve_ghost(*layout_, was, differ, options, into);
      add_gap_ghosts(*layout_, was, differ, options, into);
    }
    for (std::size_t k = 0; k < differ.camshafts.size() && !(posed.apart.share > 0.0); ++k)
      if (differ.camshafts[k] && options.drive_labels) add_phase_angle(*layout_, posed, was, k, options, into);
  }
  add_hang_back(*layout_, posed, options, into);
  if (options.section) take_away(*layout_, posed, options, into);
  if (posed.apart.share > 0.0) {
    add_apart(*layout_, posed, options, into);
    return;
  }
  if (options.labels && options.drive_labels) add_labels(*layout_, posed, options, into);
  if (options.clock_face) add_clock_face(*layout_, posed, options, into);
  add_instruments(*layout_, posed, options, into);
}

Box SceneModel::drive_box(double apart) const {
  Points points;
  add_drive_points(*layout_, *engine_, layout_->apart.scaled(apart), points);
  return box_around(points);
}

Box SceneModel::key_box(std::optional<std::size_t> camshaft, double apart) const {
  const SprocketPlace place = place_of(*layout_, camshaft);
  const SprocketLayout& sprocket = layout_->sprocket(place);
  const double z_mm = layout_->loops[place.loop].z_mm;
  Points points;
  add_disc(sprocket.centre_mm, 1.15 * sprocket.hub_radius_mm, z_mm + sprocket.hub_back_mm,
           z_mm + sprocket.hub_front_mm + 1.0 + layout_->apart.scaled(apart).loops[place.loop].sprockets_mm, points);
  return box_around(points);
}

Points SceneModel::valve_points(int cylinder) const {
  const CylinderLayout& layout = layout_->cylinder;
  Points points;
  // As far down as the skirt at two thirds of the stroke, and the lobes of a camshaft beside the cylinder.
  double low_mm =
      layout.face_mm - 0.66 * engine_->block.stroke_mm - layout.crown_above_pin_mm - layout.skirt_below_pin_mm;
  for (const ValveLayout& valve : layout_->valves)
    if (!valve.overhead()) low_mm = std::min(low_mm, valve.cam_mm.y - 1.5 * valve.base_radius_mm);
  add_cylinder(*layout_, *engine_, std::clamp(cylinder, 1, engine_->block.cylinders), low_mm, points);
  return points;
}

Points SceneModel::whole_points(double apart) const {
  const CylinderLayout& layout = layout_->cylinder;
  Points points;
  add_drive_points(*layout_, *engine_, layout_->apart.scaled(apart), points);
  const double last_mm = layout.middle_mm(engine_->block.cylinders) - 0.6 * engine_->block.bore_mm;
  add_disc({0, 0}, engine_->block.stroke_mm / 2.0 + 1.3 * layout.pin_radius_mm, last_mm, layout.first_z_mm, points);
  for (const CamshaftLayout& camshaft : layout_->camshafts)
    add_disc(camshaft.centre_mm, camshaft.journal_radius_mm, last_mm, layout.first_z_mm, points);
  add_cylinder(*layout_, *engine_, 1, 0.0, points);
  return points;
}

Box SceneModel::valve_box(int cylinder) const {
  return box_around(valve_points(cylinder));
}

Box SceneModel::whole_box(double apart) const {
  return box_around(whole_points(apart));
}

Points SceneModel::instrument_points(const SceneInstruments& wanted, std::optional<std::size_t> camshaft,
                                     int cylinder) const {
  return phasewright::instrument_points(*layout_, wanted, camshaft, std::clamp(cylinder, 1, engine_->block.cylinders));
}

ViewDirection SceneModel::section_view(const Mechanism& shown, const SceneOptions& options) const {
  const Posed posed = pose_for_scene(shown, *layout_, options);
  const glm::dvec2 cut = toward_cut(posed.at(place_of(*layout_, options.camshaft)));
  constexpr double of_the_face_deg = 28.0;
  const glm::dvec3 eye{cos_deg(of_the_face_deg) * cut, sin_deg(of_the_face_deg)};
  return {degrees(std::atan2(eye.x, eye.z)), degrees(std::asin(std::clamp(eye.y, -1.0, 1.0)))};
}

ViewDirection SceneModel::valve_view() const {
  // From the flywheel's end, since from the other the drive would hide them; further round where inlet and exhaust
  // stand across the engine, for one would hide the other. From a little above, where crowns show their pockets.
  double toward_timing_end_deg = -28.0;
  constexpr double above_deg = 13.0;
  if (layout_->valves.size() > 1) {
    const glm::dvec2 apart_mm = layout_->valves[0].head_mm - layout_->valves[1].head_mm;
    if (std::fabs(apart_mm.x) > std::fabs(layout_->valves[0].z_mm - layout_->valves[1].z_mm))
      toward_timing_end_deg = -42.0;
  }
  const double clock_deg = layout_->cylinder_clock_deg;
  glm::dvec2 from = across_of(clock_deg);
  if (!layout_->valves.empty() && layout_->valves[0].cam_mm.x > 0.0) from = -from;
  const glm::dvec3 level{from * cos_deg(toward_timing_end_deg), sin_deg(toward_timing_end_deg)};
  const glm::dvec3 eye = cos_deg(above_deg) * level + sin_deg(above_deg) * glm::dvec3{along_of(clock_deg), 0.0};
  return {degrees(std::atan2(eye.x, eye.z)), degrees(std::asin(eye.y))};
}

} // namespace phasewright
