// Rollers, pins and plates.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// A link plate along x, its pin holes' centres half a pitch either side of the origin: two rounded ends and a waist
// whose sides are arcs that meet the ends without a corner.
Outline plate_outline(double pitch_mm, double height_mm) {
  constexpr double waist_share = 0.76;
  constexpr int end_points = 9;
  constexpr int waist_points = 4;
  const double end_mm = height_mm / 2.0;
  const double waist_mm = waist_share * end_mm;
  const double half_mm = pitch_mm / 2.0;
  const double arc_mm = (half_mm * half_mm + waist_mm * waist_mm - end_mm * end_mm) / (2.0 * (end_mm - waist_mm));
  if (!(arc_mm > 0.0)) return rounded_hull({-half_mm, 0}, end_mm, {half_mm, 0}, end_mm, end_points);
  const glm::dvec2 arc{0.0, waist_mm + arc_mm};
  const double meet_rad = std::atan2(arc.y, -half_mm); // from the right end's centre to the arc's centre
  Outline right;
  for (int i = 0; i <= end_points; ++i)
    right.push_back(glm::dvec2{half_mm, 0.0} +
                    end_mm * unit_vector(std::lerp(-meet_rad, meet_rad, double(i) / end_points)));
  Outline outline = right;
  // Over the waist, from right to left, and on round the left end by symmetry.
  const double from_rad = meet_rad - pi;
  const double to_rad = -pi - from_rad;
  for (int i = 1; i < waist_points; ++i)
    outline.push_back(arc + arc_mm * unit_vector(std::lerp(from_rad, to_rad, double(i) / waist_points)));
  const std::size_t half = outline.size();
  for (std::size_t i = 0; i < half; ++i) outline.push_back(-outline[i]);
  return outline;
}

// The plates of one link, in all rows. Only the edges that face the timing end in front are broken: no others are
// looked at.
Mesh plates(const ChainLayout& chain, const Outline& outline, double at_mm, double thick_mm, double bevel_mm) {
  Mesh mesh;
  const Mesh plain = extrude(outline, {}, -thick_mm / 2.0, thick_mm / 2.0);
  const Mesh front = extrude(outline, {}, -thick_mm / 2.0, thick_mm / 2.0, bevel_mm, Bevelled::high);
  for (const double row : chain.rows_mm) {
    append(mesh, plain, moved({0, 0, row - at_mm}));
    append(mesh, row == chain.rows_mm.back() ? front : plain, moved({0, 0, row + at_mm}));
  }
  return mesh;
}

// Plates whose left end stands as an inner link's, the right end as an outer link's.
Mesh cranked(const ChainLayout& chain, const Outline& outline, double pitch_mm, double bevel_mm) {
  Mesh mesh;
  for (const double row : chain.rows_mm) {
    for (const double side : {-1.0, 1.0}) {
      Mesh plate =
          extrude(outline, {}, -chain.outer_thick_mm / 2.0, chain.outer_thick_mm / 2.0, bevel_mm, Bevelled::high);
      for (MeshVertex& vertex : plate.vertices) {
        const double share = std::clamp(static_cast<double>(vertex.position_mm.x) / pitch_mm + 0.5, 0.0, 1.0);
        vertex.position_mm.z += static_cast<float>(row + side * std::lerp(chain.inner_at_mm, chain.outer_at_mm, share));
      }
      append(mesh, plate);
    }
  }
  return mesh;
}

void add_chain(const Chain& size, ChainLayout& chain, std::vector<Mesh>& meshes) {
  constexpr int roller_points = 20; // 80 triangles for a roller
  constexpr int pin_points = 12;

  Mesh rollers;
  const double roller_half_mm = 0.48 * size.inner_width_mm;
  for (const double row : chain.rows_mm)
    append(rollers, solid_cylinder(size.roller_mm / 2.0, row - roller_half_mm, row + roller_half_mm, roller_points));
  chain.roller = add_mesh(meshes, std::move(rollers));
  chain.pin = add_mesh(
      meshes, solid_cylinder(size.pin_mm / 2.0, -chain.pin_half_mm, chain.pin_half_mm, pin_points, 0.12 * size.pin_mm));

  const double bevel_mm = 0.22 * chain.outer_thick_mm;
  const Outline inner = plate_outline(size.pitch_mm, size.plate_height_mm);
  // Outer plates are a little lower than inner ones (ISO 606, h3 against h2); the share is from memory.
  const Outline outer = plate_outline(size.pitch_mm, 0.92 * size.plate_height_mm);
  chain.inner_plates = add_mesh(meshes, plates(chain, inner, chain.inner_at_mm, chain.inner_thick_mm, bevel_mm));
  chain.outer_plates = add_mesh(meshes, plates(chain, outer, chain.outer_at_mm, chain.outer_thick_mm, bevel_mm));
  if (size.links % 2 != 0) chain.cranked_plates = add_mesh(meshes, cranked(chain, outer, size.pitch_mm, bevel_mm));
}

} // namespace

void add_chain_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (std::size_t i = 0; i < layout.loops.size(); ++i) add_chain(engine.loops[i].chain, layout.loops[i].chain, meshes);
}

} // namespace phasewright
