// Lobes, followers, levers and valves: where they stand.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// What of a valve's gear does not stand as the file says is told beyond this (unit: mm).
constexpr double in_line_mm = 0.5;
constexpr double greatest_roller_mm = 14.0; // a finger's pad of up to this radius is drawn as a roller
constexpr double bucket_top_mm = 3.0;

// Across a direction, to the right of it.
glm::dvec2 right_of(glm::dvec2 direction) {
  return {direction.y, -direction.x};
}

double angle_of(glm::dvec2 way) {
  return std::atan2(way.y, way.x);
}

glm::dvec2 unit(glm::dvec2 way) {
  return way / length2(way);
}

void face_follower(ValveLayout& valve, glm::dvec2 follow) {
  valve.follow = follow;
  valve.follow_x = -valve.sense * right_of(follow); // a camshaft that turns clockwise is seen in a mirror
}

// A lobe's turn is where its own contact point lies on the follower's.
double lobe_from_rad(const LobeContour& contour) {
  const LobeContact contact = contour.contact(0.0);
  return wrap_pi(angle_of(contact.in_follower_mm) - angle_of(contact.in_lobe_mm));
}

// Greatest reach of the contact across a flat face is the greatest slope of the lift.
double foot_radius_mm(const ValveGear& gear, const ValveMotion* motion, double bore_mm) {
  if (gear.face_mm > 0.0) return gear.face_mm / 2.0;
  double reach_mm = 0.0;
  if (motion != nullptr)
    for (int i = 0; i < 360; ++i)
      reach_mm = std::max(reach_mm, std::fabs(motion->lobe().at(radians(i - 180.0)).per_rad_mm));
  return std::clamp(reach_mm + 1.0, 0.12 * bore_mm, 0.215 * bore_mm);
}

Train train_of(const ValveGear& gear, bool over_the_head, SceneLayout& layout) {
  if (!over_the_head) return Train::pushrod;
  if (gear.follower != Follower::finger) return Train::bucket;
  if (gear.finger) return Train::finger;
  layout.finger_as_bucket = true;
  return Train::bucket;
}

// The camshaft's own half of a valve's layout.
ValveLayout lay_out_follower(const Engine& engine, SceneLayout& layout, const ValveGear& gear, std::size_t camshaft,
                             const ValveMotion* motion) {
  ValveLayout valve;
  valve.camshaft = camshaft;
  valve.base_radius_mm = gear.base_radius_mm;
  valve.lash_mm = gear.lash_mm;
  valve.lobe_half_mm = 0.085 * engine.block.bore_mm;
  valve.foot_radius_mm = foot_radius_mm(gear, motion, engine.block.bore_mm);
  if (gear.follower == Follower::roller_tappet)
    valve.roller_radius_mm = gear.roller_radius_mm > 0.0 ? gear.roller_radius_mm : 12.0;
  const CamshaftLayout& shaft = layout.camshafts[camshaft];
  valve.sense = shaft.sprocket ? layout.sprocket(*shaft.sprocket).sense : layout.running_sign;
  valve.cam_mm = {dot2(shaft.centre_mm, across_of(layout.cylinder_clock_deg)),
                  dot2(shaft.centre_mm, along_of(layout.cylinder_clock_deg))};
  valve.train = train_of(gear, valve.cam_mm.y > layout.cylinder.face_mm, layout);
  valve.lobe_reach_mm = motion != nullptr ? motion->contour().reach_mm() : gear.base_radius_mm;
  if (motion != nullptr) valve.lobe_from_rad = lobe_from_rad(motion->contour());
  return valve;
}

// Points the stem at what presses its tip, where the file's axis passes that by.
void aim_stem(ValveLayout& valve, glm::dvec2 at_mm, double apart_mm, SceneLayout& layout) {
  valve.stem = valve.axis;
  const glm::dvec2 way = at_mm - valve.head_mm;
  if (std::fabs(cross2(valve.axis, way)) <= apart_mm) return;
  layout.stems_turned = layout.stems_turned || valve.has_valve;
  valve.stem = unit(way);
}

