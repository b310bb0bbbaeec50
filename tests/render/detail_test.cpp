#include "files/files.hpp"
#include "render/detail.hpp"
#include "scene/model.hpp"
#include "scene/shapes.hpp"
#include "support/catch.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::gl;

namespace {

double distance_to_triangle(glm::dvec3 p, glm::dvec3 a, glm::dvec3 b, glm::dvec3 c) {
  const auto to_edge = [p](glm::dvec3 from, glm::dvec3 to) {
    const glm::dvec3 way = to - from;
    const double length2 = glm::dot(way, way);
    const double share = length2 > 0.0 ? std::clamp(glm::dot(p - from, way) / length2, 0.0, 1.0) : 0.0;
    return glm::distance(p, from + share * way);
  };
  const double to_edges = std::min({to_edge(a, b), to_edge(b, c), to_edge(c, a)});
  const glm::dvec3 normal = glm::cross(b - a, c - a);
  const double size = glm::length(normal);
  if (size < 1e-12) return to_edges;
  const auto inside = [&](glm::dvec3 from, glm::dvec3 to) {
    return glm::dot(glm::cross(to - from, p - from), normal) >= 0.0;
  };
  return inside(a, b) && inside(b, c) && inside(c, a) ? std::min(to_edges, std::fabs(glm::dot(p - a, normal)) / size)
                                                      : to_edges;
}

// How far the mesh's vertices are from a coarser surface at the most.
double greatest_off_mm(const Mesh& mesh, const std::vector<std::uint32_t>& indices) {
  const auto at = [&mesh](std::uint32_t vertex) { return glm::dvec3(mesh.vertices[vertex].position_mm); };
  double greatest = 0.0;
  for (const MeshVertex& vertex : mesh.vertices) {
    double least = 1e9;
    for (std::size_t i = 0; i + 2 < indices.size(); i += 3)
      least = std::min(least, distance_to_triangle(glm::dvec3(vertex.position_mm), at(indices[i]), at(indices[i + 1]),
                                                   at(indices[i + 2])));
    greatest = std::max(greatest, least);
  }
  return greatest;
}

} // namespace

TEST_CASE("coarser triangles stay as near to a part as they say", "[render][detail]") {
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  const SceneModel model(demo->engine);
  std::size_t fewer = 0, corners = 0, turned_away = 0;
  for (const Mesh& mesh : model.meshes()) {
    if (mesh.vertices.size() > 1500) continue; // each vertex is held against each triangle
    const std::vector<Detail> details = details_of(mesh);
    REQUIRE_FALSE(details.empty());
    CHECK(details.front().indices == mesh.indices);
    for (std::size_t level = 1; level < details.size(); ++level) {
      const Detail& detail = details[level];
      INFO("level of " << detail.error_mm << " mm, " << detail.indices.size() / 3 << " triangles");
      CHECK(detail.error_mm > details[level - 1].error_mm);
      CHECK(detail.indices.size() < details[level - 1].indices.size());
      if (detail.indices.empty()) continue;
      ++fewer;
      CHECK(greatest_off_mm(mesh, detail.indices) <= 5.0 * detail.error_mm);
      for (std::size_t i = 0; i + 2 < detail.indices.size(); i += 3) {
        const auto at = [&](std::size_t corner) { return mesh.vertices.at(detail.indices[corner]).position_mm; };
        const glm::vec3 across = glm::cross(at(i + 1) - at(i), at(i + 2) - at(i));
        if (glm::length(across) < 1e-4f) continue;
        for (std::size_t corner = i; corner < i + 3; ++corner) {
          ++corners;
          if (glm::dot(mesh.vertices[detail.indices[corner]].normal, glm::normalize(across)) < 0.2f) ++turned_away;
        }
      }
    }
  }
  CHECK(fewer > 40);
  // Corners keep normals of faces that are turned the same way, but for a few where a bevel has gone.
  CHECK(static_cast<double>(turned_away) < 0.02 * static_cast<double>(corners));
}

TEST_CASE("of details the coarsest that is near enough is taken", "[render][detail]") {
  const std::vector<double> errors_mm{0.0, 0.15, 0.6};
  CHECK(detail_within(errors_mm, 0.0) == 0);
  CHECK(detail_within(errors_mm, 0.1) == 0);
  CHECK(detail_within(errors_mm, 0.15) == 1);
  CHECK(detail_within(errors_mm, 0.5) == 1);
  CHECK(detail_within(errors_mm, 9.0) == 2);
  CHECK(details_of(Mesh{}).size() == 1);
}
