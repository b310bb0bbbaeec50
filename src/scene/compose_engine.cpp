// Crank, piston, camshaft and valve gear.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

int cylinder_shown(const Engine& engine, const SceneOptions& options) {
  return std::clamp(options.cylinder, 1, engine.block.cylinders);
}

// A frame whose z runs along a direction of the engine's frame (x across, y up the cylinder), and whose y points away
// from the timing end.
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

Material hue(ValveKind kind) {
  return kind == ValveKind::inlet ? Material::inlet : Material::exhaust;
}

void add_lobe(const SceneLayout& layout, const ValveLayout& valve, const ValvePose& pose, std::size_t part, bool ghost,
              double z_mm, glm::dvec2 cam_shift_mm, Scene& scene) {
  const double nose_deg = clock_of(valve.follow) + valve.sense * pose.lobe_from_nose_deg;
  add_instance(scene, valve.lobe, part, hue(valve.kind),
               layout.engine_frame * turned_at(nose_deg, valve.cam_mm + cam_shift_mm, z_mm), ghost);
}

// How far the centres as fitted have moved a valve's camshaft, in the engine's frame.
glm::dvec2 moved_mm(const SceneLayout& layout, const Posed& posed, const ValveLayout& valve) {
  const CamshaftLayout& camshaft = layout.camshafts[valve.camshaft];
  if (!camshaft.sprocket) return {0, 0};
  const glm::dvec2 by_mm = glm::dvec2(posed.at(*camshaft.sprocket).centre_mm) - camshaft.centre_mm;
  return glm::dvec2(glm::transpose(layout.engine_frame) * glm::dvec4(by_mm, 0.0, 0.0));
}

void add_poppet(const SceneLayout& layout, const ValveLayout& valve, const ValvePose& pose, std::size_t part,
                bool ghost, double z_mm, Scene& scene) {
  const glm::dvec2 head = valve.head_mm - pose.lift_mm * valve.axis;
  add_instance(scene, valve.valve, part, hue(valve.kind), layout.engine_frame * along(valve.axis, head, z_mm), ghost);
}

// Follower, pushrod and rocker.
void add_gear(const SceneLayout& layout, const ValveLayout& valve, const ValvePose& pose, double z_mm, Scene& scene) {
  const char* word = to_word(valve.kind);
  const std::size_t follower = add_part(scene, fmt::format("{} {}", word, valve.overhead ? "bucket" : "tappet"),
                                        {fmt::format("lift {:.2f} mm", pose.tappet_mm)});
  const glm::dvec2 face = valve.cam_mm + (valve.base_radius_mm + pose.tappet_mm) * valve.follow;
  add_instance(scene, valve.tappet, follower, Material::shaft_steel,
               layout.engine_frame * along(valve.follow, face, z_mm));
  if (valve.overhead) return;
  double top_mm = valve.base_radius_mm + pose.tappet_mm + valve.tappet_top_mm;
  if (valve.roller_radius_mm > 0.0) {
    const glm::dvec2 centre = face + valve.roller_radius_mm * valve.follow;
    add_instance(scene, valve.roller, follower, Material::shaft_steel,
                 layout.engine_frame * turned_at(0.0, centre, z_mm));
    top_mm += valve.roller_radius_mm;
  }
  const std::size_t push = add_part(scene, fmt::format("{} pushrod", word), {});
  add_instance(scene, valve.pushrod, push, Material::shaft_steel,
               layout.engine_frame * along(valve.follow, valve.cam_mm + top_mm * valve.follow, z_mm));
  if (valve.rocker == no_mesh) return;
  const std::size_t rocker =
      add_part(scene, fmt::format("{} rocker", word), {fmt::format("ratio {:.3g}", valve.ratio)});
  // The push end rises by the tappet's lift. Seen along -z a push end on the left of the pivot turns the rocker
  // clockwise.
  const double side = valve.cam_mm.x < valve.pivot_mm.x ? 1.0 : -1.0;
  const double swing_deg = degrees(std::asin(std::clamp(pose.tappet_mm / valve.push_arm_mm, -1.0, 1.0)));
  add_instance(scene, valve.rocker, rocker, Material::cast,
               layout.engine_frame * turned_at(side * swing_deg, valve.pivot_mm, z_mm));
}