void lay_out_bucket(ValveLayout& valve, SceneLayout& layout) {
  aim_stem(valve, valve.cam_mm, in_line_mm, layout);
  face_follower(valve, -valve.stem);
  valve.push_at_mm = valve.head_mm;
  const double to_cam_mm = dot2(valve.cam_mm - valve.head_mm, valve.stem);
  valve.stem_mm = std::max(to_cam_mm - valve.base_radius_mm - valve.lash_mm - bucket_top_mm, 8.0);
}

// A round that presses the valve's flat tip meets it straight below its middle, which wanders over the round as the
// lever swings.
LeverRound end_round(const ValveLayout& valve, glm::dvec2 middle_mm, double radius_mm, double turn, double swing_rad) {
  const double shut_rad = angle_of(-valve.axis);
  const double open_rad = shut_rad + turn * swing_rad;
  return {middle_mm, radius_mm, std::min(shut_rad, open_rad), std::max(shut_rad, open_rad)};
}

// +1 where turning clockwise takes an arm's end toward the piston.
double turn_of(glm::dvec2 arm, glm::dvec2 axis) {
  return dot2(right_of(arm), axis) < 0.0 ? 1.0 : -1.0;
}

void lay_out_finger(ValveLayout& valve, const FingerArms& arms, const ValveMotion* motion, SceneLayout& layout) {
  face_follower(valve, -valve.axis);
  // The file's y is away from the piston.
  const auto place = [&](glm::dvec2 stated_mm) { return valve.from_follower({stated_mm.x, -stated_mm.y}); };
  const double way = arms.pivot_mm.x > 0.0 ? -1.0 : 1.0;
  LeverLayout lever;
  lever.pivot_mm = place(arms.pivot_mm);
  const glm::dvec2 end_mm = place(
      arms.pivot_mm + arms.valve_arm_mm * glm::dvec2{way * cos_deg(arms.valve_arm_deg), -sin_deg(arms.valve_arm_deg)});
  const glm::dvec2 arm = end_mm - lever.pivot_mm;
  lever.turn = turn_of(arm, valve.axis);
  const double swing_rad = motion != nullptr ? motion->linkage().swing_rad(motion->lobe().greatest_lift_mm()) : 0.0;
  lever.end = end_round(valve, arm, std::min(6.0, 0.25 * arms.valve_arm_mm), lever.turn, swing_rad);
  lever.roller = arms.pad_radius_mm <= greatest_roller_mm;
  lever.push.radius_mm = arms.pad_radius_mm;
  if (motion != nullptr) {
    lever.push.middle_mm = valve.from_follower(motion->contour().contact(pi).pad_mm) - lever.pivot_mm;
    double least_rad = 0.0;
    double most_rad = 0.0;
    const double toward_cam_rad = angle_of(valve.cam_mm - lever.pivot_mm - lever.push.middle_mm);
    for (int i = 0; i < 360; ++i) { // as seen by the finger
      const LobeContact contact = motion->contour().contact(radians(i));
      const glm::dvec2 out = valve.from_follower(contact.in_follower_mm) - valve.from_follower(contact.pad_mm);
      const double swung_rad = lever.turn * motion->linkage().swing_rad(contact.tappet_mm);
      const double rad = wrap_pi(angle_of(out) + swung_rad - toward_cam_rad);
      least_rad = std::min(least_rad, rad);
      most_rad = std::max(most_rad, rad);
    }
    lever.push.from_rad = toward_cam_rad + least_rad;
    lever.push.to_rad = toward_cam_rad + most_rad;
  }
  // Its end may slide over the tip, which is some millimetres wide.
  aim_stem(valve, end_mm, std::max(in_line_mm, 0.07 * valve.head_radius_mm), layout);
  valve.stem_mm = std::max(dot2(end_mm - valve.head_mm, valve.stem) - lever.end.radius_mm - valve.lash_mm, 8.0);
  lever.end.middle_mm = arm;
  valve.lever = lever;
}

// Where a file gives only a ratio both arms stand square: equal swings then move both ends in just that ratio.
RockerArms arms_for_ratio(const ValveLayout& valve, double ratio, glm::dvec2 pad_mm) {
  RockerArms arms;
  const double across = std::max(right_of(valve.axis).x, 0.1);
  arms.push_arm_mm = std::max(std::fabs(pad_mm.x - valve.cam_mm.x) / (1.0 + ratio * across), 1.0);
  arms.valve_arm_mm = ratio * arms.push_arm_mm;
  arms.pad_radius_mm = 6.0;
  return arms;
}

