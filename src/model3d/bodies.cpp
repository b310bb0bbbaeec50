#include "model3d/bodies.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace phasewright {

namespace {

double mesh_reach_mm(const Mesh& mesh, const Rigid& placed) {
  double reach_mm = 0.0;
  for (const MeshVertex& vertex : mesh.vertices)
    reach_mm = std::max(reach_mm, glm::length(placed.at_mm + placed.turn * glm::dvec3(vertex.position_mm)));
  return reach_mm;
}

// Whether an instance stands to another the same way in all looks.
bool goes_with(std::span<const Scene> looks, std::size_t first, std::size_t other, double reach_mm) {
  const auto way = [&](const Scene& scene) {
    return relative(rigid_of(scene.instances[first].placement), rigid_of(scene.instances[other].placement));
  };
  const Rigid before = way(looks.front());
  return std::ranges::all_of(
      looks, [&](const Scene& scene) { return apart_mm(before, way(scene), reach_mm) < same_place_mm; });
}

} // namespace

Rigid rigid_of(const glm::dmat4& placement) {
  return {glm::dvec3(placement[3]), glm::normalize(glm::quat_cast(glm::dmat3(placement)))};
}

Rigid relative(const Rigid& from, const Rigid& to) {
  const glm::dquat back = glm::conjugate(from.turn);
  return {back * (to.at_mm - from.at_mm), back * to.turn};
}

double apart_mm(const glm::dquat& a, const glm::dquat& b, double reach_mm) {
  // A point moves by the chord of the angle between them, which is twice the angle of the quaternions.
  const glm::dquat between = glm::conjugate(a) * b;
  return 2.0 * reach_mm * std::sqrt(between.x * between.x + between.y * between.y + between.z * between.z);
}

double apart_mm(const Rigid& a, const Rigid& b, double reach_mm) {
  return glm::length(a.at_mm - b.at_mm) + apart_mm(a.turn, b.turn, reach_mm);
}

std::vector<Body> bodies_of(std::span<const Scene> looks, std::span<const Mesh> meshes) {
  const Scene& scene = looks.front();
  std::vector<std::vector<Body>> by_part(scene.parts.size());
  for (std::size_t i = 0; i < scene.instances.size(); ++i) {
    const Instance& instance = scene.instances[i];
    const Mesh& mesh = meshes[instance.mesh];
    std::vector<Body>& own = by_part[instance.part];
    const auto found = std::ranges::find_if(
        own, [&](const Body& body) { return goes_with(looks, body.instances.front(), i, mesh_reach_mm(mesh, {})); });
    Body& body = found != own.end() ? *found : own.emplace_back();
    body.part = instance.part;
    body.instances.push_back(i);
    body.from_first.push_back(
        relative(rigid_of(scene.instances[body.instances.front()].placement), rigid_of(instance.placement)));
    body.reach_mm = std::max(body.reach_mm, mesh_reach_mm(mesh, body.from_first.back()));
  }
  std::vector<Body> bodies;
  for (std::vector<Body>& own : by_part) std::ranges::move(own, std::back_inserter(bodies));
  return bodies;
}

} // namespace phasewright
