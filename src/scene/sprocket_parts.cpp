// Sprockets with their teeth, hubs, marks, keys, shaft noses, bearings and nuts, and the plate behind them.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Points of the circles that are looked at closely: bores, hubs, shafts.
constexpr int round_points = 64;

std::uint32_t add(Mesh& mesh, glm::dvec3 position, glm::dvec3 normal) {
  mesh.vertices.push_back({glm::vec3(position), glm::vec3(glm::normalize(normal))});
  return static_cast<std::uint32_t>(mesh.vertices.size() - 1);
}

glm::dvec2 turned(glm::dvec2 v, double clockwise_rad) {
  const double c = std::cos(clockwise_rad);
  const double s = std::sin(clockwise_rad);
  return {v.x * c + v.y * s, v.y * c - v.x * s};
}

// One tooth's two faces: strips between its flanks, sloping where the side is relieved. `half` is half a gap, the tooth
// stands clockwise of it.
void add_tooth_faces(Mesh& mesh, const ToothForm& form, const std::vector<glm::dvec2>& half, bool pointed,
                     double gap_rad) {
  const double tooth_rad = pi / form.teeth;
  const glm::dvec2 up = turned({0, 1}, gap_rad + tooth_rad);
  constexpr double nudge_mm = 1e-3;
  struct Rung {
    glm::dvec2 left, right;
    double half_mm, slope;
  };
  std::vector<Rung> rungs;
  for (const glm::dvec2 point : half) {
    const double radius = length2(point);
    const double slope = (half_width_at_mm(form, radius - nudge_mm) - half_width_at_mm(form, radius)) / nudge_mm;
    rungs.push_back({turned(point, gap_rad), turned({-point.x, point.y}, gap_rad + 2.0 * tooth_rad),
                     half_width_at_mm(form, radius), slope});
  }
  for (const double side : {1.0, -1.0}) {
    const auto put = [&](const glm::dvec2& at, const Rung& rung) {
      return add(mesh, {at, side * rung.half_mm}, {rung.slope * up, side});
    };
    const auto face = [&](std::uint32_t a, std::uint32_t b, std::uint32_t c) {
      for (const std::uint32_t i : side > 0 ? std::array{a, b, c} : std::array{a, c, b}) mesh.indices.push_back(i);
    };
    std::uint32_t left = put(rungs[0].left, rungs[0]);
    std::uint32_t right = put(rungs[0].right, rungs[0]);
    for (std::size_t i = 1; i < rungs.size(); ++i) {
      const std::uint32_t upper_left = put(rungs[i].left, rungs[i]);
      face(left, right, upper_left);
      if (pointed && i + 1 == rungs.size()) break;
      const std::uint32_t upper_right = put(rungs[i].right, rungs[i]);
      face(upper_left, right, upper_right);
      left = upper_left;
      right = upper_right;
    }
    if (!pointed) face(left, right, put(form.tip_radius_mm * up, rungs.back()));
  }
}

// The edge of the whole disc, of the width its radius has there.
void add_rim(Mesh& mesh, const ToothForm& form, const Outline& outline) {
  const std::size_t n = outline.size();
  std::vector<glm::dvec2> flat(n);
  for (std::size_t i = 0; i < n; ++i) {
    const glm::dvec2 way = outline[(i + 1) % n] - outline[i];
    flat[i] = -left_of(way) / length2(way);
  }
  const auto blended = [&](std::size_t edge, std::size_t other) {
    return dot2(flat[edge], flat[other]) > cos_deg(35.0) ? flat[edge] + flat[other] : flat[edge];
  };
  const auto half = [&](std::size_t i) { return half_width_at_mm(form, length2(outline[i])); };
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = (i + 1) % n;
    const glm::dvec3 start{blended(i, (i + n - 1) % n), 0};
    const glm::dvec3 end{blended(i, j), 0};
    const std::uint32_t a = add(mesh, {outline[i], -half(i)}, start);
    const std::uint32_t b = add(mesh, {outline[j], -half(j)}, end);
    const std::uint32_t c = add(mesh, {outline[j], half(j)}, end);
    const std::uint32_t d = add(mesh, {outline[i], half(i)}, start);
    for (const std::uint32_t k : {a, b, c, a, c, d}) mesh.indices.push_back(k);
  }
}

