// Crank, rod, piston and the cylinder about it.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// The cut cylinder as lines: its rim at the block face, its lower edge, and its sides.
void add_liner(const SceneLayout& layout, const Engine& engine, double z_mm, Scene& scene) {
  const CylinderLayout& cylinder = layout.cylinder;
  const double radius_mm = engine.block.bore_mm / 2.0;
  const double low_mm =
      cylinder.face_mm - engine.block.stroke_mm - cylinder.crown_above_pin_mm - 0.5 * cylinder.skirt_below_pin_mm;
  const auto world = [&](glm::dvec3 at) { return glm::dvec3(layout.engine_frame * glm::dvec4(at, 1.0)); };
  const auto ring = [&](double height_mm, double radius, StrokeStyle style) {
    constexpr int points = 48;
    Stroke stroke;
    stroke.style = style;
    stroke.width_px = 1.2f;
    for (int i = 0; i <= points; ++i) {
      const glm::dvec2 at = radius * unit_vector(turn_rad * i / points);
      stroke.points_mm.push_back(world({at.x, height_mm, z_mm + at.y}));
    }
    scene.strokes.push_back(std::move(stroke));
  };
  ring(cylinder.face_mm, radius_mm, StrokeStyle::solid);
  ring(cylinder.face_mm, radius_mm + 4.0, StrokeStyle::solid);
  ring(low_mm, radius_mm, StrokeStyle::dashed);
  for (int i = 0; i < 4; ++i) {
    const glm::dvec2 at = radius_mm * unit_vector(turn_rad * i / 4.0);
    Stroke side;
    side.width_px = 1.2f;
    side.points_mm = {world({at.x, low_mm, z_mm + at.y}), world({at.x, cylinder.face_mm, z_mm + at.y})};
    scene.strokes.push_back(std::move(side));
  }
}

// Of a cylinder's crank throw, from its axis, as a clock angle.
double throw_deg(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, int number) {
  return layout.running_sign * (options.crank_deg - cylinder_delay_deg(shown.mechanism.engine().block, number) +
                                shown.mechanism.slider_crank().throw_at_tdc_deg());
}

// Piston and rod.
void add_piston(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, int number, Scene& scene) {
  const Block& block = shown.mechanism.engine().block;
  const CylinderLayout& cylinder = layout.cylinder;
  const double z_mm = cylinder.middle_mm(number);
  const double drop_mm = shown.pose.pistons[static_cast<std::size_t>(number - 1)].drop_mm;
  const double highest_mm = cylinder.face_mm - block.deck_mm - cylinder.crown_above_pin_mm;
  const glm::dvec2 gudgeon{cylinder.pin_across_mm, highest_mm - drop_mm};
  const double clock_deg = throw_deg(layout, shown, options, number);
  const glm::dvec2 crankpin =
      shown.mechanism.slider_crank().throw_mm() * glm::dvec2{sin_deg(clock_deg), cos_deg(clock_deg)};
  const std::size_t piston =
      add_part(scene, fmt::format("piston No. {}", number),
               {length_words(options, drop_mm) + " below TDC", "bore " + length_words(options, block.bore_mm)});
  const glm::dmat4 at_gudgeon = layout.engine_frame * along({0, 1}, {0.0, gudgeon.y}, z_mm);
  add_instance(scene, cylinder.piston, piston, Material::alloy, at_gudgeon);
  add_instance(scene, cylinder.rings, piston, Material::shaft_steel, at_gudgeon);
  const std::size_t rod =
      add_part(scene, fmt::format("rod No. {}", number), {length_words(options, block.rod_mm) + " between centres"});
  add_instance(scene, cylinder.rod, rod, Material::shaft_steel,
               layout.engine_frame * turned_at(clock_of(gudgeon - crankpin), crankpin, z_mm));
  add_instance(scene, cylinder.gudgeon, piece_of(rod, fmt::format("gudgeon pin No. {}", number), options, scene),
               Material::shaft_steel, layout.engine_frame * turned_at(0.0, gudgeon, z_mm));
}

} // namespace

int cylinder_shown(const Engine& engine, const SceneOptions& options) {
  return std::clamp(options.cylinder, 1, engine.block.cylinders);
}

glm::dmat4 along(glm::dvec2 direction, glm::dvec2 at_mm, double z_mm) {
  return frame({direction.y, -direction.x, 0}, {0, 0, -1}, {direction.x, direction.y, 0}, {at_mm, z_mm});
}

glm::dmat4 turned_at(double clock_deg, glm::dvec2 at_mm, double z_mm) {
  glm::dmat4 placement = turned_clock(clock_deg);
  placement[3] = {at_mm, z_mm, 1.0};
  return placement;
}

double clock_of(glm::dvec2 direction) {
  return degrees(std::atan2(direction.x, direction.y));
}

const ValvePose* find_pose(const Pose& pose, ValveKind kind, int cylinder) {
  const auto found = std::ranges::find_if(
      pose.valves, [&](const ValvePose& valve) { return valve.valve == kind && valve.cylinder == cylinder; });
  return found == pose.valves.end() ? nullptr : &*found;
}

void add_crank(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const Engine& engine = shown.mechanism.engine();
  const Block& block = engine.block;
  const CylinderLayout& cylinder = layout.cylinder;
  const std::size_t shaft = add_part(scene, "crankshaft",
                                     {"stroke " + length_words(options, block.stroke_mm),
                                      fmt::format("crank at {:.1f}°", wrap_720(options.crank_deg))});
  add_instance(scene, cylinder.crankshaft, shaft, Material::shaft_steel,
               options.every_part ? turned_clock(layout.running_sign * options.crank_deg) : glm::dmat4(1.0));
  for (int number = 1; number <= block.cylinders; ++number)
    add_instance(scene, cylinder.throw_and_webs, shaft, Material::shaft_steel,
                 layout.engine_frame *
                     turned_at(throw_deg(layout, shown, options, number), {0, 0}, cylinder.middle_mm(number)));

  const int number = cylinder_shown(engine, options);
  for (int other = 1; other <= block.cylinders; ++other)
    if (other == number || options.every_part) add_piston(layout, shown, options, other, scene);
  add_liner(layout, engine, cylinder.middle_mm(number), scene);
  if (layout.stems_turned) scene.confessions.emplace_back("valve stems drawn toward what presses them");
  if (layout.finger_as_bucket) scene.confessions.emplace_back("fingers drawn as buckets: their arms are not stated");
  if (layout.leant_clear)
    scene.confessions.push_back(
        fmt::format("cylinders drawn at {:.0f}°, clear of the camshaft", layout.cylinder_clock_deg));
}

} // namespace phasewright
