#include "scene/carve.hpp"

#include "geometry/angle.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <tuple>

namespace phasewright {

namespace {

using Points = std::vector<glm::dvec3>;

// Nearer than this to a plane is on it, and nearer than this to one another are one point (unit: mm).
constexpr double on_mm = 1e-7;
constexpr double same_mm = 2e-5;

struct Plane {
  glm::dvec3 out;
  double at_mm;

  [[nodiscard]] double above(glm::dvec3 point) const { return glm::dot(out, point) - at_mm; }
};

Plane plane_of(const FlatFace& face) {
  return {face.out, glm::dot(face.out, face.corners_mm[0])};
}

struct Range {
  double least = 1e300;
  double most = -1e300;
};

Range heights(const Points& points, const Plane& plane) {
  Range range;
  for (const glm::dvec3 point : points) {
    const double height = plane.above(point);
    range = {std::min(range.least, height), std::max(range.most, height)};
  }
  return range;
}

// The part of a convex polygon on one side of a plane.
Points part_of(const Points& points, const Plane& plane, bool below) {
  Points kept;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const glm::dvec3 a = points[i];
    const glm::dvec3 b = points[(i + 1) % points.size()];
    const double height_a = below ? plane.above(a) : -plane.above(a);
    const double height_b = below ? plane.above(b) : -plane.above(b);
    if (height_a <= on_mm) kept.push_back(a);
    if ((height_a < -on_mm && height_b > on_mm) || (height_a > on_mm && height_b < -on_mm))
      kept.push_back(a + (b - a) * (height_a / (height_a - height_b)));
  }
  if (kept.size() < 3) kept.clear();
  return kept;
}

// What of a polygon lies within a solid. One in the plane of a face does not: that face is there already.
Points within(Points points, const ConvexSolid& solid) {
  for (const FlatFace& face : solid.faces) {
    const Plane plane = plane_of(face);
    const Range range = heights(points, plane);
    if (range.least > -on_mm) return {};
    if (range.most > on_mm) points = part_of(points, plane, true);
    if (points.empty()) return {};
  }
  return points;
}

// Adds to `kept` what of a polygon lies outside a cut. `on_floor`: whether what lies in the plane of one of its faces
// is taken to be in it.
void without(Points points, const ConvexSolid& cut, bool on_floor, std::vector<Points>& kept) {
  const auto outside = [&](const Range& range) { return range.least > -on_mm && (range.most > on_mm || !on_floor); };
  for (const FlatFace& face : cut.faces)
    if (outside(heights(points, plane_of(face)))) {
      kept.push_back(std::move(points));
      return;
    }
  std::vector<Points> pieces;
  const Points whole = points;
  for (const FlatFace& face : cut.faces) {
    const Plane plane = plane_of(face);
    const Range range = heights(points, plane);
    if (range.most <= on_mm) continue;
    if (Points piece = part_of(points, plane, false); !piece.empty()) pieces.push_back(std::move(piece));
    points = part_of(points, plane, true);
    if (points.empty()) { // passes it by
      kept.push_back(whole);
      return;
    }
  }
  for (Points& piece : pieces) kept.push_back(std::move(piece));
}

struct Piece {
  Points points;
  glm::dvec3 out;
  const Shade* shade;
  bool inward; // a wall of what has been cut away
};

void add_pieces(const FlatFace& face, std::size_t own, std::span<const ConvexSolid> cuts, Points points, bool inward,
                std::vector<Piece>& pieces) {
  std::vector<Points> left{std::move(points)};
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    if (inward && i == own) continue;
    std::vector<Points> kept;
    // Of two floors in one plane the later cut's is kept.
    for (Points& one : left) without(std::move(one), cuts[i], inward && i > own, kept);
    left = std::move(kept);
  }
  for (Points& one : left) {
    if (inward) std::ranges::reverse(one);
    pieces.push_back({std::move(one), inward ? -face.out : face.out, &face.shade, inward});
  }
}

