#include "scene/layout.hpp"

#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

ChainLayout lay_out_chain(const Chain& size) {
  ChainLayout chain;
  // Where a file gives no distance between rows, plates of ordinary thickness are taken.
  const double rows_apart_mm =
      size.transverse_pitch_mm > 1.2 * size.inner_width_mm ? size.transverse_pitch_mm : 1.8 * size.inner_width_mm;
  const double outermost_mm = (size.rows - 1) / 2.0 * rows_apart_mm;
  for (int row = 0; row < size.rows; ++row) chain.rows_mm.push_back(row * rows_apart_mm - outermost_mm);
  // Inner and outer plate share the room between the inner width and half way to the next row.
  const double room_mm = (rows_apart_mm - size.inner_width_mm) / 2.0;
  chain.inner_thick_mm = 0.48 * room_mm;
  chain.outer_thick_mm = 0.42 * room_mm;
  chain.inner_at_mm = size.inner_width_mm / 2.0 + chain.inner_thick_mm / 2.0;
  chain.outer_at_mm = size.inner_width_mm / 2.0 + 0.98 * room_mm - chain.outer_thick_mm / 2.0;
  chain.pin_half_mm = outermost_mm + rows_apart_mm / 2.0 + 0.05 * size.pitch_mm;
  return chain;
}

SprocketLayout lay_out_sprocket(const Engine& engine, const Sprocket& stated, const ShaftSeat& seat, double back_row_mm,
                                double front_row_mm) {
  SprocketLayout sprocket;
  const Chain& chain = engine.loops[0].chain;
  sprocket.form = tooth_form(chain.pitch_mm, chain.roller_mm, chain.inner_width_mm, chain.rows, stated.teeth);
  sprocket.centre_mm = stated.centre_mm;
  const double room_mm = sprocket.form.gap_bottom_radius_mm;
  // A shaft that no file states, and one too thick for its sprocket, are drawn so that a hub is left.
  sprocket.bore_radius_mm = std::min(seat.diameter_mm > 0.0 ? seat.diameter_mm / 2.0 : 0.3 * room_mm, 0.72 * room_mm);
  sprocket.keyed = seat.key.width_mm > 0.0 && seat.key.height_mm > 0.0 && seat.key.diameter_mm > 0.0;
  if (sprocket.keyed) {
    const auto keyway = find_keyway(seat.key);
    sprocket.key_proud_mm = seat.key.height_mm - (keyway ? keyway->shaft_depth_mm : 0.75 * seat.key.height_mm);
  }
  const auto hub_needed_mm = [&] { // round the corners of the keyway
    const glm::dvec2 corner{sprocket.keyed ? seat.key.width_mm / 2.0 : 0.0,
                            sprocket.bore_radius_mm + (sprocket.keyed ? sprocket.key_proud_mm + 0.5 : 0.0)};
    return length2(corner) + 0.8;
  };
  const double greatest_hub_mm = 0.93 * room_mm;
  while (hub_needed_mm() > greatest_hub_mm && sprocket.bore_radius_mm > 0.25 * room_mm) sprocket.bore_radius_mm *= 0.95;
  if (hub_needed_mm() > greatest_hub_mm) sprocket.keyed = false;
  sprocket.hub_radius_mm =
      std::clamp(1.35 * sprocket.bore_radius_mm, std::min(hub_needed_mm(), greatest_hub_mm), greatest_hub_mm);
  sprocket.hub_back_mm = back_row_mm - sprocket.form.width_mm / 2.0 - 1.0;
  sprocket.hub_front_mm = front_row_mm + sprocket.form.width_mm / 2.0 + 0.8;
  sprocket.key_clock_deg = seat.key_clock_deg;
  sprocket.mark_dot_mm = std::min(0.26 * (room_mm - sprocket.hub_radius_mm), 2.4);
  sprocket.mark_radius_mm = room_mm - 1.25 * sprocket.mark_dot_mm;
  return sprocket;
}

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
  const glm::dvec2 cam_mm = layout.cam.centre_mm;
  const double clear_mm = engine.block.bore_mm / 2.0 + nose_reach_mm(engine) + 2.0;
  const double across_mm = dot2(cam_mm, across_of(stated_deg));
  const bool overhead = dot2(cam_mm, along_of(stated_deg)) > layout.cylinder.face_mm;
  if (overhead || engine.camshafts.empty() || std::fabs(across_mm) >= clear_mm) return;
  const double lean_deg = degrees(std::asin(std::min(clear_mm / length2(cam_mm), 1.0)));
  const double cam_clock_deg = degrees(std::atan2(cam_mm.x, cam_mm.y));
  layout.cylinder_clock_deg = wrap_360(cam_clock_deg + (across_mm > 0.0 ? -lean_deg : lean_deg));
  layout.leant_clear = true;
}

