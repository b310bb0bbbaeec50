// Camshaft, lobes, followers, pushrods, rockers, valves and springs.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

const Valve* valve_of(const Engine& engine, ValveKind kind) {
  const std::optional<Valve>& valve = kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve;
  return valve ? &*valve : nullptr;
}

const ValveGear& gear_of(const Engine& engine, const ValveLayout& valve) {
  const Camshaft& camshaft = engine.camshafts[valve.camshaft];
  return valve.kind == ValveKind::inlet ? *camshaft.inlet : *camshaft.exhaust;
}

double lobe_half_width_mm(double bore_mm) {
  return 0.085 * bore_mm;
}

// The lobe's true contour, its nose on +y, for the way its camshaft runs. Nothing when the lobe cannot be computed;
// such an engine cannot be assembled either.
std::size_t add_lobe(const Engine& engine, const ValveLayout& valve, std::vector<Mesh>& meshes) {
  const ValveGear& gear = gear_of(engine, valve);
  const Result<LobeProfile> profile = LobeProfile::make(gear.lobe, "lobe");
  if (!profile) return no_mesh;
  constexpr int points = 72;
  Outline outline = lobe_outline_mm(gear, *profile, points);
  if (valve.sense > 0.0) { // stated for running anticlockwise
    for (glm::dvec2& point : outline) point.x = -point.x;
    std::ranges::reverse(outline);
  }
  const double half_mm = lobe_half_width_mm(engine.block.bore_mm);
  return add_mesh(meshes, extrude(outline, {}, -half_mm, half_mm, 0.5));
}

// Shaft and bearing journals, without the lobes.
Mesh camshaft_core(const Engine& engine, const SceneLayout& layout, std::size_t camshaft) {
  const CylinderLayout& cylinder = layout.cylinder;
  const double journal_mm = layout.camshafts[camshaft].journal_radius_mm;
  double thinnest_mm = journal_mm;
  for (const ValveLayout& valve : layout.valves)
    if (valve.camshaft == camshaft) thinnest_mm = std::min(thinnest_mm, 0.85 * valve.base_radius_mm);
  const double last_mm = cylinder.middle_mm(engine.block.cylinders) - 0.55 * engine.block.bore_mm;
  Mesh mesh = solid_cylinder(thinnest_mm, last_mm, layout.plate_back_mm, 24);
  const double half_mm = 0.1 * engine.block.bore_mm;
  append(mesh, solid_cylinder(journal_mm, layout.plate_back_mm - 2.0 * half_mm, layout.plate_back_mm - 0.5, 36, 0.5));
  for (int number = 1; number <= engine.block.cylinders; ++number) {
    const double at_mm = cylinder.middle_mm(number) - 0.5 * cylinder.step_mm;
    append(mesh, solid_cylinder(journal_mm, at_mm - half_mm, at_mm + half_mm, 36, 0.5));
  }
  return mesh;
}

// Greatest reach of the contact across a flat face is the greatest slope of the lift.
double foot_radius_mm(const ValveGear& gear, double bore_mm) {
  double reach_mm = 0.0;
  if (const Result<LobeProfile> profile = LobeProfile::make(gear.lobe, "lobe"))
    for (int i = 0; i < 360; ++i) reach_mm = std::max(reach_mm, std::fabs(profile->at(radians(i - 180.0)).per_rad_mm));
  return std::clamp(reach_mm + 1.0, 0.12 * bore_mm, 0.215 * bore_mm);
}

// Along z from the face on the lobe: a foot, a stem, and a cup for the pushrod; or a bucket.
Mesh tappet(const ValveLayout& valve, const ValveGear& gear, double bore_mm) {
  const double foot_mm = foot_radius_mm(gear, bore_mm);
  if (valve.overhead) // hollow toward the valve
    return revolve({{0, 0},
                    {foot_mm - 0.6, 0},
                    {foot_mm, 0.6},
                    {foot_mm, 18.0},
                    {foot_mm - 2.0, 18.0},
                    {foot_mm - 2.0, 3.0},
                    {0, 3.0}},
                   32);
  const double stem_mm = 0.62 * foot_mm;
  if (valve.roller_radius_mm > 0.0)
    return solid_cylinder(stem_mm, 0.6 * valve.roller_radius_mm, valve.tappet_top_mm + valve.roller_radius_mm, 24, 0.6);
  return revolve({{0, 0},
                  {foot_mm - 0.5, 0},
                  {foot_mm, 0.5},
                  {foot_mm, 3.6},
                  {foot_mm - 0.5, 4.1},
                  {stem_mm, 5.5},
                  {stem_mm, valve.tappet_top_mm - 0.6},
                  {stem_mm - 0.6, valve.tappet_top_mm},
                  {0, valve.tappet_top_mm}},
                 32);
}

// The valve along z, its head's face at 0.
Mesh poppet(double head_mm, double stem_mm) {
  const double radius = head_mm / 2.0;
  const double stem = std::max(0.1 * head_mm, 2.0);
  const double margin = 0.04 * head_mm;
  return revolve({{0, 0},
                  {radius, 0},
                  {radius, margin},
                  {0.90 * radius, margin + 0.1 * radius},
                  {0.62 * radius, margin + 0.27 * radius},
                  {0.42 * radius, margin + 0.48 * radius},
                  {1.12 * stem, margin + 0.85 * radius},
                  {stem, margin + 1.2 * radius},
                  {stem, stem_mm - 0.5},
                  {stem - 0.5, stem_mm},
                  {0, stem_mm}},
                 32);
}

