// Camshafts, lobes, followers, levers, valves and springs.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

Material hue(ValveKind kind) {
  return kind == ValveKind::inlet ? Material::inlet : Material::exhaust;
}

// One valve's gear at one pose.
struct Shown {
  const SceneLayout& layout;
  const ValveLayout& valve;
  const ValvePose& pose;
  double z_mm;             // of the valve
  glm::dvec2 cam_shift_mm; // how far the centres as fitted have moved its camshaft, in the engine's frame
  const SceneOptions& options;

  // "inlet tappet"; with the cylinder's number where every cylinder has one.
  [[nodiscard]] std::string name(const char* what) const {
    const std::string words = fmt::format("{} {}", to_word(valve.kind), what);
    return options.every_part ? fmt::format("{} No. {}", words, pose.cylinder) : words;
  }
  [[nodiscard]] glm::dmat4 along_mm(glm::dvec2 direction, glm::dvec2 at_mm) const {
    return layout.engine_frame * along(direction, at_mm, z_mm);
  }
  [[nodiscard]] glm::dmat4 turned(double clock_deg, glm::dvec2 at_mm) const {
    return layout.engine_frame * turned_at(clock_deg, at_mm, z_mm);
  }
};

void add_lobe(const Shown& shown, std::size_t mesh, std::size_t part, bool ghost, Scene& scene) {
  const ValveLayout& valve = shown.valve;
  const double rad = valve.lobe_from_rad + radians(shown.pose.lobe_from_nose_deg);
  const glm::dvec2 nose = -std::sin(rad) * valve.follow_x + std::cos(rad) * valve.follow;
  add_instance(scene, mesh, part, hue(valve.kind), shown.turned(clock_of(nose), valve.cam_mm + shown.cam_shift_mm),
               ghost);
}

glm::dvec2 moved_mm(const SceneLayout& layout, const Posed& posed, const ValveLayout& valve) {
  const CamshaftLayout& camshaft = layout.camshafts[valve.camshaft];
  if (!camshaft.sprocket) return {0, 0};
  const glm::dvec2 by_mm = glm::dvec2(posed.at(*camshaft.sprocket).centre_mm) - camshaft.centre_mm;
  return glm::dvec2(glm::transpose(layout.engine_frame) * glm::dvec4(by_mm, 0.0, 0.0));
}

void add_poppet(const Shown& shown, std::size_t part, bool ghost, Scene& scene) {
  const ValveLayout& valve = shown.valve;
  add_instance(scene, valve.valve, part, hue(valve.kind),
               shown.along_mm(valve.axis, valve.head_mm - shown.pose.lift_mm * valve.axis), ghost);
}

std::string lift_words(const SceneOptions& options, double lift_mm) {
  return "lift " + length_words(options, lift_mm);
}

// A bead where lobe and follower touch.
void add_contact(const Shown& shown, const LobeContact& contact, Scene& scene) {
  const std::size_t part =
      add_part(scene, fmt::format("{} lobe's contact", to_word(shown.valve.kind)),
               {length_words(shown.options, std::fabs(contact.in_follower_mm.x)) + " from the middle",
                "contour's radius " + length_words(shown.options, contact.curvature_mm)});
  add_instance(scene, shown.valve.contact, part, Material::mark,
               shown.turned(0.0, shown.valve.from_follower(contact.in_follower_mm)));
}

// Where a tappet's or bucket's face is, on the line along which it moves.
glm::dvec2 face_mm(const Shown& shown) {
  const ValveLayout& valve = shown.valve;
  const double out_mm = valve.base_radius_mm + shown.pose.tappet_mm;
  return valve.push_at_mm + (out_mm - dot2(valve.push_at_mm - valve.cam_mm, valve.follow)) * valve.follow;
}

// Tappet and pushrod.
void add_tappet(const Shown& shown, glm::dvec2 ball_mm, Scene& scene) {
  const ValveLayout& valve = shown.valve;
  const std::size_t follower = add_part(scene, shown.name("tappet"), {lift_words(shown.options, shown.pose.tappet_mm)});
  const glm::dvec2 low_mm = face_mm(shown) + valve.roller_radius_mm * valve.follow;
  add_instance(scene, valve.tappet, follower, Material::shaft_steel, shown.along_mm(valve.follow, low_mm));
  add_instance(scene, valve.roller, follower, Material::spring, shown.turned(0.0, low_mm));
  const std::size_t push = add_part(scene, shown.name("pushrod"), {});
  const glm::dvec2 seat_mm = low_mm + valve.tappet_top_mm * valve.follow;
  const glm::dvec2 way = valve.lever ? ball_mm - seat_mm : valve.follow;
  add_instance(scene, valve.pushrod, push, Material::shaft_steel, shown.along_mm(way / length2(way), seat_mm));
}