// The flat web inside the gaps' bottoms, with its holes.
void add_web(Mesh& mesh, const Outline& web, std::span<const Outline> holes, double half_mm) {
  const auto triangles = triangulate(web, holes);
  for (const double side : {1.0, -1.0}) {
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (const glm::dvec2 point : web) add(mesh, {point, side * half_mm}, {0, 0, side});
    for (const Outline& hole : holes)
      for (const glm::dvec2 point : hole) add(mesh, {point, side * half_mm}, {0, 0, side});
    for (const auto& [a, b, c] : triangles)
      for (const std::uint32_t i : side > 0 ? std::array{a, b, c} : std::array{a, c, b})
        mesh.indices.push_back(first + i);
  }
  for (const Outline& hole : holes) {
    const std::size_t n = hole.size();
    for (std::size_t i = 0; i < n; ++i) {
      const glm::dvec2 from = hole[i];
      const glm::dvec2 to = hole[(i + 1) % n];
      const glm::dvec2 middle = -left_of(to - from);
      // Holes are round: shaded from the chord to either neighbour alike.
      const glm::dvec2 before = -left_of(from - hole[(i + n - 1) % n]);
      const glm::dvec2 after = -left_of(hole[(i + 2) % n] - to);
      const glm::dvec3 start{middle + before, 0};
      const glm::dvec3 end{middle + after, 0};
      const std::uint32_t a = add(mesh, {from, -half_mm}, start);
      const std::uint32_t b = add(mesh, {to, -half_mm}, end);
      const std::uint32_t c = add(mesh, {to, half_mm}, end);
      const std::uint32_t d = add(mesh, {from, half_mm}, start);
      for (const std::uint32_t k : {a, b, c, a, c, d}) mesh.indices.push_back(k);
    }
  }
}

// Round holes in the web of a large sprocket.
std::vector<Outline> web_holes(const SprocketLayout& sprocket) {
  constexpr int hole_points = 48;
  constexpr int hub_points = round_points;
  std::vector<Outline> holes{reversed(circle({0, 0}, sprocket.hub_radius_mm, hub_points))};
  const double room_mm = sprocket.form.gap_bottom_radius_mm - sprocket.hub_radius_mm;
  if (room_mm < 0.8 * sprocket.hub_radius_mm) return holes;
  const int count = sprocket.form.teeth >= 30 ? 6 : 5;
  const double at_mm = sprocket.hub_radius_mm + 0.46 * room_mm;
  const double radius_mm = std::min(0.30 * room_mm, 0.33 * at_mm);
  // The middle of a land between two holes faces the mark.
  for (int i = 0; i < count; ++i)
    holes.push_back(
        reversed(circle(at_mm * unit_vector(pi / 2.0 + turn_rad * (i + 0.5) / count), radius_mm, hole_points)));
  return holes;
}

// The toothed disc in all rows, the mark on +y.
Mesh toothed_disc(const SprocketLayout& sprocket, MarkOn mark, const std::vector<double>& rows_mm) {
  const ToothForm& form = sprocket.form;
  constexpr int seat_points = 4;
  constexpr int flank_points = 3;
  const std::vector<glm::dvec2> half = half_gap_mm(form, seat_points, flank_points);
  const bool pointed = is_pointed(form);
  Mesh row;
  Outline web;
  for (int gap = 0; gap < form.teeth; ++gap) {
    const double gap_rad = -turn_rad * gap / form.teeth;
    add_tooth_faces(row, form, half, pointed, gap_rad);
    web.push_back(turned(half[0], gap_rad));
  }
  add_rim(row, form, tooth_outline_mm(form, seat_points, flank_points));
  add_web(row, web, web_holes(sprocket), form.width_mm / 2.0);

  Mesh disc;
  const double turn_deg = mark == MarkOn::gap ? 0.0 : 180.0 / form.teeth;
  for (const double z : rows_mm) append(disc, row, moved({0, 0, z}) * turned_clock(turn_deg));
  return disc;
}

Mesh hub_ring(const SprocketLayout& sprocket, double key_width_mm, double keyway_depth_mm) {
  const Outline bore = sprocket.keyed ? slotted_circle(sprocket.bore_radius_mm, key_width_mm,
                                                       sprocket.bore_radius_mm + keyway_depth_mm, round_points)
                                      : circle({0, 0}, sprocket.bore_radius_mm, round_points);
  const Outline holes[] = {reversed(bore)};
  return extrude(circle({0, 0}, sprocket.hub_radius_mm, round_points), holes, sprocket.hub_back_mm,
                 sprocket.hub_front_mm, 0.04 * sprocket.bore_radius_mm);
}