void add_spring(const SceneLayout& layout, const ValveLayout& valve, double lift_mm, std::size_t part, double z_mm,
                Scene& scene) {
  if (valve.coil == no_mesh) return;
  // Each turn of the coil is a ring; they close up evenly as the valve opens.
  const double room_mm = valve.spring_to_mm - lift_mm - valve.spring_from_mm;
  for (int i = 0; i < valve.coils; ++i) {
    const double at_mm = valve.spring_from_mm + room_mm * (i + 0.5) / valve.coils;
    add_instance(scene, valve.coil, part, Material::spring,
                 layout.engine_frame * along(valve.axis, valve.head_mm + at_mm * valve.axis, z_mm));
  }
}

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

} // namespace

void add_crank(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const Engine& engine = shown.mechanism.engine();
  const Block& block = engine.block;
  const CylinderLayout& cylinder = layout.cylinder;
  const SliderCrank& crank = shown.mechanism.slider_crank();
  const std::size_t shaft = add_part(
      scene, "crankshaft",
      {fmt::format("stroke {:.2f} mm", block.stroke_mm), fmt::format("crank at {:.1f}°", wrap_720(options.crank_deg))});
  add_instance(scene, cylinder.crankshaft, shaft, Material::shaft_steel, glm::dmat4(1.0));
  const auto throw_deg = [&](int number) { // from the cylinder's axis, as a clock angle
    return layout.running_sign * (options.crank_deg - cylinder_delay_deg(block, number) + crank.throw_at_tdc_deg());
  };
  for (int number = 1; number <= block.cylinders; ++number)
    add_instance(scene, cylinder.throw_and_webs, shaft, Material::shaft_steel,
                 layout.engine_frame * turned_at(throw_deg(number), {0, 0}, cylinder.middle_mm(number)));

  const int number = cylinder_shown(engine, options);
  const double z_mm = cylinder.middle_mm(number);
  const double drop_mm = shown.pose.pistons[static_cast<std::size_t>(number - 1)].drop_mm;
  const double highest_mm = cylinder.face_mm - block.deck_mm - cylinder.crown_above_pin_mm;
  const glm::dvec2 gudgeon{cylinder.pin_across_mm, highest_mm - drop_mm};
  const double clock_deg = throw_deg(number);
  const glm::dvec2 crankpin = crank.throw_mm() * glm::dvec2{sin_deg(clock_deg), cos_deg(clock_deg)};
  const std::size_t piston =
      add_part(scene, fmt::format("piston No. {}", number),
               {fmt::format("{:.2f} mm below TDC", drop_mm), fmt::format("bore {:.2f} mm", block.bore_mm)});
  const glm::dmat4 at_gudgeon = layout.engine_frame * along({0, 1}, {0.0, gudgeon.y}, z_mm);
  add_instance(scene, cylinder.piston, piston, Material::alloy, at_gudgeon);
  add_instance(scene, cylinder.rings, piston, Material::shaft_steel, at_gudgeon);
  const std::size_t rod =
      add_part(scene, fmt::format("rod No. {}", number), {fmt::format("{:.2f} mm between centres", block.rod_mm)});
  add_instance(scene, cylinder.rod, rod, Material::shaft_steel,
               layout.engine_frame * turned_at(clock_of(gudgeon - crankpin), crankpin, z_mm));
  add_instance(scene, cylinder.gudgeon, rod, Material::shaft_steel,
               layout.engine_frame * turned_at(0.0, gudgeon, z_mm));
  add_liner(layout, engine, z_mm, scene);
  if (layout.stems_turned) scene.confessions.emplace_back("valve stems drawn toward their camshafts");
  if (layout.leant_clear)
    scene.confessions.push_back(
        fmt::format("cylinders drawn at {:.0f}°, clear of the camshaft", layout.cylinder_clock_deg));
}