double swing_deg(const Shown& shown, const ValveMotion& motion) {
  if (motion.linkage().varies()) return degrees(motion.linkage().swing_rad(shown.pose.tappet_mm));
  const double arm_mm = length2(shown.valve.lever->push.middle_mm); // stands square
  return degrees(std::asin(std::clamp(shown.pose.tappet_mm / arm_mm, -1.0, 1.0)));
}

// Rocker or finger.
void add_lever(const Shown& shown, const ValveMotion& motion, const char* word, Material material, Scene& scene) {
  const LeverLayout& lever = *shown.valve.lever;
  const double swung_deg = swing_deg(shown, motion);
  const std::size_t part = add_part(scene, shown.name(word),
                                    {fmt::format("ratio {:.3f}", motion.linkage().at(shown.pose.tappet_mm).ratio),
                                     fmt::format("swung {:.1f}°", swung_deg)});
  add_instance(scene, shown.valve.rocker, part, material, shown.turned(lever.turn * swung_deg, lever.pivot_mm));
}

void add_rocker(const Shown& shown, const ValveMotion& motion, Scene& scene) {
  glm::dvec2 ball_mm{};
  if (shown.valve.lever) {
    const LeverLayout& lever = *shown.valve.lever;
    ball_mm = lever.pivot_mm + glm::dvec2(turned_clock(lever.turn * swing_deg(shown, motion)) *
                                          glm::dvec4(lever.push.middle_mm, 0.0, 1.0));
  }
  add_tappet(shown, ball_mm, scene);
  if (!shown.valve.lever) return;
  add_lever(shown, motion, "rocker", Material::cast, scene);
  const std::string shaft = shown.options.every_part ? shown.name("rocker shaft") : "rocker shaft";
  add_instance(scene, shown.valve.pivot, add_part(scene, shaft, {}), Material::shaft_steel,
               shown.turned(0.0, shown.valve.lever->pivot_mm));
}

void add_finger(const Shown& shown, const ValveMotion& motion, const LobeContact& contact, Scene& scene) {
  add_lever(shown, motion, "finger", Material::cast, scene);
  add_instance(scene, shown.valve.roller, add_part(scene, shown.name("finger's roller"), {}), Material::spring,
               shown.turned(0.0, shown.valve.from_follower(contact.pad_mm)));
  add_instance(scene, shown.valve.pivot, add_part(scene, shown.name("finger's post"), {"stands still"}),
               Material::shaft_steel, shown.along_mm(-shown.valve.axis, shown.valve.lever->pivot_mm));
}

// Follower and all between it and the valve.
void add_gear(const Shown& shown, const ValveMotion& motion, Scene& scene) {
  const LobeContact contact = motion.contour().contact(radians(shown.pose.lobe_from_nose_deg));
  switch (shown.valve.train) {
  case Train::pushrod:
    add_rocker(shown, motion, scene);
    break;
  case Train::bucket:
    add_instance(scene, shown.valve.tappet,
                 add_part(scene, shown.name("bucket"), {lift_words(shown.options, shown.pose.tappet_mm)}),
                 Material::shaft_steel, shown.along_mm(shown.valve.follow, face_mm(shown)));
    break;
  case Train::finger:
    add_finger(shown, motion, contact, scene);
    break;
  }
  if (!shown.options.every_part) add_contact(shown, contact, scene);
}

void add_spring(const Shown& shown, Scene& scene) {
  const ValveLayout& valve = shown.valve;
  const double lift_mm = shown.pose.lift_mm;
  const std::size_t part = add_part(scene, shown.name("valve spring"), {});
  add_instance(scene, valve.retainer, piece_of(part, shown.name("spring retainer"), shown.options, scene),
               Material::spring, shown.along_mm(valve.stem, valve.head_mm - lift_mm * valve.stem));
  // Each turn of the coil is a ring; they close up evenly as the valve opens.
  const double room_mm = valve.spring_to_mm - lift_mm - valve.spring_from_mm;
  for (int i = 0; i < valve.coils && valve.coil != no_mesh; ++i) {
    const double at_mm = valve.spring_from_mm + room_mm * (i + 0.5) / valve.coils;
    add_instance(scene, valve.coil, part, Material::spring,
                 shown.along_mm(valve.stem, valve.head_mm + at_mm * valve.stem));
  }
}