// Half of a half-round key, cut through at the hub's front face so that the step can be seen. Its frame: y outward from
// the shaft's axis, z along it. `inner`: the half in the shaft, else the half in the hub.
Mesh key_half(const SprocketLayout& sprocket, const KeySize& key, bool inner) {
  // The key's side, in (z, y): flat on top, round below, about the cutter's centre.
  const double top_mm = sprocket.bore_radius_mm + sprocket.key_proud_mm;
  const double radius_mm = key.diameter_mm / 2.0;
  const double centre_mm = top_mm - key.height_mm + radius_mm;
  const double shaft_mm = sprocket.bore_radius_mm;
  const double cut_mm = sprocket.hub_front_mm + 0.25; // through its middle, where it is deepest
  const double from_y = inner ? top_mm - key.height_mm : shaft_mm;
  const double to_y = inner ? shaft_mm : top_mm;
  Outline side; // x = along the shaft from the cut backward
  const auto reach = [&](double y) {
    const double up = std::min(y - centre_mm, radius_mm);
    return std::sqrt(std::max(0.0, radius_mm * radius_mm - up * up));
  };
  constexpr int points = 8;
  side.push_back({0.0, from_y});
  for (int i = inner ? 1 : 0; i <= points; ++i) {
    const double y = std::lerp(from_y, to_y, double(i) / points);
    side.push_back({reach(y), y});
  }
  side.push_back({0.0, to_y});
  // The side lies in the plane of the axis: outline x to world -z, y to y, thickness to x.
  Mesh half;
  append(half, extrude(side, {}, -key.width_mm / 2.0, key.width_mm / 2.0),
         frame({0, 0, -1}, {0, 1, 0}, {1, 0, 0}, {0, 0, cut_mm}));
  return half;
}

// The shaft's seat with its keyway, from behind the hub to its front, in solids that touch.
std::vector<Mesh> shaft_nose(const SprocketLayout& sprocket, double key_width_mm, double keyseat_depth_mm) {
  const double front_mm = sprocket.hub_front_mm;
  const double back_mm = sprocket.nose_back_mm;
  const double radius_mm = sprocket.bore_radius_mm * 0.998;
  const double slot_back_mm = std::max(sprocket.hub_back_mm, back_mm + 0.5);
  if (!sprocket.keyed) return {solid_cylinder(radius_mm, back_mm, front_mm, round_points)};
  return {extrude(slotted_circle(radius_mm, key_width_mm, radius_mm - keyseat_depth_mm, round_points), {}, slot_back_mm,
                  front_mm),
          solid_cylinder(radius_mm, back_mm, slot_back_mm, round_points)};
}

// An idler's spindle: it stands still, with a bolt through it and a washer that keeps the bearing on.
constexpr double spindle_share = 0.62; // of the bore

Mesh spindle(const SprocketLayout& sprocket) {
  const double radius_mm = spindle_share * sprocket.bore_radius_mm;
  const double front_mm = sprocket.hub_front_mm;
  Mesh mesh = solid_cylinder(radius_mm, sprocket.nose_back_mm, front_mm + 0.6, 36, 0.3);
  append(mesh, solid_cylinder(1.12 * radius_mm, front_mm + 0.1, front_mm + 1.6, 36, 0.4));
  append(mesh, solid_cylinder(0.62 * radius_mm, front_mm + 1.6, front_mm + 1.6 + 0.7 * radius_mm, 6, 0.4));
  return mesh;
}

// Two races and the shield between them, a little behind the hub's face.
Mesh bearing(const SprocketLayout& sprocket) {
  const double outer_mm = 0.998 * sprocket.bore_radius_mm;
  const double inner_mm = 1.002 * spindle_share * sprocket.bore_radius_mm;
  const double race_mm = 0.28 * (outer_mm - inner_mm);
  const double back_mm = sprocket.hub_back_mm;
  const double front_mm = sprocket.hub_front_mm - 0.4;
  const double shield_mm = front_mm - 0.6;
  return revolve({{inner_mm, back_mm},
                  {outer_mm, back_mm},
                  {outer_mm, front_mm},
                  {outer_mm - race_mm, front_mm},
                  {outer_mm - race_mm, shield_mm},
                  {inner_mm + race_mm, shield_mm},
                  {inner_mm + race_mm, front_mm},
                  {inner_mm, front_mm}},
                 48);
}

