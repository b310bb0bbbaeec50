#include "scene/crown.hpp"

#include "geometry/angle.hpp"
#include "scene/carve.hpp"
#include "scene/shapes.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr double far_mm = 1e4;

// A stretch of a line, from one distance to another; empty when the second is not the greater.
struct Stretch {
  double from_mm = -far_mm;
  double to_mm = far_mm;

  [[nodiscard]] bool holds(double at_mm) const { return at_mm > from_mm && at_mm < to_mm; }
};

Stretch shared(Stretch a, Stretch b) {
  return {std::max(a.from_mm, b.from_mm), std::min(a.to_mm, b.to_mm)};
}

struct Line {
  glm::dvec3 from_mm;
  glm::dvec3 way; // of unit length

  // Where a + 2 b t + c t^2 is negative: within a ball or a cylinder.
  [[nodiscard]] static Stretch within(double a, double b, double c) {
    if (!(c > 1e-14)) return a < 0.0 ? Stretch{} : Stretch{0.0, 0.0};
    const double root = b * b - a * c;
    if (!(root > 0.0)) return {0.0, 0.0};
    return {(-b - std::sqrt(root)) / c, (-b + std::sqrt(root)) / c};
  }
  [[nodiscard]] Stretch in_ball(glm::dvec3 middle, double radius_mm) const {
    const glm::dvec3 out = from_mm - middle;
    return within(glm::dot(out, out) - radius_mm * radius_mm, glm::dot(out, way), 1.0);
  }
  [[nodiscard]] Stretch in_cylinder(glm::dvec3 middle, glm::dvec3 axis, double radius_mm) const {
    glm::dvec3 out = from_mm - middle;
    out -= glm::dot(out, axis) * axis;
    const glm::dvec3 across = way - glm::dot(way, axis) * axis;
    return within(glm::dot(out, out) - radius_mm * radius_mm, glm::dot(out, across), glm::dot(across, across));
  }
  // On the side of a plane to which `up` points.
  [[nodiscard]] Stretch above(glm::dvec3 middle, glm::dvec3 up) const {
    const double height_mm = glm::dot(from_mm - middle, up);
    const double per_mm = glm::dot(way, up);
    if (std::fabs(per_mm) < 1e-12) return height_mm > 0.0 ? Stretch{} : Stretch{0.0, 0.0};
    const double at_mm = -height_mm / per_mm;
    return per_mm > 0.0 ? Stretch{at_mm, far_mm} : Stretch{-far_mm, at_mm};
  }
};

constexpr glm::dvec3 up{0.0, 1.0, 0.0};

// In the frame of the pistons' meshes.
glm::dvec3 in_mesh(glm::dvec3 point) {
  return {point.x, -point.z, point.y};
}

std::vector<ConvexSolid> cuts_of(const CrownSolid& crown, double flat_mm) {
  constexpr double reach_mm = 200.0; // up, out of any piston
  const glm::dvec3 flat{0.0, 0.0, flat_mm};
  std::vector<ConvexSolid> cuts;
  if (crown.stated.shape == CrownShape::dished)
    cuts.push_back(round_prism(flat - glm::dvec3{0.0, 0.0, crown.stated.height_mm}, {0, 0, 1}, crown.stated.radius_mm,
                               reach_mm, 64));
  for (const PocketSolid& pocket : crown.pockets)
    cuts.push_back(round_prism(flat + in_mesh(pocket.floor_mm), in_mesh(pocket.axis), pocket.radius_mm, reach_mm, 64));
  return cuts;
}

} // namespace

double CrownSolid::ball_radius_mm() const {
  // The chord theorem.
  return (stated.radius_mm * stated.radius_mm + stated.height_mm * stated.height_mm) / (2.0 * stated.height_mm);
}