void add_valve(const Shown& shown, Scene& scene) {
  const ValveLayout& valve = shown.valve;
  const std::size_t part =
      add_part(scene, fmt::format("{} valve No. {}", to_word(valve.kind), shown.pose.cylinder),
               {lift_words(shown.options, shown.pose.lift_mm), "lash " + length_words(shown.options, valve.lash_mm)});
  add_poppet(shown, part, false, scene);
  add_spring(shown, scene);
  add_instance(scene, valve.seat, add_part(scene, shown.name("seat and guide"), {}), Material::cast,
               shown.along_mm(valve.axis, valve.head_mm));
}

void add_camshafts(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  for (std::size_t k = 0; k < layout.camshafts.size(); ++k) {
    const CamshaftLayout& camshaft = layout.camshafts[k];
    if (!camshaft.sprocket) continue;
    const std::size_t shaft = add_part(scene, camshaft.words + "shaft",
                                       {fmt::format("phase {:+.2f}° crank", shown.mechanism.drive().phase_deg(k))});
    const SprocketState& driven = shown.at(*camshaft.sprocket);
    add_instance(scene, camshaft.mesh, shaft, Material::shaft_steel,
                 moved({glm::dvec2(driven.centre_mm), 0.0}) *
                     turned_clock(options.every_part ? driven.key.shaft_clock_deg : 0.0));
  }
}

// What one lobe moves.
void add_train(const SceneLayout& layout, const Posed& shown, const ValveLayout& valve, int number,
               const SceneOptions& options, Scene& scene) {
  const ValvePose* pose = find_pose(shown.pose, valve.kind, number);
  if (pose == nullptr) return;
  const std::size_t first = scene.parts.size();
  const Shown one{layout, valve, *pose, layout.cylinder.middle_mm(number) + valve.z_mm, {}, options};
  if (const ValveMotion* motion = shown.mechanism.motion(valve.kind)) add_gear(one, *motion, scene);
  if (valve.has_valve) add_valve(one, scene);
  put_within(options, one.name("valve gear").c_str(), first, scene);
}

} // namespace

void add_valves(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const Engine& engine = shown.mechanism.engine();
  const int number = cylinder_shown(engine, options);
  add_camshafts(layout, shown, options, scene);
  for (const ValveLayout& valve : layout.valves) {
    const std::size_t lobes = add_part(scene, fmt::format("{} lobes", to_word(valve.kind)),
                                       {"base circle " + length_words(options, 2.0 * valve.base_radius_mm)});
    const glm::dvec2 shift_mm = moved_mm(layout, shown, valve);
    for (int other = 1; other <= engine.block.cylinders; ++other)
      if (const ValvePose* pose = find_pose(shown.pose, valve.kind, other))
        add_lobe({layout, valve, *pose, layout.cylinder.middle_mm(other) + valve.z_mm, shift_mm, options},
                 other == number || options.every_part ? valve.lobe : valve.far_lobe, lobes, false, scene);
    for (int other = 1; other <= engine.block.cylinders; ++other)
      if (other == number || options.every_part) add_train(layout, shown, valve, other, options, scene);
  }
}

void add_valve_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ,
                     const SceneOptions& options, Scene& scene) {
  const int number = cylinder_shown(present.mechanism.engine(), options);
  for (const ValveLayout& valve : layout.valves) {
    const ValvePose* pose = find_pose(present.pose, valve.kind, number);
    if (pose == nullptr || !differ.camshafts[valve.camshaft]) continue;
    const std::size_t part = add_part(scene, fmt::format("{} valve and lobe, present", to_word(valve.kind)),
                                      {lift_words(options, pose->lift_mm)});
    const Shown one{
        layout, valve, *pose, layout.cylinder.middle_mm(number) + valve.z_mm, moved_mm(layout, present, valve),
        options};
    add_lobe(one, valve.far_lobe, part, true, scene);
    if (valve.has_valve) add_poppet(one, part, true, scene);
  }
}

} // namespace phasewright