void lay_out_rocker(ValveLayout& valve, const ValveGear& gear, const ValveMotion* motion) {
  const double pad_radius_mm = gear.rocker ? gear.rocker->pad_radius_mm : 6.0;
  const glm::dvec2 pad_mm = valve.head_mm + (valve.stem_mm + valve.lash_mm + pad_radius_mm) * valve.stem;
  const RockerArms arms = gear.rocker.value_or(arms_for_ratio(valve, gear.rocker_ratio, pad_mm));
  const double side = pad_mm.x > valve.cam_mm.x ? 1.0 : -1.0;
  LeverLayout lever;
  // Past square is toward the piston.
  const glm::dvec2 valve_arm = arms.valve_arm_mm * (side * cos_deg(arms.valve_arm_deg) * right_of(valve.axis) -
                                                    sin_deg(arms.valve_arm_deg) * valve.axis);
  lever.pivot_mm = pad_mm - valve_arm;
  lever.turn = turn_of(valve_arm, valve.axis);
  // The pushrod leans from the tappet to the rocker's ball, whose arm's angle is from square to the pushrod.
  const glm::dvec2 seat_mm =
      valve.cam_mm + (valve.base_radius_mm + valve.roller_radius_mm + valve.tappet_top_mm) * valve.follow;
  glm::dvec2 along = valve.follow;
  glm::dvec2 ball{};
  for (int i = 0; i < 30; ++i) {
    ball =
        arms.push_arm_mm * (-side * cos_deg(arms.push_arm_deg) * right_of(along) + sin_deg(arms.push_arm_deg) * along);
    along = unit(lever.pivot_mm + ball - seat_mm);
  }
  lever.push = {ball, 0.0, 0.0, 0.0};
  const double greatest_mm = motion != nullptr ? motion->lobe().greatest_lift_mm() : 0.0;
  const double swing_rad = gear.rocker && motion != nullptr ? motion->linkage().swing_rad(greatest_mm)
                                                            : std::asin(std::min(greatest_mm / arms.push_arm_mm, 1.0));
  lever.end = end_round(valve, valve_arm, pad_radius_mm, lever.turn, swing_rad);
  valve.push_length_mm = length2(lever.pivot_mm + ball - seat_mm);
  valve.lever = lever;
}

void lay_out_pushrod(ValveLayout& valve, const ValveGear& gear, const ValveMotion* motion, double bore_mm) {
  face_follower(valve, {0, 1});
  valve.push_at_mm = valve.cam_mm;
  valve.stem = valve.axis;
  valve.tappet_top_mm = 0.55 * bore_mm;
  if (valve.has_valve)
    lay_out_rocker(valve, gear, motion);
  else
    valve.push_length_mm = 1.5 * bore_mm;
}

