// Meshes of the builder's instruments.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

Outline box(glm::dvec2 low, glm::dvec2 high) {
  return {low, {high.x, low.y}, high, {low.x, high.y}};
}

// z to y: what is made along z then looks along +y.
glm::dmat4 along_y(glm::dvec3 origin_mm) {
  return frame({1, 0, 0}, {0, 0, -1}, {0, 1, 0}, origin_mm);
}

// z to x.
glm::dmat4 along_x(glm::dvec3 origin_mm) {
  return frame({0, 1, 0}, {0, 0, 1}, {1, 0, 0}, origin_mm);
}

// What stands still of a dial: case, stem, and the stand with its foot.
Mesh dial_body(const DialLayout& dial) {
  const double r = dial.radius_mm;
  Mesh mesh;
  append(mesh, solid_cylinder(r, -0.24 * r, 0.22 * r, 36, 0.05 * r), along_y({0, 0, dial.axis_mm}));
  append(mesh, solid_cylinder(0.17 * r, 0.9 * r, dial.axis_mm - 0.9 * r, 14));
  append(mesh, solid_cylinder(0.12 * r, dial.axis_mm + 0.9 * r, dial.axis_mm + 1.3 * r, 12, 0.03 * r));
  const double rod_mm = std::max(0.1 * r, 1.2);
  const double post_mm = std::max(0.14 * r, 1.6);
  append(mesh, solid_cylinder(rod_mm, 0.95 * r, dial.reach_mm + 1.5 * post_mm, 12), along_x({0, 0, dial.axis_mm}));
  const double foot_high_mm = std::min(0.5 * r, 0.4 * dial.foot_mm);
  append(mesh, solid_cylinder(post_mm, -dial.foot_mm + foot_high_mm, dial.axis_mm + 3.0 * post_mm, 14),
         moved({dial.reach_mm, 0, 0}));
  append(mesh,
         solid_cylinder(std::max(dial.foot_radius_mm, post_mm), -dial.foot_mm, -dial.foot_mm + foot_high_mm, 24, 0.6),
         moved({dial.reach_mm, 0, 0}));
  append(mesh, solid_cylinder(1.9 * post_mm, dial.axis_mm - 2.0 * post_mm, dial.axis_mm + 2.0 * post_mm, 8, 0.4),
         moved({dial.reach_mm, 0, 0}));
  return mesh;
}

// The light dial; its marks are strokes.
Mesh dial_face(const DialLayout& dial) {
  const double r = dial.radius_mm;
  Mesh mesh;
  append(mesh, solid_cylinder(0.86 * r, 0.22 * r, 0.25 * r, 36), along_y({0, 0, dial.axis_mm}));
  return mesh;
}

Mesh dial_plunger(const DialLayout& dial) {
  const double r = dial.radius_mm;
  const double tip_mm = 0.1 * r;
  return revolve({{0, 0.0},
                  {0.6 * tip_mm, 0.2 * tip_mm},
                  {tip_mm, tip_mm},
                  {0.8 * tip_mm, 2.0 * tip_mm},
                  {0.8 * tip_mm, dial.axis_mm},
                  {0, dial.axis_mm}},
                 12);
}

Mesh dial_needle(const DialLayout& dial) {
  const double r = dial.radius_mm;
  const Outline needle{{-0.05 * r, -0.25 * r}, {0.05 * r, -0.25 * r}, {0.012 * r, 0.74 * r}, {-0.012 * r, 0.74 * r}};
  Mesh mesh = extrude(needle, {}, 0.27 * r, 0.31 * r);
  append(mesh, solid_cylinder(0.09 * r, 0.25 * r, 0.34 * r, 12));
  return mesh;
}

void add_dial(DialLayout& dial, std::vector<Mesh>& meshes) {
  if (!(dial.radius_mm > 0.0)) return;
  dial.body = add_mesh(meshes, dial_body(dial));
  dial.face = add_mesh(meshes, dial_face(dial));
  dial.plunger = add_mesh(meshes, dial_plunger(dial));
  dial.needle = add_mesh(meshes, dial_needle(dial));
}

