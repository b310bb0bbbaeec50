#include "scene/shapes.hpp"

#include "geometry/angle.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Two faces that meet at less than this are shaded as one rounded surface.
const double crease_cos = cos_deg(30.0);

std::uint32_t add(Mesh& mesh, glm::dvec3 position, glm::dvec3 normal) {
  mesh.vertices.push_back({glm::vec3(position), glm::vec3(glm::normalize(normal))});
  return static_cast<std::uint32_t>(mesh.vertices.size() - 1);
}

void add_quad(Mesh& mesh, std::uint32_t a, std::uint32_t b, std::uint32_t c, std::uint32_t d) {
  for (const std::uint32_t i : {a, b, c, a, c, d}) mesh.indices.push_back(i);
}

glm::dvec2 unit(glm::dvec2 v) {
  return v / length2(v);
}

// Outward normal at either end of each edge of a closed outline with the solid on its left.
struct EdgeNormals {
  glm::dvec2 start;
  glm::dvec2 end;
};

std::vector<EdgeNormals> edge_normals(const Outline& outline) {
  const std::size_t n = outline.size();
  std::vector<glm::dvec2> flat(n);
  for (std::size_t i = 0; i < n; ++i) flat[i] = -left_of(unit(outline[(i + 1) % n] - outline[i]));
  std::vector<EdgeNormals> normals(n);
  for (std::size_t i = 0; i < n; ++i) {
    const auto shared = [&](std::size_t other) {
      return dot2(flat[i], flat[other]) > crease_cos ? unit(flat[i] + flat[other]) : flat[i];
    };
    normals[i] = {shared((i + n - 1) % n), shared((i + 1) % n)};
  }
  return normals;
}

// The outline moved inward by the bevel, each corner along its mitre (kept short at sharp corners).
Outline inset(const Outline& outline, double by_mm) {
  const std::size_t n = outline.size();
  Outline moved_in(n);
  for (std::size_t i = 0; i < n; ++i) {
    const glm::dvec2 before = left_of(unit(outline[i] - outline[(i + n - 1) % n]));
    const glm::dvec2 after = left_of(unit(outline[(i + 1) % n] - outline[i]));
    const glm::dvec2 middle = unit(before + after);
    moved_in[i] = outline[i] + middle * (by_mm / std::max(dot2(middle, before), 0.5));
  }
  return moved_in;
}

// A band of quads between two closed rings of as many points; `lower` and `upper` lie at those heights.
void add_wall(Mesh& mesh, const Outline& lower, double low_mm, const Outline& upper, double high_mm,
              const std::vector<EdgeNormals>& normals, double lean) {
  const std::size_t n = lower.size();
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = (i + 1) % n;
    const glm::dvec3 start{normals[i].start, lean};
    const glm::dvec3 end{normals[i].end, lean};
    const std::uint32_t a = add(mesh, {lower[i], low_mm}, start);
    const std::uint32_t b = add(mesh, {lower[j], low_mm}, end);
    const std::uint32_t c = add(mesh, {upper[j], high_mm}, end);
    const std::uint32_t d = add(mesh, {upper[i], high_mm}, start);
    add_quad(mesh, a, b, c, d);
  }
}

// A flat face and its holes; `up` is 1 for one that looks along +z, -1 for one that looks along -z.
void add_face(Mesh& mesh, const Outline& outline, std::span<const Outline> holes, double z_mm, double up) {
  const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
  for (const glm::dvec2 point : outline) add(mesh, {point, z_mm}, {0, 0, up});
  for (const Outline& hole : holes)
    for (const glm::dvec2 point : hole) add(mesh, {point, z_mm}, {0, 0, up});
  for (const auto& [a, b, c] : triangulate(outline, holes))
    for (const std::uint32_t i : up > 0 ? std::array{a, b, c} : std::array{a, c, b}) mesh.indices.push_back(first + i);
}

} // namespace

Outline circle(glm::dvec2 centre_mm, double radius_mm, int points) {
  Outline outline;
  for (int i = 0; i < points; ++i) outline.push_back(centre_mm + radius_mm * unit_vector(turn_rad * i / points));
  return outline;
}

Outline reversed(Outline outline) {
  std::ranges::reverse(outline);
  return outline;
}

Outline slotted_circle(double radius_mm, double width_mm, double floor_mm, int points) {
  const double half_mm = std::min(width_mm / 2.0, 0.9 * radius_mm);
  const double half_rad = std::asin(half_mm / radius_mm);
  Outline outline;
  const double from_rad = pi / 2.0 + half_rad;
  for (int i = 0; i <= points; ++i)
    outline.push_back(radius_mm * unit_vector(from_rad + (turn_rad - 2.0 * half_rad) * i / points));
  outline.push_back({half_mm, floor_mm});
  outline.push_back({-half_mm, floor_mm});
  return outline;
}

Outline rounded_hull(glm::dvec2 a_mm, double a_radius_mm, glm::dvec2 b_mm, double b_radius_mm, int points) {
  const glm::dvec2 way = b_mm - a_mm;
  const double way_rad = std::atan2(way.y, way.x);
  const double lean_rad = std::acos(std::clamp((a_radius_mm - b_radius_mm) / length2(way), -1.0, 1.0));
  Outline outline;
  for (int i = 0; i <= points; ++i)
    outline.push_back(a_mm + a_radius_mm *
                                 unit_vector(way_rad + std::lerp(lean_rad, turn_rad - lean_rad, double(i) / points)));
  for (int i = 0; i <= points; ++i)
    outline.push_back(b_mm + b_radius_mm * unit_vector(way_rad + std::lerp(-lean_rad, lean_rad, double(i) / points)));
  return outline;
}