Outline hexagon(double across_flats_mm) {
  return circle({0, 0}, across_flats_mm / std::sqrt(3.0), 6);
}

void add_nut(SprocketLayout& sprocket, std::vector<Mesh>& meshes) {
  const double flats_mm = 2.2 * sprocket.bore_radius_mm;
  const NutSizes sizes = nut_sizes(sprocket);
  const double front_mm = sizes.from_mm + sizes.tab_mm;
  const double high_mm = sizes.nut_mm;
  Mesh nut = extrude(hexagon(flats_mm), {}, front_mm, front_mm + high_mm, 0.05 * flats_mm);
  append(nut, solid_cylinder(0.62 * sprocket.bore_radius_mm, front_mm, front_mm + high_mm + sizes.thread_mm, 28, 0.8));
  sprocket.nut = add_mesh(meshes, std::move(nut));

  // A round washer with one tab bent up against a flat of the nut.
  const double tab_mm = sizes.tab_mm;
  Mesh tab = solid_cylinder(1.25 * sprocket.bore_radius_mm, sizes.from_mm, front_mm, 36);
  const double half_mm = 0.3 * flats_mm;
  const Outline bent{{-half_mm, flats_mm / 2.0},
                     {half_mm, flats_mm / 2.0},
                     {half_mm, flats_mm / 2.0 + tab_mm},
                     {-half_mm, flats_mm / 2.0 + tab_mm}};
  append(tab, extrude(bent, {}, sizes.from_mm, front_mm + sizes.bent_mm));
  sprocket.lock_tab = add_mesh(meshes, std::move(tab));
}

void add_sprocket(const Sprocket& stated, const ShaftSeat& seat, const std::vector<double>& rows_mm,
                  SprocketLayout& sprocket, std::vector<Mesh>& meshes) {
  const Keyway keyway = find_keyway(seat.key).value_or(
      Keyway{seat.key, seat.key.height_mm - sprocket.key_proud_mm, sprocket.key_proud_mm + 0.2});
  sprocket.disc = add_mesh(meshes, toothed_disc(sprocket, stated.mark, rows_mm));
  sprocket.ring = add_mesh(meshes, hub_ring(sprocket, seat.key.width_mm, keyway.hub_depth_mm));
  if (sprocket.mount == Mount::idler) { // not marked, and held by its spindle's bolt
    sprocket.nose = add_mesh(meshes, spindle(sprocket));
    sprocket.bearing = add_mesh(meshes, bearing(sprocket));
    return;
  }
  Mesh nose;
  for (const Mesh& piece : shaft_nose(sprocket, seat.key.width_mm, keyway.shaft_depth_mm)) append(nose, piece);
  sprocket.nose = add_mesh(meshes, std::move(nose));
  const double face_mm = rows_mm.back() + sprocket.form.width_mm / 2.0;
  sprocket.mark = add_mesh(meshes, solid_cylinder(sprocket.mark_dot_mm, face_mm - 0.1, face_mm + 0.25, 20));
  if (sprocket.keyed) {
    sprocket.key_shaft_half = add_mesh(meshes, key_half(sprocket, seat.key, true));
    sprocket.key_hub_half = add_mesh(meshes, key_half(sprocket, seat.key, false));
  }
  if (sprocket.in_front) add_nut(sprocket, meshes);
}

ShaftSeat seat_of(const Engine& engine, const SprocketLayout& sprocket) {
  if (sprocket.mount == Mount::crank) return engine.crank_seat;
  if (sprocket.mount != Mount::camshaft) return {};
  const auto found = engine.cam_seats.find(engine.camshafts[sprocket.camshaft].name);
  return found == engine.cam_seats.end() ? ShaftSeat{} : found->second;
}