void add_valves(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const Engine& engine = shown.mechanism.engine();
  const int number = cylinder_shown(engine, options);
  const double z_mm = layout.cylinder.middle_mm(number);
  for (std::size_t k = 0; k < layout.camshafts.size(); ++k) {
    const CamshaftLayout& camshaft = layout.camshafts[k];
    if (!camshaft.sprocket) continue;
    const std::size_t shaft = add_part(scene, camshaft.words + "shaft",
                                       {fmt::format("phase {:+.2f}° crank", shown.mechanism.drive().phase_deg(k))});
    glm::dmat4 at_cam(1.0);
    at_cam[3] = {glm::dvec2(shown.at(*camshaft.sprocket).centre_mm), 0.0, 1.0};
    add_instance(scene, camshaft.mesh, shaft, Material::shaft_steel, at_cam);
  }

  for (const ValveLayout& valve : layout.valves) {
    const std::size_t lobes = add_part(scene, fmt::format("{} lobes", to_word(valve.kind)),
                                       {fmt::format("base circle {:.1f} mm", 2.0 * valve.base_radius_mm)});
    for (int other = 1; other <= engine.block.cylinders; ++other)
      if (const ValvePose* pose = find_pose(shown.pose, valve.kind, other))
        add_lobe(layout, valve, *pose, lobes, false, layout.cylinder.middle_mm(other) + valve.z_mm,
                 moved_mm(layout, shown, valve), scene);

    const ValvePose* pose = find_pose(shown.pose, valve.kind, number);
    if (pose == nullptr) continue;
    const double at_mm = z_mm + valve.z_mm;
    add_gear(layout, valve, *pose, at_mm, scene);
    if (!valve.has_valve) continue;
    const std::size_t part =
        add_part(scene, fmt::format("{} valve No. {}", to_word(valve.kind), number),
                 {fmt::format("lift {:.2f} mm", pose->lift_mm), fmt::format("lash {:.2f} mm", valve.lash_mm)});
    add_poppet(layout, valve, *pose, part, false, at_mm, scene);
    const std::size_t spring = add_part(scene, fmt::format("{} valve spring", to_word(valve.kind)), {});
    add_instance(scene, valve.retainer, spring, Material::spring,
                 layout.engine_frame * along(valve.axis, valve.head_mm - pose->lift_mm * valve.axis, at_mm));
    add_spring(layout, valve, pose->lift_mm, spring, at_mm, scene);
    const std::size_t seat = add_part(scene, fmt::format("{} seat and guide", to_word(valve.kind)), {});
    add_instance(scene, valve.seat, seat, Material::cast,
                 layout.engine_frame * along(valve.axis, valve.head_mm, at_mm));
  }
  const bool rockers =
      std::ranges::any_of(layout.valves, [](const ValveLayout& valve) { return valve.rocker != no_mesh; });
  if (rockers) {
    const std::size_t part = add_part(scene, "rocker shaft", {});
    for (const ValveLayout& valve : layout.valves)
      if (valve.rocker != no_mesh)
        add_instance(scene, layout.rocker_shaft, part, Material::shaft_steel,
                     layout.engine_frame * turned_at(0.0, valve.pivot_mm, z_mm));
  }
}

void add_valve_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ,
                     const SceneOptions& options, Scene& scene) {
  const int number = cylinder_shown(present.mechanism.engine(), options);
  const double z_mm = layout.cylinder.middle_mm(number);
  for (const ValveLayout& valve : layout.valves) {
    const ValvePose* pose = find_pose(present.pose, valve.kind, number);
    if (pose == nullptr || !differ.camshafts[valve.camshaft]) continue;
    const std::size_t part = add_part(scene, fmt::format("{} valve and lobe, present", to_word(valve.kind)),
                                      {fmt::format("lift {:.2f} mm", pose->lift_mm)});
    add_lobe(layout, valve, *pose, part, true, z_mm + valve.z_mm, moved_mm(layout, present, valve), scene);
    if (valve.has_valve) add_poppet(layout, valve, *pose, part, true, z_mm + valve.z_mm, scene);
  }
}

} // namespace phasewright
