// Crank and cylinders, camshafts and valves: what the drive drives.
#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "scene/layout.hpp"
#include "scene/model.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

CylinderLayout lay_out_cylinders(const Engine& engine, double plate_back_mm, double sign) {
  const Block& block = engine.block;
  const SliderCrank crank(block);
  CylinderLayout cylinder;
  const double highest_mm = std::sqrt(std::pow(crank.throw_mm() + block.rod_mm, 2) - std::pow(block.pin_offset_mm, 2));
  cylinder.crown_above_pin_mm = 0.46 * block.bore_mm;
  // A skirt as long as there is room for over the crank's webs at the bottom of the stroke.
  cylinder.main_radius_mm = std::max(0.30 * block.bore_mm, 1.15 * engine.crank_seat.diameter_mm / 2.0);
  cylinder.pin_radius_mm = std::min(0.27 * block.bore_mm, 0.6 * crank.throw_mm() + 4.0);
  const double lowest_pin_mm = highest_mm - crank.travel_mm();
  cylinder.skirt_below_pin_mm =
      std::clamp(lowest_pin_mm - 1.3 * cylinder.main_radius_mm, 0.14 * block.bore_mm, 0.3 * block.bore_mm);
  cylinder.face_mm = highest_mm + cylinder.crown_above_pin_mm + block.deck_mm;
  cylinder.first_z_mm = plate_back_mm - 0.75 * block.bore_mm;
  cylinder.step_mm = 1.15 * block.bore_mm;
  cylinder.web_thick_mm = 0.13 * block.bore_mm;
  cylinder.web_at_mm = 0.18 * block.bore_mm + cylinder.web_thick_mm / 2.0;
  cylinder.pin_across_mm = sign * block.pin_offset_mm;
  return cylinder;
}

glm::dvec2 across_of(double clock_deg) {
  return {cos_deg(clock_deg), -sin_deg(clock_deg)};
}
glm::dvec2 along_of(double clock_deg) {
  return {sin_deg(clock_deg), cos_deg(clock_deg)};
}

// Greatest distance of a lobe's contour from the camshaft's axis.
double nose_reach_mm(const Engine& engine) {
  double reach_mm = 0.0;
  for (const Camshaft& camshaft : engine.camshafts)
    for (const std::optional<ValveGear>& gear : {camshaft.inlet, camshaft.exhaust}) {
      if (!gear) continue;
      const Result<LobeProfile> profile = LobeProfile::make(gear->lobe, "lobe");
      reach_mm = std::max(reach_mm, gear->base_radius_mm + (profile ? profile->greatest_lift_mm() : 0.0));
    }
  return reach_mm;
}

// Where the cylinders point in the picture. A file that does not say has them upright, and a camshaft in the block
// would then often stand in the bore: the cylinders are leant over until it is clear of them, to the side it leaves
// free.
void choose_cylinder_clock(const Engine& engine, SceneLayout& layout) {
  const double stated_deg = engine.block.cylinder_clock_deg;
  layout.cylinder_clock_deg = stated_deg;
  const double clear_mm = engine.block.bore_mm / 2.0 + nose_reach_mm(engine) + 2.0;
  for (const CamshaftLayout& camshaft : layout.camshafts) {
    const glm::dvec2 cam_mm = camshaft.centre_mm;
    const double across_mm = dot2(cam_mm, across_of(stated_deg));
    const bool overhead = dot2(cam_mm, along_of(stated_deg)) > layout.cylinder.face_mm;
    if (overhead || !camshaft.sprocket || std::fabs(across_mm) >= clear_mm) continue;
    const double lean_deg = degrees(std::asin(std::min(clear_mm / length2(cam_mm), 1.0)));
    const double cam_clock_deg = degrees(std::atan2(cam_mm.x, cam_mm.y));
    layout.cylinder_clock_deg = wrap_360(cam_clock_deg + (across_mm > 0.0 ? -lean_deg : lean_deg));
    layout.leant_clear = true;
    return;
  }
}

void find_camshafts(const Engine& engine, SceneLayout& layout) {
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    CamshaftLayout camshaft;
    camshaft.words = camshaft_words(engine, i);
    camshaft.sprocket = find_cam_sprocket(engine, engine.camshafts[i].name);
    if (camshaft.sprocket) {
      camshaft.centre_mm = layout.sprocket(*camshaft.sprocket).centre_mm;
      camshaft.journal_radius_mm = 1.12 * layout.sprocket(*camshaft.sprocket).bore_radius_mm;
    }
    layout.camshafts.push_back(std::move(camshaft));
  }
}