ValveLayout lay_out_valve(const Engine& engine, SceneLayout& layout, std::size_t index, ValveKind kind) {
  const Camshaft& camshaft = engine.camshafts[index];
  const ValveGear& gear = kind == ValveKind::inlet ? *camshaft.inlet : *camshaft.exhaust;
  const Result<ValveMotion> made = ValveMotion::make(camshaft, index, kind);
  const ValveMotion* motion = made ? &*made : nullptr; // an engine without cannot be assembled either
  ValveLayout valve = lay_out_follower(engine, layout, gear, index, motion);
  valve.kind = kind;
  const std::optional<Valve>& stated = kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve;
  const double bore_mm = engine.block.bore_mm;
  const Valve size = stated.value_or(Valve{});
  valve.has_valve = stated.has_value();
  valve.z_mm = valve.has_valve ? size.offset_mm.x : (kind == ValveKind::inlet ? 0.24 : -0.24) * bore_mm;
  valve.head_mm = {size.offset_mm.y, layout.cylinder.face_mm + size.closed_height_mm};
  valve.axis = {sin_deg(size.inclination_deg), cos_deg(size.inclination_deg)};
  valve.head_radius_mm = size.head_mm / 2.0;
  valve.margin_mm = size.margin_mm;
  valve.pocket_room_mm = size.pocket.radius_mm - valve.head_radius_mm;
  if (stated)
    if (Result<CrownGap> gap = CrownGap::make(engine, kind)) valve.gap = *std::move(gap);
  // Inlet and exhaust stems end at one height, over the larger head.
  double larger_head_mm = 0.0;
  for (const auto& either : {engine.inlet_valve, engine.exhaust_valve})
    if (either) larger_head_mm = std::max(larger_head_mm, either->head_mm);
  valve.stem_mm = std::max(2.9 * larger_head_mm, 0.9 * bore_mm) - size.closed_height_mm;
  switch (valve.train) {
  case Train::bucket:
    lay_out_bucket(valve, layout);
    break;
  case Train::finger:
    lay_out_finger(valve, *gear.finger, motion, layout);
    break;
  case Train::pushrod:
    lay_out_pushrod(valve, gear, motion, bore_mm);
    break;
  }
  valve.spring_radius_mm = 0.85 * valve.head_radius_mm;
  if (valve.train == Train::bucket) // within its skirt
    valve.spring_radius_mm = std::min(valve.spring_radius_mm, valve.foot_radius_mm - 3.2);
  valve.spring_from_mm = 0.42 * valve.stem_mm;
  valve.spring_to_mm = valve.stem_mm - 8.0;
  valve.coils = valve.spring_to_mm - valve.spring_from_mm > 30.0 ? 6 : 4;
  return valve;
}

// A seat ring's outside, in the frame of layout.hpp with z from the cylinder's middle.
std::vector<glm::dvec3> ring_outside(const ValveLayout& valve, double radius_mm) {
  constexpr int around = 96;
  std::vector<glm::dvec3> points;
  for (const double up_mm : {valve.seat_from_mm(), valve.seat_to_mm()})
    for (int i = 0; i < around; ++i) {
      const glm::dvec2 out = radius_mm * unit_vector(turn_rad * i / around);
      points.emplace_back(valve.head_mm + up_mm * valve.axis + out.x * right_of(valve.axis), valve.z_mm + out.y);
    }
  return points;
}

// Of a point, from a valve's line and along it.
glm::dvec2 from_line_mm(const ValveLayout& valve, glm::dvec3 at) {
  const glm::dvec2 away = glm::dvec2(at) - valve.head_mm;
  return {length2({dot2(away, right_of(valve.axis)), at.z - valve.z_mm}), dot2(away, valve.axis)};
}

// How much of what lies outside a head its seat ring may take, so that rings neither run into each other nor past the
// bore.
void lay_out_seats(double bore_radius_mm, SceneLayout& layout) {
  constexpr double widest_share = 0.12; // of the head's radius
  constexpr double narrowest_mm = 0.3;
  for (ValveLayout& valve : layout.valves) {
    double room_mm = widest_share * valve.head_radius_mm;
    for (const glm::dvec3 at : ring_outside(valve, valve.head_radius_mm)) {
      room_mm = std::min(room_mm, 0.5 * (bore_radius_mm - length2({at.x, at.z})));
      for (const ValveLayout& other : layout.valves) {
        if (&other == &valve || !other.has_valve) continue;
        const glm::dvec2 from_mm = from_line_mm(other, at);
        const double beside_mm = 0.2 * other.head_radius_mm; // what is further along its line is not beside its ring
        if (from_mm.y > other.seat_from_mm() - beside_mm && from_mm.y < other.seat_to_mm() + beside_mm)
          room_mm = std::min(room_mm, 0.45 * (from_mm.x - other.head_radius_mm));
      }
    }
    valve.seat_radius_mm = valve.head_radius_mm + std::max(room_mm, narrowest_mm);
  }
}

} // namespace

void lay_out_valves(const Engine& engine, SceneLayout& layout) {
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    if (engine.camshafts[i].inlet) layout.valves.push_back(lay_out_valve(engine, layout, i, ValveKind::inlet));
    if (engine.camshafts[i].exhaust) layout.valves.push_back(lay_out_valve(engine, layout, i, ValveKind::exhaust));
  }
  lay_out_seats(engine.block.bore_mm / 2.0, layout);
}

} // namespace phasewright
