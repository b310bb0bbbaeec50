#include "scene/section.hpp"

#include "geometry/angle.hpp"
#include "scene/shapes.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

namespace phasewright {

namespace {

constexpr double off_corners_mm = 0.02; // where the plane really stands
constexpr double same_mm = 2e-4;        // corners nearer than that are one
constexpr double in_front_mm = 0.05;    // of the cap, so that hatching is not lost in it

// Numbers a mesh's corners, those at one place alike: meshes have a vertex for each face that meets there.
class Corners {
public:
  explicit Corners(const Mesh& mesh) {
    for (const MeshVertex& vertex : mesh.vertices) of_vertex_.push_back(number(glm::dvec3(vertex.position_mm)));
  }
  [[nodiscard]] std::size_t of(std::uint32_t vertex) const { return of_vertex_[vertex]; }
  [[nodiscard]] glm::dvec3 at(std::size_t corner) const { return places_[corner]; }

private:
  using Cell = std::array<long long, 3>;
  static Cell cell_of(glm::dvec3 p) {
    const auto of = [](double v) { return static_cast<long long>(std::floor(v / same_mm)); };
    return {of(p.x), of(p.y), of(p.z)};
  }
  std::size_t number(glm::dvec3 p) {
    const Cell cell = cell_of(p);
    for (int near = 0; near < 27; ++near) {
      const auto found = in_cell_.find({cell[0] + near % 3 - 1, cell[1] + near / 3 % 3 - 1, cell[2] + near / 9 - 1});
      if (found != in_cell_.end() && glm::distance(places_[found->second], p) < same_mm) return found->second;
    }
    in_cell_[cell] = places_.size();
    places_.push_back(p);
    return places_.size() - 1;
  }

  std::vector<std::size_t> of_vertex_;
  std::vector<glm::dvec3> places_;
  std::map<Cell, std::size_t> in_cell_;
};

// Where edges go over the plane: one point for each edge, whichever of its triangles asks.
class Crossings {
public:
  Crossings(const Corners& corners, double at_x_mm) : corners_(corners), at_x_mm_(at_x_mm) {}

  [[nodiscard]] std::size_t of(std::size_t a, std::size_t b) {
    const auto [found, is_new] = numbers_.try_emplace(std::minmax(a, b), places_.size());
    if (is_new) {
      const glm::dvec3 from = corners_.at(found->first.first);
      const glm::dvec3 to = corners_.at(found->first.second);
      const glm::dvec3 place = glm::mix(from, to, (at_x_mm_ - from.x) / (to.x - from.x));
      places_.emplace_back(at_x_mm_, place.y, place.z);
    }
    return found->second;
  }
  [[nodiscard]] glm::dvec3 at(std::size_t crossing) const { return places_[crossing]; }

private:
  const Corners& corners_;
  double at_x_mm_;
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> numbers_;
  std::vector<glm::dvec3> places_;
};

// The cap's border: from each crossing to the next, the solid on its left seen from where the cut-away side was.
using Border = std::multimap<std::size_t, std::size_t>;

// The closed ways along it; one there and back encloses nothing.
std::vector<std::vector<std::size_t>> ways_along(Border border) {
  std::vector<std::vector<std::size_t>> ways;
  while (!border.empty()) {
    std::vector<std::size_t> way;
    std::size_t at = border.begin()->first;
    for (auto step = border.begin(); step != border.end(); step = border.find(at)) {
      way.push_back(at);
      at = step->second;
      border.erase(step);
    }
    if (way.size() >= 3) ways.push_back(std::move(way));
  }
  return ways;
}

bool holds(const Outline& outline, glm::dvec2 point) {
  bool inside = false;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const glm::dvec2 a = outline[i];
    const glm::dvec2 b = outline[(i + 1) % outline.size()];
    if ((a.y > point.y) != (b.y > point.y) && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y))
      inside = !inside;
  }
  return inside;
}

struct Face { // of the cap
  Outline outline;
  std::vector<Outline> holes;
};

std::vector<Face> faces_of(std::vector<Outline> outlines) {
  std::vector<Face> faces;
  std::vector<Outline> holes;
  for (Outline& outline : outlines)
    if (twice_area(outline) > 0.0)
      faces.push_back({std::move(outline), {}});
    else
      holes.push_back(std::move(outline));
  for (Outline& hole : holes)
    for (Face& face : faces)
      if (holds(face.outline, hole.front())) {
        face.holes.push_back(std::move(hole));
        break;
      }
  return faces;
}