// Seat insert and guide, about the closed valve.
Mesh seat_and_guide(const ValveLayout& valve, double head_mm) {
  const double radius = head_mm / 2.0;
  const double margin = 0.04 * head_mm;
  const double stem = std::max(0.1 * head_mm, 2.0);
  Mesh mesh = revolve({{radius + 0.1, margin},
                       {1.12 * radius, margin},
                       {1.12 * radius, margin + 0.38 * radius},
                       {0.86 * radius, margin + 0.38 * radius},
                       {0.86 * radius, margin + 0.15 * radius}},
                      32);
  const double low_mm = 0.22 * valve.stem_mm + 0.2 * radius;
  const double high_mm = valve.spring_from_mm + 4.0;
  append(mesh,
         revolve({{1.04 * stem, low_mm}, {1.7 * stem, low_mm}, {1.7 * stem, high_mm}, {1.04 * stem, high_mm}}, 20));
  append(mesh, revolve({{1.75 * stem, valve.spring_from_mm - 2.5},
                        {0.5 * head_mm, valve.spring_from_mm - 2.5},
                        {0.5 * head_mm, valve.spring_from_mm},
                        {1.75 * stem, valve.spring_from_mm}},
                       24));
  return mesh;
}

Mesh retainer(const ValveLayout& valve, double head_mm) {
  const double outside = 0.46 * head_mm;
  const double low = valve.spring_to_mm;
  const double stem = std::max(0.1 * head_mm, 2.0);
  return revolve({{stem, low},
                  {outside, low},
                  {outside, low + 2.2},
                  {outside - 0.6, low + 2.8},
                  {2.1 * stem, low + 3.2},
                  {1.8 * stem, low + 5.0},
                  {stem, low + 5.0}},
                 28);
}

// The rocker about its pivot, x across the cylinder and y up it. Its pad stands off the tip of the shut valve by the
// lash.
Mesh rocker(const ValveLayout& valve, double half_mm) {
  const glm::dvec2 tip = valve.head_mm + valve.stem_mm * valve.axis - valve.pivot_mm;
  const double side = tip.x < 0.0 ? -1.0 : 1.0;
  constexpr double boss_mm = 8.5;
  constexpr double pad_mm = 4.0;
  constexpr double cup_mm = 5.0;
  const glm::dvec2 pad{tip.x, tip.y + valve.lash_mm + pad_mm};
  const glm::dvec2 cup{-side * valve.push_arm_mm, tip.y + 2.0};
  Mesh mesh;
  append(mesh, extrude(circle({0, 0}, boss_mm, 28), {}, -half_mm, half_mm, 0.8));
  append(mesh,
         extrude(rounded_hull({0, 1.0}, 0.72 * boss_mm, pad, pad_mm, 10), {}, -0.62 * half_mm, 0.62 * half_mm, 0.8));
  append(mesh,
         extrude(rounded_hull({0, 1.0}, 0.72 * boss_mm, cup, cup_mm, 10), {}, -0.62 * half_mm, 0.62 * half_mm, 0.8));
  return mesh;
}

Mesh pushrod(const ValveLayout& valve, double bore_mm) {
  const double radius = std::max(0.042 * bore_mm, 1.5);
  const double length = std::max(valve.push_length_mm, 4.0 * radius);
  return revolve({{0, 0},
                  {0.8 * radius, 0.25 * radius},
                  {1.15 * radius, radius},
                  {radius, 2.0 * radius},
                  {radius, length - 2.0 * radius},
                  {1.3 * radius, length - radius},
                  {0.9 * radius, length + 0.6 * radius},
                  {0, length + radius}},
                 16);
}

void add_one_valve(const Engine& engine, ValveLayout& valve, std::vector<Mesh>& meshes) {
  const ValveGear& gear = gear_of(engine, valve);
  const double bore_mm = engine.block.bore_mm;
  valve.lobe = add_lobe(engine, valve, meshes);
  valve.tappet = add_mesh(meshes, tappet(valve, gear, bore_mm));
  if (valve.roller_radius_mm > 0.0 && !valve.overhead)
    valve.roller = add_mesh(meshes, solid_cylinder(valve.roller_radius_mm, -0.08 * bore_mm, 0.08 * bore_mm, 32, 0.5));
  const Valve* stated = valve_of(engine, valve.kind);
  if (stated == nullptr) return;
  valve.valve = add_mesh(meshes, poppet(stated->head_mm, valve.stem_mm));
  valve.seat = add_mesh(meshes, seat_and_guide(valve, stated->head_mm));
  valve.retainer = add_mesh(meshes, retainer(valve, stated->head_mm));
  const double room_mm = valve.spring_to_mm - valve.spring_from_mm;
  if (room_mm > 6.0) {
    const double wire_mm = std::min(0.055 * stated->head_mm, 0.09 * room_mm);
    valve.coil = add_mesh(meshes, coil(0.37 * stated->head_mm, wire_mm, 0.5 * room_mm / valve.coils, 18, 6));
  }
  if (!valve.overhead) {
    valve.pushrod = add_mesh(meshes, pushrod(valve, bore_mm));
    valve.rocker = add_mesh(meshes, rocker(valve, 0.1 * bore_mm));
  }
}

} // namespace

void add_valve_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (ValveLayout& valve : layout.valves) add_one_valve(engine, valve, meshes);
  for (std::size_t i = 0; i < layout.camshafts.size(); ++i)
    if (layout.camshafts[i].sprocket) layout.camshafts[i].mesh = add_mesh(meshes, camshaft_core(engine, layout, i));
  layout.rocker_shaft =
      add_mesh(meshes, solid_cylinder(5.0, -0.5 * engine.block.bore_mm, 0.5 * engine.block.bore_mm, 20, 0.6));
}

} // namespace phasewright
