#include "render/detail.hpp"

#include <glm/geometric.hpp>
#include <meshoptimizer.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace phasewright::gl {

namespace {

constexpr std::array levels_mm{0.06, 0.15, 0.3, 0.6, 1.2};
// A level that keeps more of the triangles before it than this is not worth its room.
constexpr double worth_it = 0.85;

// A mesh by its corners alone. Where faces meet in an edge a corner stands for several vertices, one for each normal:
// the simplifier would take the edge for the surface's end.
class Welded {
public:
  explicit Welded(const Mesh& mesh) : mesh_(mesh) {
    constexpr float per_mm = 1e4f;
    std::map<std::array<std::int32_t, 3>, std::uint32_t> known;
    for (const std::uint32_t vertex : mesh.indices) {
      const glm::vec3 at = mesh.vertices[vertex].position_mm;
      const auto [place, is_new] =
          known.try_emplace({rounded(at.x * per_mm), rounded(at.y * per_mm), rounded(at.z * per_mm)},
                            static_cast<std::uint32_t>(corners_.size()));
      if (is_new) {
        corners_.push_back(at);
        vertices_.emplace_back();
      }
      indices_.push_back(place->second);
      std::vector<std::uint32_t>& here = vertices_[place->second];
      if (std::ranges::find(here, vertex) == here.end()) here.push_back(vertex);
    }
  }

  // Triangles of the mesh's vertices.
  [[nodiscard]] std::vector<std::uint32_t> simplified(double error_mm) const {
    if (indices_.empty()) return {};
    const float* positions = &corners_.front().x;
    const double scale_mm = meshopt_simplifyScale(positions, corners_.size(), sizeof(glm::vec3));
    std::vector<std::uint32_t> indices(indices_.size());
    indices.resize(meshopt_simplify(indices.data(), indices_.data(), indices_.size(), positions, corners_.size(),
                                    sizeof(glm::vec3), 0, static_cast<float>(error_mm / scale_mm)));
    for (std::size_t i = 0; i + 2 < indices.size(); i += 3) {
      const glm::vec3 a = corners_[indices[i]];
      const glm::vec3 across = glm::cross(corners_[indices[i + 1]] - a, corners_[indices[i + 2]] - a);
      for (std::size_t corner = i; corner < i + 3; ++corner) indices[corner] = vertex_toward(indices[corner], across);
    }
    if (!indices.empty())
      meshopt_optimizeVertexCache(indices.data(), indices.data(), indices.size(), mesh_.vertices.size());
    return indices;
  }

private:
  static std::int32_t rounded(float value) { return static_cast<std::int32_t>(std::lround(value)); }

  // Of a corner's vertices the one that is turned most as the triangle is.
  [[nodiscard]] std::uint32_t vertex_toward(std::uint32_t corner, glm::vec3 across) const {
    return *std::ranges::max_element(
        vertices_[corner], {}, [&](std::uint32_t vertex) { return glm::dot(mesh_.vertices[vertex].normal, across); });
  }

  const Mesh& mesh_;
  std::vector<glm::vec3> corners_;
  std::vector<std::vector<std::uint32_t>> vertices_; // of each corner
  std::vector<std::uint32_t> indices_;               // triangles of corners
};

} // namespace

std::vector<Detail> details_of(const Mesh& mesh) {
  std::vector<Detail> details;
  details.push_back({0.0, mesh.indices});
  if (mesh.whole) return details;
  const Welded welded(mesh);
  for (const double error_mm : levels_mm) {
    // From the mesh itself each time, so that errors do not add up.
    std::vector<std::uint32_t> indices = welded.simplified(error_mm);
    if (static_cast<double>(indices.size()) >= worth_it * static_cast<double>(details.back().indices.size())) continue;
    details.push_back({error_mm, std::move(indices)});
  }
  return details;
}

std::size_t detail_within(const std::vector<double>& errors_mm, double most_mm) {
  const auto beyond = std::ranges::upper_bound(errors_mm, most_mm);
  return beyond == errors_mm.begin() ? 0 : static_cast<std::size_t>(beyond - errors_mm.begin()) - 1;
}

} // namespace phasewright::gl