// Points that stand at one place get one number.
class Welded {
public:
  std::uint32_t number(glm::dvec3 point) {
    const auto cell = [](double v) { return static_cast<long long>(std::floor(v / same_mm)); };
    const std::array<long long, 3> at{cell(point.x), cell(point.y), cell(point.z)};
    for (long long x = -1; x <= 1; ++x)
      for (long long y = -1; y <= 1; ++y)
        for (long long z = -1; z <= 1; ++z)
          if (const auto found = cells_.find({at[0] + x, at[1] + y, at[2] + z});
              found != cells_.end() && glm::distance(points_[found->second], point) < same_mm)
            return found->second;
    const auto made = static_cast<std::uint32_t>(points_.size());
    cells_.emplace(std::tuple{at[0], at[1], at[2]}, made);
    points_.push_back(point);
    return made;
  }
  [[nodiscard]] const Points& points() const { return points_; }

private:
  std::map<std::tuple<long long, long long, long long>, std::uint32_t> cells_;
  Points points_;
};

using Loop3 = std::vector<std::uint32_t>;

// Where a corner of one polygon stands on another's edge, the edge gets it too: else the mesh would have slits.
void meet_at_corners(const Points& points, std::vector<Loop3>& loops) {
  Loop3 by_x(points.size());
  for (std::uint32_t i = 0; i < by_x.size(); ++i) by_x[i] = i;
  std::ranges::sort(by_x, {}, [&](std::uint32_t i) { return points[i].x; });
  for (Loop3& loop : loops) {
    Loop3 whole;
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const std::uint32_t from = loop[i];
      const std::uint32_t to = loop[(i + 1) % loop.size()];
      whole.push_back(from);
      const glm::dvec3 way = points[to] - points[from];
      const double length_mm = glm::length(way);
      std::vector<std::pair<double, std::uint32_t>> between;
      const double low_x = std::min(points[from].x, points[to].x) - same_mm;
      const double high_x = std::max(points[from].x, points[to].x) + same_mm;
      for (auto at = std::ranges::lower_bound(by_x, low_x, {}, [&](std::uint32_t k) { return points[k].x; });
           at != by_x.end() && points[*at].x <= high_x; ++at) {
        if (*at == from || *at == to) continue;
        const double along_mm = glm::dot(points[*at] - points[from], way) / length_mm;
        if (!(along_mm > 0.0 && along_mm < length_mm)) continue;
        if (glm::distance(points[*at], points[from] + way * (along_mm / length_mm)) < same_mm)
          between.emplace_back(along_mm, *at);
      }
      std::ranges::sort(between);
      for (const auto& [along_mm, k] : between) whole.push_back(k);
    }
    loop = std::move(whole);
  }
}

// Takes out points that follow themselves and edges that run there and straight back.
void tidy(Loop3& loop) {
  for (bool again = true; again && loop.size() > 2;) {
    again = false;
    for (std::size_t i = 0; i < loop.size() && loop.size() > 2; ++i) {
      const std::size_t next = (i + 1) % loop.size();
      const std::size_t after = (i + 2) % loop.size();
      if (loop[i] != loop[next] && loop[i] != loop[after]) continue;
      loop.erase(loop.begin() + static_cast<std::ptrdiff_t>(next));
      again = true;
      break;
    }
  }
  if (loop.size() < 3) loop.clear();
}

glm::dvec3 normal_at(const Piece& piece, glm::dvec3 point) {
  const Shade& shade = *piece.shade;
  if (shade.round == Shade::Round::no) return piece.out;
  glm::dvec3 from_middle = point - shade.middle_mm;
  if (shade.round == Shade::Round::about_axis) from_middle -= glm::dot(from_middle, shade.axis) * shade.axis;
  const double length_mm = glm::length(from_middle);
  if (!(length_mm > 0.0)) return piece.out;
  return (piece.inward ? -from_middle : from_middle) / length_mm;
}

