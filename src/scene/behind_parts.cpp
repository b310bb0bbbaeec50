// Shims, retaining plates and the shaft's shoulders behind them: sizes and meshes.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>

namespace phasewright {

namespace {

constexpr double least_room_mm = 1.0; // less is not drawn in
constexpr int round_points = 40;

Mesh ring(double inside_mm, double outside_mm, double low_mm, double high_mm) {
  return revolve({{inside_mm, low_mm}, {outside_mm, low_mm}, {outside_mm, high_mm}, {inside_mm, high_mm}},
                 round_points);
}

double shoulder_mm(const SprocketLayout& sprocket) { // goes through the backing plate's hole
  return sprocket.bore_radius_mm + 1.3;
}

// A plate with an ear and a screw on either side.
Mesh retaining_plate(const SprocketLayout& sprocket, double reach_mm) {
  const double hole_mm = sprocket.bore_radius_mm + 0.6;
  const double end_mm = std::max(0.8 * sprocket.hub_radius_mm, hole_mm + 2.0);
  const double aside_mm = std::max(std::min(0.95 * sprocket.hub_radius_mm, reach_mm - end_mm), 0.1);
  const Outline holes[] = {reversed(circle({0, 0}, hole_mm, round_points))};
  Mesh mesh =
      extrude(rounded_hull({-aside_mm, 0}, end_mm, {aside_mm, 0}, end_mm, 16), holes, 0.0, sprocket.retainer_thick_mm);
  const double screw_mm = std::min(2.6, 0.2 * end_mm);
  const double at_mm = aside_mm + end_mm - 1.5 * screw_mm;
  if (at_mm - screw_mm < sprocket.hub_radius_mm + 0.3) return mesh; // they would stand under the hub
  for (const double side : {-1.0, 1.0})
    append(mesh, solid_cylinder(screw_mm, 0.0, sprocket.retainer_thick_mm + 1.2, 6), moved({side * at_mm, 0, 0}));
  return mesh;
}

} // namespace

void lay_out_behind(const Engine& engine, SceneLayout& layout) {
  for (LoopLayout& loop : layout.loops)
    for (SprocketLayout& sprocket : loop.sprockets) {
      const double behind_mm = std::max(sprocket.nose_back_mm, layout.plate_front_mm - loop.z_mm);
      const double room_mm = sprocket.hub_back_mm - behind_mm;
      if (room_mm < least_room_mm) continue;
      if (sprocket.mount == Mount::crank) sprocket.shim_room_mm = room_mm;
      const bool against_plate = sprocket.nose_back_mm < layout.plate_front_mm - loop.z_mm;
      if (sprocket.mount != Mount::camshaft || !against_plate) continue;
      sprocket.retainer_room_mm = room_mm;
      sprocket.retainer_thick_mm = std::min(0.6 * room_mm, 5.0);
      const auto seat = engine.cam_seats.find(engine.camshafts[sprocket.camshaft].name);
      if (seat == engine.cam_seats.end() || !seat->second.plate_mm) continue;
      constexpr double gap_room_mm = 0.5;
      sprocket.retainer_to_size = *seat->second.plate_mm <= room_mm - gap_room_mm;
      if (sprocket.retainer_to_size) sprocket.retainer_thick_mm = *seat->second.plate_mm;
    }
}

void add_behind_meshes(SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (LoopLayout& loop : layout.loops)
    for (SprocketLayout& sprocket : loop.sprockets) {
      if (sprocket.retainer_thick_mm > 0.0) {
        // Inside the chain, which stands before it.
        const double reach_mm = 0.86 * sprocket.form.gap_bottom_radius_mm;
        sprocket.retainer = add_mesh(meshes, retaining_plate(sprocket, reach_mm));
        sprocket.boss = add_mesh(meshes, ring(1.002 * sprocket.bore_radius_mm, 0.9 * sprocket.hub_radius_mm, 0.0,
                                              sprocket.retainer_room_mm - sprocket.retainer_thick_mm));
        sprocket.shoulder = add_mesh(meshes, ring(0.99 * sprocket.bore_radius_mm, shoulder_mm(sprocket),
                                                  layout.plate_back_mm - layout.plate_front_mm, 0.0));
      } else if (sprocket.shim_room_mm > 0.0) {
        sprocket.shoulder =
            add_mesh(meshes, ring(0.99 * sprocket.bore_radius_mm, shoulder_mm(sprocket), -sprocket.shim_room_mm, 0.0));
        for (std::size_t i = 0; i < leaf_mm.size(); ++i)
          layout.shim_leaves[i] =
              add_mesh(meshes, ring(1.01 * sprocket.bore_radius_mm, 0.96 * sprocket.hub_radius_mm, 0.0, leaf_mm[i]));
      }
    }
}

} // namespace phasewright
