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

class BoxBuilder {
public:
  void add(glm::dvec3 point) {
    box_.low_mm = empty_ ? point : glm::min(box_.low_mm, point);
    box_.high_mm = empty_ ? point : glm::max(box_.high_mm, point);
    empty_ = false;
  }
  void add(glm::dvec2 centre, double radius, double low_z, double high_z) {
    add({centre - radius, low_z});
    add({centre + radius, high_z});
  }
  [[nodiscard]] Box box() const { return box_; }

private:
  Box box_;
  bool empty_ = true;
};

// A cylinder's gear: from under the piston to over the rockers or the camshaft, in the engine's frame.
void add_cylinder(const SceneLayout& layout, const Engine& engine, int number, double low_mm, BoxBuilder& builder) {
  const CylinderLayout& cylinder = layout.cylinder;
  const double bore_mm = engine.block.bore_mm;
  glm::dvec2 low{-0.56 * bore_mm, low_mm};
  glm::dvec2 high{0.56 * bore_mm, cylinder.face_mm};
  for (const ValveLayout& valve : layout.valves) {
    const glm::dvec2 tip = valve.head_mm + (valve.stem_mm + 16.0) * valve.axis;
    low = glm::min(low, tip);
    high = glm::max(high, tip);
    if (valve.overhead) high = glm::max(high, valve.cam_mm + valve.base_radius_mm + 8.0);
  }
  for (const glm::dvec2 corner : {low, high, glm::dvec2{low.x, high.y}, glm::dvec2{high.x, low.y}})
    for (const double side : {-0.5, 0.5})
      builder.add(glm::dvec3(layout.engine_frame * glm::dvec4(corner, cylinder.middle_mm(number) + side * bore_mm, 1.0)));
}

} // namespace

std::size_t add_part(Scene& scene, std::string name, std::vector<std::string> figures) {
  scene.parts.push_back({std::move(name), std::move(figures)});
  return scene.parts.size() - 1;
}

void add_instance(Scene& scene, std::size_t mesh, std::size_t part, Material material, const glm::dmat4& placement, bool ghost) {
  if (mesh != no_mesh) scene.instances.push_back({mesh, part, material, ghost, placement});
}

SceneModel::SceneModel(std::shared_ptr<const Engine> engine) : engine_(std::move(engine)) {
  assert(engine_ && engine_->sprockets.size() >= 2);
  auto layout = std::make_shared<SceneLayout>(lay_out(*engine_));
  add_chain_meshes(*engine_, *layout, meshes_);
  add_sprocket_meshes(*engine_, *layout, meshes_);
  add_crank_meshes(*engine_, *layout, meshes_);
  add_valve_meshes(*engine_, *layout, meshes_);
  layout_ = std::move(layout);
}

Scene SceneModel::compose(const Mechanism& shown, const Mechanism* present, const SceneOptions& options) const {
  Scene scene;
  compose(shown, present, options, scene);
  return scene;
}

void SceneModel::compose(const Mechanism& shown, const Mechanism* present, const SceneOptions& options, Scene& into) const {
  into.parts.clear();
  into.instances.clear();
  into.strokes.clear();
  into.labels.clear();
  into.confessions.clear();
  const Posed posed = pose_for_scene(shown, *layout_, options);
  add_drive(*layout_, posed, options, into);
  if (options.engine_parts) {
    add_crank(*layout_, posed, options, into);
    add_valves(*layout_, posed, options, into);
  }
  if (present != nullptr) {
    const Posed was = pose_for_scene(*present, *layout_, options);
    const Differences differ = differences(posed, was);
    add_drive_ghost(*layout_, was, differ, into);
    if (differ.camshaft) {
      if (options.engine_parts) add_valve_ghost(*layout_, was, options, into);
      add_phase_angle(*layout_, posed, was, options, into);
    }
  }
  if (options.labels) add_labels(*layout_, posed, options, into);
}

Box SceneModel::drive_box() const {
  BoxBuilder builder;
  for (const SprocketLayout* sprocket : {&layout_->crank, &layout_->cam})
    builder.add(sprocket->centre_mm, sprocket->form.tip_radius_mm + engine_->chain.pitch_mm, layout_->plate_back_mm,
                std::max(sprocket->hub_front_mm, layout_->chain.pin_half_mm));
  return builder.box();
}

Box SceneModel::key_box(bool at_cam) const {
  const SprocketLayout& sprocket = at_cam ? layout_->cam : layout_->crank;
  BoxBuilder builder;
  builder.add(sprocket.centre_mm, 1.15 * sprocket.hub_radius_mm, sprocket.hub_back_mm, sprocket.hub_front_mm + 1.0);
  return builder.box();
}

Box SceneModel::valve_box(int cylinder) const {
  const int number = std::clamp(cylinder, 1, engine_->block.cylinders);
  const CylinderLayout& layout = layout_->cylinder;
  BoxBuilder builder;
  // As far down as the skirt at half stroke.
  const double low_mm = layout.face_mm - engine_->block.stroke_mm / 2.0 - layout.crown_above_pin_mm - layout.skirt_below_pin_mm;
  add_cylinder(*layout_, *engine_, number, low_mm, builder);
  return builder.box();
}

Box SceneModel::whole_box() const {
  BoxBuilder builder;
  const Box drive = drive_box();
  builder.add(drive.low_mm);
  builder.add(drive.high_mm);
  const CylinderLayout& layout = layout_->cylinder;
  const double low_mm = -engine_->block.stroke_mm / 2.0 - 1.3 * layout.pin_radius_mm;
  add_cylinder(*layout_, *engine_, 1, low_mm, builder);
  builder.add({0, 0, layout.middle_mm(engine_->block.cylinders) - 0.6 * engine_->block.bore_mm});
  return builder.box();
}

ViewDirection SceneModel::valve_view() const {
  constexpr double toward_timing_end_deg = 22.0;
  const double clock_deg = engine_->block.cylinder_clock_deg;
  glm::dvec2 from{cos_deg(clock_deg), -sin_deg(clock_deg)};
  if (!layout_->valves.empty() && layout_->valves[0].cam_mm.x > 0.0) from = -from;
  const glm::dvec3 eye{from * cos_deg(toward_timing_end_deg), sin_deg(toward_timing_end_deg)};
  return {degrees(std::atan2(eye.x, eye.z)), degrees(std::asin(eye.y))};
}

} // namespace phasewright