Mesh mesh_of(const std::vector<Piece>& pieces) {
  Welded welded;
  std::vector<Loop3> loops;
  for (const Piece& piece : pieces) {
    Loop3& loop = loops.emplace_back();
    for (const glm::dvec3 point : piece.points) loop.push_back(welded.number(point));
    tidy(loop);
  }
  const Points& points = welded.points();
  std::vector<std::size_t> corners;
  for (const Loop3& loop : loops) corners.push_back(loop.size());
  meet_at_corners(points, loops);
  Mesh mesh;
  for (std::size_t i = 0; i < loops.size(); ++i) {
    tidy(loops[i]);
    if (loops[i].empty()) continue;
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    const auto add = [&](glm::dvec3 point) {
      mesh.vertices.push_back({glm::vec3(point), glm::vec3(normal_at(pieces[i], point))});
    };
    glm::dvec3 middle{};
    for (const std::uint32_t k : loops[i]) {
      add(points[k]);
      middle += points[k] / static_cast<double>(loops[i].size());
    }
    const auto n = static_cast<std::uint32_t>(loops[i].size());
    if (n <= 4 && corners[i] == n) {
      for (std::uint32_t k = 1; k + 1 < n; ++k)
        for (const std::uint32_t j : {0u, k, k + 1}) mesh.indices.push_back(first + j);
      continue;
    }
    // About its middle, since corners on an edge would make flat triangles of a fan from a corner.
    add(middle);
    for (std::uint32_t k = 0; k < n; ++k)
      for (const std::uint32_t j : {n, k, (k + 1) % n}) mesh.indices.push_back(first + j);
  }
  return mesh;
}

} // namespace

ConvexSolid round_prism(glm::dvec3 low_mm, glm::dvec3 axis, double radius_mm, double height_mm, int sides) {
  const glm::dvec3 x =
      glm::normalize(glm::cross(std::fabs(axis.y) < 0.9 ? glm::dvec3{0, 1, 0} : glm::dvec3{1, 0, 0}, axis));
  const glm::dvec3 y = glm::cross(axis, x);
  const auto at = [&](int i, double up_mm) {
    const glm::dvec2 way = radius_mm * unit_vector(turn_rad * (i % sides) / sides);
    return low_mm + way.x * x + way.y * y + up_mm * axis;
  };
  ConvexSolid solid;
  FlatFace low{{}, -axis, {}};
  FlatFace high{{}, axis, {}};
  for (int i = 0; i < sides; ++i) {
    high.corners_mm.push_back(at(i, height_mm));
    low.corners_mm.push_back(at(sides - i, 0.0));
  }
  solid.faces = {low, high}; // a floor in one plane with another is settled before any side is looked at
  for (int i = 0; i < sides; ++i) {
    const glm::dvec2 out = unit_vector(turn_rad * (i + 0.5) / sides);
    solid.faces.push_back({{at(i, 0.0), at(i + 1, 0.0), at(i + 1, height_mm), at(i, height_mm)},
                           out.x * x + out.y * y,
                           {Shade::Round::about_axis, low_mm, axis}});
  }
  return solid;
}

ConvexSolid ball_cap(glm::dvec3 ball_mm, double ball_radius_mm, double plane_z_mm, int rings, int sides) {
  const double half_rad = std::acos(std::clamp((plane_z_mm - ball_mm.z) / ball_radius_mm, -1.0, 1.0));
  const auto at = [&](int ring, int side) {
    const double rad = half_rad * ring / rings;
    const glm::dvec2 way = ball_radius_mm * std::sin(rad) * unit_vector(turn_rad * (side % sides) / sides);
    return ball_mm + glm::dvec3{way, ball_radius_mm * std::cos(rad)};
  };
  const Shade shade{Shade::Round::about_point, ball_mm, {}};
  ConvexSolid solid;
  FlatFace base{{}, {0, 0, -1}, {}};
  for (int i = 0; i < sides; ++i) base.corners_mm.push_back(at(rings, sides - i));
  solid.faces.push_back(base);
  for (int ring = 0; ring < rings; ++ring)
    for (int i = 0; i < sides; ++i) {
      Points corners{at(ring, i), at(ring + 1, i), at(ring + 1, i + 1)};
      if (ring > 0) corners.push_back(at(ring, i + 1));
      const glm::dvec3 out = glm::normalize(glm::cross(corners[1] - corners[0], corners[2] - corners[0]));
      solid.faces.push_back({std::move(corners), out, shade});
    }
  return solid;
}

Mesh carve(const ConvexSolid& solid, std::span<const ConvexSolid> cuts) {
  std::vector<Piece> pieces;
  for (const FlatFace& face : solid.faces) add_pieces(face, 0, cuts, face.corners_mm, false, pieces);
  for (std::size_t i = 0; i < cuts.size(); ++i)
    for (const FlatFace& face : cuts[i].faces)
      if (Points points = within(face.corners_mm, solid); !points.empty())
        add_pieces(face, i, cuts, std::move(points), true, pieces);
  return mesh_of(pieces);
}

} // namespace phasewright