// The camshaft's own half of a valve's layout.
ValveLayout lay_out_follower(const Engine& engine, const SceneLayout& layout, const Camshaft& camshaft,
                             ValveKind kind) {
  const ValveGear& gear = kind == ValveKind::inlet ? *camshaft.inlet : *camshaft.exhaust;
  ValveLayout valve;
  valve.kind = kind;
  valve.base_radius_mm = gear.base_radius_mm;
  valve.lash_mm = gear.lash_mm;
  valve.ratio = gear.rocker_ratio;
  if (gear.follower == Follower::roller_tappet)
    valve.roller_radius_mm = gear.roller_radius_mm > 0.0 ? gear.roller_radius_mm : 12.0;
  glm::dvec2 centre_mm = layout.cam.centre_mm;
  for (const Sprocket& sprocket : engine.loops[0].sprockets)
    if (sprocket.camshaft == camshaft.name) centre_mm = sprocket.centre_mm;
  valve.cam_mm = {dot2(centre_mm, across_of(layout.cylinder_clock_deg)),
                  dot2(centre_mm, along_of(layout.cylinder_clock_deg))};
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

ValveLayout lay_out_valve(const Engine& engine, const SceneLayout& layout, const Camshaft& camshaft, ValveKind kind) {
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
    // A bucket is pushed straight by its lobe: the stem points at the camshaft.
    const glm::dvec2 way = valve.cam_mm - valve.head_mm;
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

SceneLayout lay_out(const Engine& engine) {
  SceneLayout layout;
  layout.running_sign = engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  layout.chain = lay_out_chain(engine.loops[0].chain);
  const double front_mm = layout.chain.rows_mm.back();
  const double back_mm = layout.chain.rows_mm.front();
  layout.crank = lay_out_sprocket(engine, engine.loops[0].sprockets[0], engine.crank_seat, back_mm, front_mm);
  const auto cam_seat = engine.cam_seats.find(engine.loops[0].sprockets[1].camshaft);
  layout.cam = lay_out_sprocket(engine, engine.loops[0].sprockets[1],
                                cam_seat == engine.cam_seats.end() ? ShaftSeat{} : cam_seat->second, back_mm, front_mm);
  layout.plate_front_mm = -layout.chain.pin_half_mm - 2.0;
  layout.plate_back_mm = layout.plate_front_mm - 4.0;
  layout.cylinder = lay_out_cylinders(engine, layout.plate_back_mm, layout.running_sign);
  choose_cylinder_clock(engine, layout);
  layout.engine_frame = turned_clock(layout.cylinder_clock_deg);
  layout.cam_journal_radius_mm = 1.12 * layout.cam.bore_radius_mm;
  for (const Camshaft& camshaft : engine.camshafts) {
    if (camshaft.inlet) layout.valves.push_back(lay_out_valve(engine, layout, camshaft, ValveKind::inlet));
    if (camshaft.exhaust) layout.valves.push_back(lay_out_valve(engine, layout, camshaft, ValveKind::exhaust));
  }
  return layout;
}

} // namespace phasewright