// The camshaft's own half of a valve's layout.
ValveLayout lay_out_follower(const Engine& engine, const SceneLayout& layout, std::size_t camshaft, ValveKind kind) {
  const ValveGear& gear =
      kind == ValveKind::inlet ? *engine.camshafts[camshaft].inlet : *engine.camshafts[camshaft].exhaust;
  ValveLayout valve;
  valve.kind = kind;
  valve.camshaft = camshaft;
  valve.base_radius_mm = gear.base_radius_mm;
  valve.lash_mm = gear.lash_mm;
  valve.ratio = gear.rocker_ratio;
  if (gear.follower == Follower::roller_tappet)
    valve.roller_radius_mm = gear.roller_radius_mm > 0.0 ? gear.roller_radius_mm : 12.0;
  const CamshaftLayout& shaft = layout.camshafts[camshaft];
  valve.sense = shaft.sprocket ? layout.sprocket(*shaft.sprocket).sense : layout.running_sign;
  valve.cam_mm = {dot2(shaft.centre_mm, across_of(layout.cylinder_clock_deg)),
                  dot2(shaft.centre_mm, along_of(layout.cylinder_clock_deg))};
  valve.overhead = valve.cam_mm.y > layout.cylinder.face_mm;
  return valve;
}

void lay_out_pushrod(ValveLayout& valve, double bore_mm) {
  valve.follow = {0, 1};
  const glm::dvec2 tip = valve.head_mm + valve.stem_mm * valve.axis;
  valve.tappet_top_mm = 0.55 * bore_mm;
  // The rocker's push end stands as high as its pad; its pivot divides the way between them by the rocker ratio.
  const double share = 1.0 / (1.0 + valve.ratio);
  const glm::dvec2 push{valve.cam_mm.x, tip.y};
  valve.pivot_mm = push + share * (tip - push) + glm::dvec2{0.0, 5.0};
  valve.push_arm_mm = std::max(std::fabs(valve.pivot_mm.x - push.x), 1.0);
  valve.push_length_mm = tip.y - 3.0 - (valve.cam_mm.y + valve.base_radius_mm + valve.tappet_top_mm);
  if (valve.roller_radius_mm > 0.0) valve.push_length_mm -= 2.0 * valve.roller_radius_mm;
}

ValveLayout lay_out_valve(const Engine& engine, SceneLayout& layout, std::size_t camshaft, ValveKind kind) {
  ValveLayout valve = lay_out_follower(engine, layout, camshaft, kind);
  const std::optional<Valve>& stated = kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve;
  const double bore_mm = engine.block.bore_mm;
  const Valve size = stated.value_or(Valve{});
  valve.has_valve = stated.has_value();
  const double side = kind == ValveKind::inlet ? 1.0 : -1.0;
  valve.z_mm = valve.has_valve ? size.offset_mm.x : side * 0.24 * bore_mm;
  valve.head_mm = {size.offset_mm.y, layout.cylinder.face_mm + size.closed_height_mm};
  valve.axis = {sin_deg(size.inclination_deg), cos_deg(size.inclination_deg)};
  // Inlet and exhaust stems end at one height, over the larger head.
  double larger_head_mm = 0.0;
  for (const auto& either : {engine.inlet_valve, engine.exhaust_valve})
    if (either) larger_head_mm = std::max(larger_head_mm, either->head_mm);
  valve.stem_mm = std::max(2.9 * larger_head_mm, 0.9 * bore_mm) - size.closed_height_mm;
  if (valve.overhead) {
    // A bucket is pushed straight by its lobe: the stem points at the camshaft, wherever the file has it point.
    constexpr double in_line_mm = 0.5;
    const glm::dvec2 way = valve.cam_mm - valve.head_mm;
    if (valve.has_valve && std::fabs(cross2(valve.axis, way)) > in_line_mm) layout.stems_turned = true;
    valve.axis = way / length2(way);
    valve.follow = -valve.axis;
    valve.stem_mm = std::max(length2(way) - valve.base_radius_mm - valve.lash_mm - 3.0, 8.0);
  }
  valve.spring_from_mm = 0.42 * valve.stem_mm;
  valve.spring_to_mm = valve.stem_mm - 8.0;
  valve.coils = valve.spring_to_mm - valve.spring_from_mm > 30.0 ? 6 : 4;
  if (!valve.overhead) lay_out_pushrod(valve, bore_mm);
  return valve;
}

} // namespace

std::string camshaft_words(const Engine& engine, std::size_t camshaft) {
  if (engine.camshafts.size() == 1) return "cam";
  const std::string& name = engine.camshafts[camshaft].name;
  return name.ends_with("cam") ? name : name + " cam";
}

void lay_out_engine(const Engine& engine, SceneLayout& layout) {
  layout.cylinder = lay_out_cylinders(engine, layout.plate_back_mm, layout.running_sign);
  find_camshafts(engine, layout);
  choose_cylinder_clock(engine, layout);
  layout.engine_frame = turned_clock(layout.cylinder_clock_deg);
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    if (engine.camshafts[i].inlet) layout.valves.push_back(lay_out_valve(engine, layout, i, ValveKind::inlet));
    if (engine.camshafts[i].exhaust) layout.valves.push_back(lay_out_valve(engine, layout, i, ValveKind::exhaust));
  }
}

} // namespace phasewright