// Where a line crosses a face's edges, in pairs.
void add_hatching(const Face& face, double hatch_deg, double apart_mm, double x_mm, double mirror, Section& section) {
  const glm::dvec2 way{cos_deg(hatch_deg), sin_deg(hatch_deg)};
  const glm::dvec2 across = left_of(way);
  double low = 1e300;
  double high = -1e300;
  for (const glm::dvec2 point : face.outline) {
    low = std::min(low, dot2(point, across));
    high = std::max(high, dot2(point, across));
  }
  for (double at = (std::floor(low / apart_mm) + 0.5) * apart_mm; at < high; at += apart_mm) {
    std::vector<double> crossings;
    const auto cross = [&](const Outline& outline) {
      for (std::size_t i = 0; i < outline.size(); ++i) {
        const glm::dvec2 a = outline[i];
        const glm::dvec2 b = outline[(i + 1) % outline.size()];
        const double above_a = dot2(a, across) - at;
        const double above_b = dot2(b, across) - at;
        if ((above_a > 0.0) == (above_b > 0.0)) continue;
        const glm::dvec2 point = a + (b - a) * (above_a / (above_a - above_b));
        crossings.push_back(dot2(point, way));
      }
    };
    cross(face.outline);
    for (const Outline& hole : face.holes) cross(hole);
    std::ranges::sort(crossings);
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
      const glm::dvec2 a = crossings[i] * way + at * across;
      const glm::dvec2 b = crossings[i + 1] * way + at * across;
      section.hatching.push_back({glm::dvec3{x_mm, a.y, mirror * a.x}, glm::dvec3{x_mm, b.y, mirror * b.x}});
    }
  }
}

// Unless two of its corners are one: then it is a line, and its edges close against each other.
void add_triangle(const std::array<std::uint32_t, 3>& corners, Mesh& mesh) {
  for (std::size_t i = 0; i < 3; ++i)
    if (glm::distance(glm::dvec3(mesh.vertices[corners[i]].position_mm),
                      glm::dvec3(mesh.vertices[corners[(i + 1) % 3]].position_mm)) < same_mm)
      return;
  mesh.indices.insert(mesh.indices.end(), corners.begin(), corners.end());
}

// What is kept of the mesh goes into `kept`; gives the border that the cap has to fill.
Border cut_sides(const Mesh& mesh, const Corners& corners, double out, double plane_mm, Crossings& crossings,
                 Mesh& kept) {
  Border border;
  const auto is_kept = [&](std::size_t corner) { return out * (corners.at(corner).x - plane_mm) < 0.0; };
  for (std::size_t t = 0; t + 2 < mesh.indices.size(); t += 3) {
    std::vector<MeshVertex> left;
    std::optional<std::size_t> leaves, enters; // the crossings where the triangle's edge line does
    for (std::size_t i = 0; i < 3; ++i) {
      const std::uint32_t index = mesh.indices[t + i];
      const std::uint32_t next_index = mesh.indices[t + (i + 1) % 3];
      const std::size_t corner = corners.of(index);
      const std::size_t next = corners.of(next_index);
      const MeshVertex& vertex = mesh.vertices[index];
      if (is_kept(corner)) left.push_back(vertex);
      if (is_kept(corner) == is_kept(next)) continue;
      const std::size_t crossing = crossings.of(corner, next);
      const double share = (plane_mm - corners.at(corner).x) / (corners.at(next).x - corners.at(corner).x);
      const glm::dvec3 normal =
          glm::mix(glm::dvec3(vertex.normal), glm::dvec3(mesh.vertices[next_index].normal), share);
      const double length = glm::length(normal);
      left.push_back({glm::vec3(crossings.at(crossing)), length > 0.0 ? glm::vec3(normal / length) : vertex.normal});
      (is_kept(corner) ? leaves : enters) = crossing;
    }
    const auto first = static_cast<std::uint32_t>(kept.vertices.size());
    kept.vertices.insert(kept.vertices.end(), left.begin(), left.end());
    for (std::uint32_t k = 1; k + 1 < left.size(); ++k) add_triangle({first, first + k, first + k + 1}, kept);
    // The cap runs along its border the other way than the triangle does.
    if (leaves && enters && *leaves != *enters) border.emplace(*enters, *leaves);
  }
  return border;
}

} // namespace

Section cut_through(const Mesh& mesh, CutAway away, double hatch_deg, double apart_mm) {
  // Looked at from where the cut-away side was: x above, with z to the left; x below, with z to the right.
  const double out = away == CutAway::right ? 1.0 : -1.0;
  const double plane_mm = out * off_corners_mm;
  const double mirror = -out;
  Section section;
  const Corners corners(mesh);
  Crossings crossings(corners, plane_mm);
  std::vector<Outline> outlines;
  for (const std::vector<std::size_t>& way :
       ways_along(cut_sides(mesh, corners, out, plane_mm, crossings, section.mesh))) {
    Outline& outline = outlines.emplace_back();
    for (const std::size_t crossing : way)
      outline.emplace_back(mirror * crossings.at(crossing).z, crossings.at(crossing).y);
  }
  for (const Face& face : faces_of(std::move(outlines))) {
    const auto first = static_cast<std::uint32_t>(section.mesh.vertices.size());
    const auto add = [&](const Outline& outline) {
      for (const glm::dvec2 point : outline)
        section.mesh.vertices.push_back(
            {glm::vec3(glm::dvec3{plane_mm, point.y, mirror * point.x}), glm::vec3(glm::dvec3{out, 0.0, 0.0})});
    };
    add(face.outline);
    for (const Outline& hole : face.holes) add(hole);
    for (const auto& [a, b, c] : triangulate(face.outline, face.holes))
      add_triangle({first + a, first + b, first + c}, section.mesh);
    add_hatching(face, hatch_deg, apart_mm, plane_mm + out * in_front_mm, mirror, section);
  }
  return section;
}

} // namespace phasewright