CrownSolid crown_solid(const Engine& engine) {
  CrownSolid crown{.radius_mm = engine.block.bore_mm / 2.0, .stated = engine.block.crown, .pockets = {}};
  if (!(crown.stated.height_mm > 0.0 && crown.stated.radius_mm > 0.0)) crown.stated.shape = CrownShape::flat;
  for (const std::optional<Valve>& valve : {engine.inlet_valve, engine.exhaust_valve}) {
    if (!valve || !(valve->pocket.radius_mm > 0.0)) continue;
    const glm::dvec3 axis{sin_deg(valve->inclination_deg), cos_deg(valve->inclination_deg), 0.0};
    const glm::dvec3 head{valve->offset_mm.y, valve->closed_height_mm + engine.block.deck_mm, valve->offset_mm.x};
    crown.pockets.push_back({head - (head.y / axis.y + valve->pocket.depth_mm) * axis, axis, valve->pocket.radius_mm});
  }
  return crown;
}

double deepest_at_edge_mm(const CrownSolid& crown) {
  double deepest_mm = 0.0;
  for (const PocketSolid& pocket : crown.pockets) {
    const glm::dvec3 x{pocket.axis.y, -pocket.axis.x, 0.0};
    for (int i = 0; i < 48; ++i)
      for (const double share : {0.8, 1.0}) {
        const glm::dvec2 way = share * pocket.radius_mm * unit_vector(turn_rad * i / 48);
        const glm::dvec3 at = pocket.floor_mm + way.x * x + glm::dvec3{0.0, 0.0, way.y};
        if (length2({at.x, at.z}) > 0.9 * crown.radius_mm) deepest_mm = std::max(deepest_mm, -at.y);
      }
  }
  return deepest_mm;
}

std::optional<double> way_to_crown_mm(const CrownSolid& crown, glm::dvec3 from_mm, glm::dvec3 direction) {
  const Line line{from_mm, direction};
  std::vector<Stretch> solid{shared(line.in_cylinder({}, up, crown.radius_mm), line.above({}, -up))};
  std::vector<Stretch> cut;
  const Crown& stated = crown.stated;
  if (stated.shape == CrownShape::domed)
    solid.push_back(shared(line.in_ball({0.0, stated.height_mm - crown.ball_radius_mm(), 0.0}, crown.ball_radius_mm()),
                           line.above({}, up)));
  if (stated.shape == CrownShape::dished)
    cut.push_back(shared(line.in_cylinder({}, up, stated.radius_mm), line.above({0.0, -stated.height_mm, 0.0}, up)));
  for (const PocketSolid& pocket : crown.pockets)
    cut.push_back(shared(line.in_cylinder(pocket.floor_mm, pocket.axis, pocket.radius_mm),
                         line.above(pocket.floor_mm, pocket.axis)));
  // The solid begins where a piece of it does, or where a cut ends within one.
  std::vector<double> starts{0.0};
  for (const Stretch& piece : solid) starts.push_back(piece.from_mm);
  for (const Stretch& away : cut) starts.push_back(away.to_mm);
  std::ranges::sort(starts);
  for (const double start_mm : starts) {
    if (start_mm < 0.0) continue;
    const double just_after_mm = start_mm + 1e-9;
    const auto holds = [&](const Stretch& stretch) { return stretch.holds(just_after_mm); };
    if (std::ranges::any_of(solid, holds) && std::ranges::none_of(cut, holds)) return start_mm;
  }
  return std::nullopt;
}

Mesh crown_mesh(const CrownSolid& crown, const CrownSizes& sizes) {
  const glm::dvec3 z{0.0, 0.0, 1.0};
  const std::vector<ConvexSolid> cuts = cuts_of(crown, sizes.flat_mm);
  const double land_at_mm = sizes.flat_mm - sizes.land_mm;
  const double core_at_mm = sizes.flat_mm - sizes.core_down_mm;
  Mesh mesh = carve(round_prism(land_at_mm * z, z, sizes.outside_mm, sizes.land_mm, 64), cuts);
  append(mesh, carve(round_prism(core_at_mm * z, z, sizes.core_mm, land_at_mm - core_at_mm, 64), cuts));
  if (crown.stated.shape == CrownShape::domed) {
    const double ball_mm = crown.ball_radius_mm();
    append(mesh, carve(ball_cap((sizes.flat_mm + crown.stated.height_mm - ball_mm) * z, ball_mm, sizes.flat_mm, 12, 72),
                       cuts));
  }
  return mesh;
}

} // namespace phasewright
