// Crankshaft, piston and rod.
#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// The straight parts of the crankshaft, which look the same however it stands.
Mesh main_journals(const Engine& engine, const SceneLayout& layout) {
  constexpr int points = 32;
  const CylinderLayout& cylinder = layout.cylinder;
  const double web_out_mm = cylinder.web_at_mm + cylinder.web_thick_mm / 2.0;
  Mesh mesh;
  double from_mm = layout.plate_back_mm - 1.0;
  for (int number = 1; number <= engine.block.cylinders; ++number) {
    append(mesh, solid_cylinder(cylinder.main_radius_mm, cylinder.middle_mm(number) + web_out_mm, from_mm, points));
    from_mm = cylinder.middle_mm(number) - web_out_mm;
  }
  append(mesh, solid_cylinder(cylinder.main_radius_mm, from_mm - 0.45 * engine.block.bore_mm, from_mm, points));
  return mesh;
}

// One throw: two webs and the crankpin, the pin on +y.
Mesh crank_throw(const CylinderLayout& cylinder, double throw_mm) {
  constexpr int points = 14;
  Mesh mesh;
  const Mesh web = extrude(rounded_hull({0, -0.25 * cylinder.main_radius_mm}, 1.3 * cylinder.main_radius_mm,
                                        {0, throw_mm}, 1.22 * cylinder.pin_radius_mm, points),
                           {}, -cylinder.web_thick_mm / 2.0, cylinder.web_thick_mm / 2.0, 1.2);
  for (const double side : {-1.0, 1.0}) append(mesh, web, moved({0, 0, side * cylinder.web_at_mm}));
  append(mesh, solid_cylinder(cylinder.pin_radius_mm, -cylinder.web_at_mm, cylinder.web_at_mm, 28),
         moved({0, throw_mm, 0}));
  return mesh;
}

// Middles of the rings below the land, as shares of the bore.
constexpr double ring_shares[] = {0.011, 0.071, 0.136};

double ring_height_mm(double bore_mm) {
  return std::max(0.022 * bore_mm, 0.8);
}

double ring_at_mm(const CylinderLayout& cylinder, double bore_mm, double share) {
  return cylinder.crown_above_pin_mm - cylinder.land_mm - share * bore_mm;
}

// The piston along z, its pin's axis through the origin: its crown, and what is about and below that.
Mesh piston(const CrownSolid& crown, const CylinderLayout& cylinder, double bore_mm) {
  const double outside_mm = 0.4965 * bore_mm;
  const double inside_mm = 0.40 * bore_mm;
  const double land_at_mm = cylinder.crown_above_pin_mm - cylinder.land_mm;
  Outline profile{{inside_mm, -cylinder.skirt_below_pin_mm}, {outside_mm, -cylinder.skirt_below_pin_mm}};
  const double half_mm = ring_height_mm(bore_mm) / 2.0;
  const double groove_mm = outside_mm - 0.04 * bore_mm;
  for (int i = 2; i >= 0; --i) {
    const double at_mm = ring_at_mm(cylinder, bore_mm, ring_shares[i]);
    const double high_mm = i == 0 ? land_at_mm : at_mm + half_mm; // the land lies on the first groove
    profile.insert(profile.end(), {{outside_mm, at_mm - half_mm}, {groove_mm, at_mm - half_mm}, {groove_mm, high_mm}});
    if (i > 0) profile.push_back({outside_mm, high_mm});
  }
  profile.push_back({inside_mm, land_at_mm});
  Mesh mesh = crown_mesh(crown, {.outside_mm = outside_mm,
                                 .land_mm = cylinder.land_mm,
                                 .core_mm = inside_mm,
                                 .core_down_mm = cylinder.land_mm + 0.166 * bore_mm,
                                 .flat_mm = cylinder.crown_above_pin_mm});
  append(mesh, revolve(profile, 64));
  return mesh;
}

Mesh piston_rings(const CylinderLayout& cylinder, double bore_mm) {
  Mesh mesh;
  const double half_mm = 0.42 * ring_height_mm(bore_mm);
  for (const double share : ring_shares) {
    const double at_mm = ring_at_mm(cylinder, bore_mm, share);
    append(mesh, revolve({{0.46 * bore_mm, at_mm - half_mm},
                          {0.5 * bore_mm, at_mm - half_mm},
                          {0.5 * bore_mm, at_mm + half_mm},
                          {0.46 * bore_mm, at_mm + half_mm}},
                         48));
  }
  return mesh;
}

// The rod along y from the crankpin's axis, thickness along z.
Mesh rod(const CylinderLayout& cylinder, double bore_mm, double rod_mm) {
  const double big_mm = 1.32 * cylinder.pin_radius_mm;
  const double small_mm = 0.19 * bore_mm;
  const double half_mm = 0.15 * bore_mm;
  Mesh mesh;
  const Outline big_hole[] = {reversed(circle({0, 0}, 1.01 * cylinder.pin_radius_mm, 28))};
  const Outline small_hole[] = {reversed(circle({0, 0}, 0.125 * bore_mm, 20))};
  append(mesh, extrude(circle({0, 0}, big_mm, 32), big_hole, -half_mm, half_mm, 0.8));
  append(mesh, extrude(circle({0, 0}, small_mm, 24), small_hole, -half_mm, half_mm, 0.8), moved({0, rod_mm, 0}));
  // The shank: a thin web between two flanges, narrower toward the piston.
  const double from_mm = 0.95 * big_mm;
  const double to_mm = rod_mm - 0.95 * small_mm;
  const double wide_mm = 0.6 * cylinder.pin_radius_mm;
  const double narrow_mm = 0.1 * bore_mm;
  const double flange_mm = 0.035 * bore_mm;
  append(mesh, extrude({{-wide_mm, from_mm}, {wide_mm, from_mm}, {narrow_mm, to_mm}, {-narrow_mm, to_mm}}, {},
                       -0.2 * half_mm, 0.2 * half_mm));
  const double flange_half_mm = 0.6 * half_mm;
  append(
      mesh,
      extrude({{wide_mm - flange_mm, from_mm}, {wide_mm, from_mm}, {narrow_mm, to_mm}, {narrow_mm - flange_mm, to_mm}},
              {}, -flange_half_mm, flange_half_mm, 0.3));
  append(mesh,
         extrude(
             {{-wide_mm, from_mm}, {flange_mm - wide_mm, from_mm}, {flange_mm - narrow_mm, to_mm}, {-narrow_mm, to_mm}},
             {}, -flange_half_mm, flange_half_mm, 0.3));
  return mesh;
}

} // namespace

void add_crank_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes) {
  CylinderLayout& cylinder = layout.cylinder;
  const double bore_mm = engine.block.bore_mm;
  cylinder.crankshaft = add_mesh(meshes, main_journals(engine, layout));
  cylinder.throw_and_webs = add_mesh(meshes, crank_throw(cylinder, SliderCrank(engine.block).throw_mm()));
  cylinder.piston = add_mesh(meshes, piston(layout.crown, cylinder, bore_mm));
  cylinder.rings = add_mesh(meshes, piston_rings(cylinder, bore_mm));
  cylinder.gudgeon = add_mesh(meshes, solid_cylinder(0.125 * bore_mm, -0.36 * bore_mm, 0.36 * bore_mm, 20));
  cylinder.rod = add_mesh(meshes, rod(cylinder, bore_mm, engine.block.rod_mm));
}

} // namespace phasewright
