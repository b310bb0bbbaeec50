// Camshaft, lobes, followers, pushrods, rockers, valves and springs.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// The lobe's true contour, its nose on +y, for the way its camshaft runs. Nothing when the lobe cannot be computed;
// such an engine cannot be assembled either.
void add_lobes(const Engine& engine, ValveLayout& valve, std::vector<Mesh>& meshes) {
  const Result<ValveMotion> motion = ValveMotion::make(engine.camshafts[valve.camshaft], valve.camshaft, valve.kind);
  if (!motion) return;
  const auto add = [&](int points) {
    Outline outline = motion->contour().outline_mm(points);
    if (valve.sense > 0.0) { // stated for running anticlockwise
      for (glm::dvec2& point : outline) point.x = -point.x;
      std::ranges::reverse(outline);
    }
    return add_mesh(meshes, extrude(outline, {}, -valve.lobe_half_mm, valve.lobe_half_mm, 0.5));
  };
  valve.lobe = add(360); // chords within microns of the contour
  valve.far_lobe = add(60);
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

// Along z from the face on the lobe, or from the roller's middle: a foot, a stem, and a cup for the pushrod; or a
// bucket.
Mesh tappet(const ValveLayout& valve) {
  const double foot_mm = valve.foot_radius_mm;
  if (valve.overhead()) // hollow toward the valve
    return revolve({{0, 0},
                    {foot_mm - 0.6, 0},
                    {foot_mm, 0.6},
                    {foot_mm, 18.0},
                    {foot_mm - 2.0, 18.0},
                    {foot_mm - 2.0, 3.0},
                    {0, 3.0}},
                   40);
  const double stem_mm = 0.62 * foot_mm;
  if (valve.roller_radius_mm > 0.0)
    return solid_cylinder(stem_mm, 0.6 * valve.roller_radius_mm, valve.tappet_top_mm, 24, 0.6);
  return revolve({{0, 0},
                  {foot_mm - 0.5, 0},
                  {foot_mm, 0.5},
                  {foot_mm, 3.6},
                  {foot_mm - 0.5, 4.1},
                  {stem_mm, 5.5},
                  {stem_mm, valve.tappet_top_mm - 0.6},
                  {stem_mm - 0.6, valve.tappet_top_mm},
                  {0, valve.tappet_top_mm}},
                 40);
}

double stem_radius_mm(const ValveLayout& valve) {
  return std::max(0.2 * valve.head_radius_mm, 2.0);
}

// Leans what runs along z as the stem leans from the valve's axis. x is across the engine, to the right of the axis.
glm::dmat4 along_stem(const ValveLayout& valve) {
  const double s = cross2(valve.stem, valve.axis);
  const double c = dot2(valve.stem, valve.axis);
  return {{c, 0, -s, 0}, {0, 1, 0, 0}, {s, 0, c, 0}, {0, 0, 0, 1}};
}

// The valve along z, its head's face at 0.
Mesh poppet(const ValveLayout& valve) {
  const double radius = valve.head_radius_mm;
  const double stem = stem_radius_mm(valve);
  const double margin = valve.margin_mm;
  const double neck = margin + 1.2 * radius;
  Mesh mesh = revolve({{0, 0},
                       {radius, 0},
                       {radius, margin},
                       {0.90 * radius, margin + 0.1 * radius},
                       {0.62 * radius, margin + 0.27 * radius},
                       {0.42 * radius, margin + 0.48 * radius},
                       {1.12 * stem, margin + 0.85 * radius},
                       {stem, neck},
                       {0, neck}},
                      40);
  const double tip = std::max(valve.stem_mm, neck + 1.0);
  append(mesh, solid_cylinder(stem, 0.5 * (margin + neck), tip, 24, 0.4), along_stem(valve));
  return mesh;
}

// Seat insert and guide, about the closed valve.
Mesh seat_and_guide(const ValveLayout& valve) {
  const double radius = valve.head_radius_mm;
  const double margin = valve.margin_mm;
  const double stem = stem_radius_mm(valve);
  Mesh mesh = revolve({{radius + 0.1, valve.seat_from_mm()},
                       {valve.seat_radius_mm, valve.seat_from_mm()},
                       {valve.seat_radius_mm, valve.seat_to_mm()},
                       {0.86 * radius, valve.seat_to_mm()},
                       {0.86 * radius, margin + 0.15 * radius}},
                      48);
  const double low_mm = 0.22 * valve.stem_mm + 0.2 * radius;
  const double high_mm = valve.spring_from_mm + 4.0;
  append(mesh,
         revolve({{1.04 * stem, low_mm}, {1.7 * stem, low_mm}, {1.7 * stem, high_mm}, {1.04 * stem, high_mm}}, 20),
         along_stem(valve));
  append(mesh,
         revolve({{1.75 * stem, valve.spring_from_mm - 2.5},
                  {1.15 * valve.spring_radius_mm, valve.spring_from_mm - 2.5},
                  {1.15 * valve.spring_radius_mm, valve.spring_from_mm},
                  {1.75 * stem, valve.spring_from_mm}},
                 32),
         along_stem(valve));
  return mesh;
}

Mesh retainer(const ValveLayout& valve) {
  const double outside = valve.spring_radius_mm + 0.07 * valve.head_radius_mm;
  const double low = valve.spring_to_mm;
  const double stem = stem_radius_mm(valve);
  return revolve({{stem, low},
                  {outside, low},
                  {outside, low + 2.2},
                  {outside - 0.6, low + 2.8},
                  {2.1 * stem, low + 3.2},
                  {1.8 * stem, low + 5.0},
                  {stem, low + 5.0}},
                 28);
}

// Along z from its seat in the tappet to the middle of its ball.
Mesh pushrod(const ValveLayout& valve, double bore_mm) {
  const double radius = std::max(0.042 * bore_mm, 1.5);
  const double length = std::max(valve.push_length_mm, 4.0 * radius);
  return revolve({{0, 0},
                  {0.8 * radius, 0.25 * radius},
                  {1.15 * radius, radius},
                  {radius, 2.0 * radius},
                  {radius, length - 2.0 * radius},
                  {1.3 * radius, length - 0.7 * radius},
                  {1.2 * radius, length},
                  {0.8 * radius, length + 0.7 * radius},
                  {0, length + radius}},
                 16);
}

void add_one_valve(const Engine& engine, ValveLayout& valve, std::vector<Mesh>& meshes) {
  const double bore_mm = engine.block.bore_mm;
  add_lobes(engine, valve, meshes);
  // A bead along the line of contact, which stands out of the lobe at both ends.
  const double bead_mm = valve.lobe_half_mm + 0.8;
  valve.contact = add_mesh(meshes, solid_cylinder(std::max(0.011 * bore_mm, 0.6), -bead_mm, bead_mm, 12));
  if (valve.train != Train::finger) valve.tappet = add_mesh(meshes, tappet(valve));
  if (valve.roller_radius_mm > 0.0 && valve.train == Train::pushrod)
    valve.roller = add_mesh(meshes, solid_cylinder(valve.roller_radius_mm, -0.08 * bore_mm, 0.08 * bore_mm, 128, 0.5));
  if (valve.train == Train::pushrod) valve.pushrod = add_mesh(meshes, pushrod(valve, bore_mm));
  if (valve.lever) add_lever_meshes(valve, meshes);
  if (!valve.has_valve) return;
  valve.valve = add_mesh(meshes, poppet(valve));
  valve.seat = add_mesh(meshes, seat_and_guide(valve));
  valve.retainer = add_mesh(meshes, retainer(valve));
  const double room_mm = valve.spring_to_mm - valve.spring_from_mm;
  if (room_mm > 6.0) {
    const double wire_mm = std::min(0.11 * valve.head_radius_mm, 0.09 * room_mm);
    valve.coil = add_mesh(meshes, coil(valve.spring_radius_mm - wire_mm, wire_mm, 0.5 * room_mm / valve.coils, 20, 8));
  }
}

} // namespace

void add_valve_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (ValveLayout& valve : layout.valves) add_one_valve(engine, valve, meshes);
  for (std::size_t i = 0; i < layout.camshafts.size(); ++i)
    if (layout.camshafts[i].sprocket) layout.camshafts[i].mesh = add_mesh(meshes, camshaft_core(engine, layout, i));
}

} // namespace phasewright