Mesh extrude(const Outline& outline, std::span<const Outline> holes, double low_mm, double high_mm, double bevel_mm,
             Bevelled faces) {
  Mesh mesh;
  const std::vector<EdgeNormals> normals = edge_normals(outline);
  const bool bevel_high = bevel_mm > 0.0;
  const bool bevel_low = bevel_high && faces == Bevelled::both;
  const double wall_low_mm = bevel_low ? low_mm + bevel_mm : low_mm;
  const double wall_high_mm = bevel_high ? high_mm - bevel_mm : high_mm;
  const Outline face = bevel_high ? inset(outline, bevel_mm) : outline;
  if (bevel_low) add_wall(mesh, face, low_mm, outline, wall_low_mm, normals, -1.0);
  add_wall(mesh, outline, wall_low_mm, outline, wall_high_mm, normals, 0.0);
  if (bevel_high) add_wall(mesh, outline, wall_high_mm, face, high_mm, normals, 1.0);
  add_face(mesh, face, holes, high_mm, 1.0);
  add_face(mesh, bevel_low ? face : outline, holes, low_mm, -1.0);
  for (const Outline& hole : holes) add_wall(mesh, hole, low_mm, hole, high_mm, edge_normals(hole), 0.0);
  return mesh;
}

Mesh revolve(const Outline& profile, int segments) {
  Mesh mesh;
  const std::size_t n = profile.size();
  const bool open = profile.front().x == 0.0 && profile.back().x == 0.0;
  const std::vector<EdgeNormals> normals = edge_normals(profile);
  for (std::size_t i = 0; i < (open ? n - 1 : n); ++i) {
    const glm::dvec2 a = profile[i];
    const glm::dvec2 b = profile[(i + 1) % n];
    // At the axis the outline turns back on itself; a face there is shaded by itself.
    const glm::dvec2 flat = -left_of(unit(b - a));
    const glm::dvec2 normal_a = a.x == 0.0 ? flat : normals[i].start;
    const glm::dvec2 normal_b = b.x == 0.0 ? flat : normals[i].end;
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (int k = 0; k < segments; ++k) {
      const glm::dvec2 out = unit_vector(turn_rad * k / segments);
      add(mesh, {a.x * out, a.y}, {normal_a.x * out, normal_a.y});
      add(mesh, {b.x * out, b.y}, {normal_b.x * out, normal_b.y});
    }
    for (int k = 0; k < segments; ++k) {
      const std::uint32_t here = first + 2 * static_cast<std::uint32_t>(k);
      const std::uint32_t next = first + 2 * static_cast<std::uint32_t>((k + 1) % segments);
      if (a.x > 0.0)
        for (const std::uint32_t j : {here, next, next + 1}) mesh.indices.push_back(j);
      if (b.x > 0.0)
        for (const std::uint32_t j : {here, next + 1, here + 1}) mesh.indices.push_back(j);
    }
  }
  return mesh;
}

Mesh solid_cylinder(double radius_mm, double low_mm, double high_mm, int segments, double bevel_mm) {
  if (!(bevel_mm > 0.0))
    return revolve({{0, low_mm}, {radius_mm, low_mm}, {radius_mm, high_mm}, {0, high_mm}}, segments);
  return revolve({{0, low_mm},
                  {radius_mm - bevel_mm, low_mm},
                  {radius_mm, low_mm + bevel_mm},
                  {radius_mm, high_mm - bevel_mm},
                  {radius_mm - bevel_mm, high_mm},
                  {0, high_mm}},
                 segments);
}

Mesh coil(double radius_mm, double wire_radius_mm, double rise_mm, int around, int section) {
  Mesh mesh;
  for (int i = 0; i < around; ++i) {
    const glm::dvec2 out = unit_vector(turn_rad * i / around);
    for (int k = 0; k < section; ++k) {
      const glm::dvec2 wire = unit_vector(turn_rad * k / section);
      const glm::dvec3 normal{wire.x * out, wire.y};
      add(mesh, glm::dvec3{radius_mm * out, rise_mm / 2.0 * out.x} + wire_radius_mm * normal, normal);
    }
  }
  const auto at = [&](int i, int k) { return static_cast<std::uint32_t>((i % around) * section + k % section); };
  for (int i = 0; i < around; ++i)
    for (int k = 0; k < section; ++k) add_quad(mesh, at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k + 1));
  return mesh;
}

void append(Mesh& to, const Mesh& added, const glm::dmat4& placement) {
  const auto first = static_cast<std::uint32_t>(to.vertices.size());
  for (const MeshVertex& vertex : added.vertices)
    to.vertices.push_back({glm::vec3(placement * glm::dvec4(glm::dvec3(vertex.position_mm), 1.0)),
                           glm::vec3(placement * glm::dvec4(glm::dvec3(vertex.normal), 0.0))});
  for (const std::uint32_t i : added.indices) to.indices.push_back(first + i);
}

glm::dmat4 moved(glm::dvec3 by_mm) {
  glm::dmat4 placement(1.0);
  placement[3] = {by_mm, 1.0};
  return placement;
}

glm::dmat4 turned_clock(double clock_deg) {
  const double c = cos_deg(clock_deg);
  const double s = sin_deg(clock_deg);
  return {{c, -s, 0, 0}, {s, c, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}};
}

glm::dmat4 frame(glm::dvec3 x, glm::dvec3 y, glm::dvec3 z, glm::dvec3 origin_mm) {
  return {{x, 0}, {y, 0}, {z, 0}, {origin_mm, 1}};
}

} // namespace phasewright