// The least outline without hollows around some points, anticlockwise (Andrew's monotone chain).
Outline hull_around(std::vector<glm::dvec2> points) {
  std::ranges::sort(points, [](glm::dvec2 a, glm::dvec2 b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  Outline hull;
  const auto wrap = [&](glm::dvec2 point, std::size_t keep) {
    while (hull.size() > keep + 1 && cross2(hull.back() - hull[hull.size() - 2], point - hull.back()) <= 1e-9)
      hull.pop_back();
    hull.push_back(point);
  };
  for (const glm::dvec2 point : points) wrap(point, 0);
  const std::size_t lower = hull.size() - 1;
  for (std::size_t i = points.size() - 1; i-- > 0;) wrap(points[i], lower);
  hull.pop_back();
  return hull;
}

// Round all sprockets, rails and the tensioner, with a hole for each shaft that comes out of the engine.
Mesh backing_plate(const Engine& engine, const SceneLayout& layout) {
  std::vector<glm::dvec2> edge;
  std::vector<Outline> holes;
  const auto around = [&](glm::dvec2 centre, double radius_mm, int points) {
    for (const glm::dvec2 point : circle(centre, radius_mm, points)) edge.push_back(point);
  };
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    const double pitch_mm = engine.loops[l].chain.pitch_mm;
    for (const glm::dvec2 point : rail_points_mm(layout.loops[l])) around(point, 0.5 * pitch_mm, 12);
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      const SprocketLayout& sprocket = layout.loops[l].sprockets[i];
      around(sprocket.centre_mm, sprocket.form.tip_radius_mm + pitch_mm, 96);
      const bool on_another = l > 0 && i == 0;
      if (sprocket.mount != Mount::idler && !on_another)
        holes.push_back(reversed(circle(sprocket.centre_mm, sprocket.bore_radius_mm + 1.5, 40)));
    }
  }
  return extrude(hull_around(std::move(edge)), holes, layout.plate_back_mm, layout.plate_front_mm, 1.0);
}

} // namespace

NutSizes nut_sizes(const SprocketLayout& sprocket) {
  return {.from_mm = sprocket.hub_front_mm + 0.3,
          .tab_mm = std::min(1.5, 0.1 * sprocket.bore_radius_mm),
          .bent_mm = 0.42 * sprocket.bore_radius_mm,
          .nut_mm = 0.7 * sprocket.bore_radius_mm,
          .thread_mm = 2.5};
}

// Shaft, hub and key halves have their keyway on +y; the disc's lies where it is in the reference assembly.
void add_sections(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (std::size_t l = 0; l < layout.loops.size(); ++l)
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      const SprocketLayout& sprocket = layout.loops[l].sprockets[i];
      if (!sprocket.keyed) continue;
      const KeySize& key = seat_of(engine, sprocket).key;
      const double shaft_depth_mm =
          find_keyway(key).value_or(Keyway{key, key.height_mm - sprocket.key_proud_mm, 0.0}).shaft_depth_mm;
      const double apart_mm = std::clamp(0.09 * sprocket.hub_radius_mm, 0.8, 2.2);
      const auto cut = [&](std::size_t mesh, const std::vector<Mesh>& pieces, double keyway_deg, double hatch_deg) {
        add_section(layout, meshes, mesh, pieces, keyway_deg, hatch_deg, apart_mm);
      };
      const double keyway_deg = sprocket.key_clock_deg - engine.loops[l].sprockets[i].mark_clock_deg;
      cut(sprocket.disc, {meshes[sprocket.disc]}, keyway_deg, 45.0);
      cut(sprocket.ring, {meshes[sprocket.ring]}, 0.0, 45.0);
      cut(sprocket.nose, shaft_nose(sprocket, key.width_mm, shaft_depth_mm), 0.0, -45.0);
      for (const std::size_t half : {sprocket.key_shaft_half, sprocket.key_hub_half})
        cut(half, {meshes[half]}, 0.0, 90.0);
      for (const std::size_t ring : {sprocket.shoulder, sprocket.boss})
        if (ring != no_mesh) cut(ring, {meshes[ring]}, 0.0, ring == sprocket.boss ? 45.0 : -45.0);
      if (sprocket.shim_room_mm > 0.0)
        for (const std::size_t leaf : layout.shim_leaves) cut(leaf, {meshes[leaf]}, 0.0, 45.0);
    }
}

void add_sprocket_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    LoopLayout& loop = layout.loops[l];
    for (std::size_t i = 0; i < loop.sprockets.size(); ++i)
      add_sprocket(engine.loops[l].sprockets[i], seat_of(engine, loop.sprockets[i]), loop.chain.rows_mm,
                   loop.sprockets[i], meshes);
  }
  layout.plate = add_mesh(meshes, backing_plate(engine, layout));
}

} // namespace phasewright