// Rim, three spokes and a boss on the crank's nose; light shows between them.
Mesh wheel_mesh(const WheelLayout& wheel, const SprocketLayout& crank, double nose_mm) {
  constexpr int spokes = 3;
  const double boss_mm = std::min(1.25 * crank.bore_radius_mm, 0.5 * wheel.inner_mm);
  const double half_mm = 0.05 * wheel.inner_mm;
  std::vector<Outline> holes;
  for (int i = 0; i < spokes; ++i) {
    // Between two spokes, anticlockwise: out along one, round the rim's inside, in along the next, back round the boss.
    const double from_rad = pi / 2.0 + turn_rad * i / spokes;
    const double to_rad = from_rad + turn_rad / spokes;
    const auto arc = [&](double radius_mm, bool back, int points, Outline& outline) {
      const double inset_rad = std::asin(half_mm / radius_mm);
      for (int k = 0; k <= points; ++k) {
        const double share = double(back ? points - k : k) / points;
        outline.push_back(radius_mm * unit_vector(std::lerp(from_rad + inset_rad, to_rad - inset_rad, share)));
      }
    };
    Outline hole;
    arc(wheel.inner_mm, false, 24, hole);
    arc(boss_mm, true, 10, hole);
    holes.push_back(reversed(std::move(hole)));
  }
  Mesh mesh = extrude(circle({0, 0}, wheel.outer_mm, 96), holes, wheel.z_mm, wheel.z_mm + wheel.thick_mm);
  append(mesh, solid_cylinder(0.62 * crank.bore_radius_mm, nose_mm, wheel.z_mm, 24));
  append(mesh, solid_cylinder(0.7 * crank.bore_radius_mm, wheel.z_mm + wheel.thick_mm,
                              wheel.z_mm + wheel.thick_mm + 4.0, 6, 0.5));
  return mesh;
}

// From the plate outward behind the rim, forward past it, and in to its graduations.
Mesh pointer_mesh(const WheelLayout& wheel, double plate_mm) {
  constexpr double half_mm = 1.6;
  constexpr double thick_mm = 1.4;
  const double front_mm = wheel.z_mm + wheel.thick_mm + 0.8;
  const double out_mm = wheel.outer_mm + 3.0;
  const double foot_mm = wheel.inner_mm - 4.0;
  Mesh mesh = extrude(box({-half_mm, foot_mm}, {half_mm, out_mm + thick_mm}), {}, plate_mm, plate_mm + thick_mm);
  append(mesh, extrude(box({-half_mm, out_mm}, {half_mm, out_mm + thick_mm}), {}, plate_mm + thick_mm, front_mm));
  const double tip_mm = wheel.outer_mm - 0.3 * (wheel.outer_mm - wheel.inner_mm);
  append(mesh, extrude({{0.0, tip_mm},
                        {half_mm, out_mm - 1.0},
                        {half_mm, out_mm + thick_mm},
                        {-half_mm, out_mm + thick_mm},
                        {-half_mm, out_mm - 1.0}},
                       {}, front_mm, front_mm + thick_mm));
  return mesh;
}

} // namespace

void add_instrument_meshes(SceneLayout& layout, std::vector<Mesh>& meshes) {
  InstrumentsLayout& instruments = layout.instruments;
  const std::size_t first = meshes.size();
  for (std::size_t i = 1; i < instruments.straight_edges.size(); ++i) {
    StraightEdgeLayout& edge = instruments.straight_edges[i];
    const double half_mm = edge.across_mm / 2.0;
    edge.mesh = add_mesh(
        meshes, extrude(box({0.0, -half_mm}, {edge.length_mm, half_mm}), {}, 0.0, edge.high_mm, 0.3, Bevelled::high));
  }
  const double blade_mm = std::clamp(1.1 * layout.sprocket({0, 0}).form.pitch_radius_mm, 20.0, 60.0);
  for (std::size_t i = 0; i < leaf_mm.size(); ++i)
    instruments.blade_leaves[i] =
        add_mesh(meshes, extrude(rounded_hull({0.0, 0.0}, 3.0, {blade_mm, 0.0}, 4.0, 8), {}, 0.0, leaf_mm[i]));
  for (DialLayout& dial : instruments.at_end) add_dial(dial, meshes);
  add_dial(instruments.at_valve, meshes);
  const LoopLayout& loop = layout.loops[0];
  WheelLayout& wheel = instruments.wheel;
  wheel.mesh = add_mesh(meshes, wheel_mesh(wheel, loop.sprockets[0], loop.z_mm + loop.sprockets[0].hub_front_mm));
  wheel.pointer = add_mesh(meshes, pointer_mesh(wheel, layout.plate_front_mm));
  StopLayout& stop = instruments.stop;
  stop.rod = add_mesh(meshes, solid_cylinder(stop.radius_mm, 0.0, stop.rod_mm, 16, 0.3 * stop.radius_mm));
  Mesh plug = solid_cylinder(1.7 * stop.radius_mm, stop.plug_mm, stop.plug_mm + 9.0, 20);
  append(plug, solid_cylinder(2.5 * stop.radius_mm, stop.plug_mm + 9.0, stop.plug_mm + 14.0, 6, 0.5));
  stop.plug = add_mesh(meshes, std::move(plug));
  for (std::size_t i = first; i < meshes.size(); ++i) meshes[i].whole = true;
}

} // namespace phasewright
