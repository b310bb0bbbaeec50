// Which of a scene's instances move as one.
#pragma once

#include "scene/scene.hpp"

#include <glm/gtc/quaternion.hpp>
#include <glm/vec3.hpp>

#include <cstddef>
#include <span>
#include <vector>

namespace phasewright {

// Where something rigid stands.
struct Rigid {
  glm::dvec3 at_mm{};
  glm::dquat turn{1.0, 0.0, 0.0, 0.0};
};

[[nodiscard]] Rigid rigid_of(const glm::dmat4& placement);
// The way from one to the other: what `from` has to be followed by.
[[nodiscard]] Rigid relative(const Rigid& from, const Rigid& to);

// How far apart two turns move a point that lies `reach_mm` from the origin, at most.
[[nodiscard]] double apart_mm(const glm::dquat& a, const glm::dquat& b, double reach_mm);
[[nodiscard]] double apart_mm(const Rigid& a, const Rigid& b, double reach_mm);

// Instances of one part that keep their places to one another. Where the body stands is where the first of them does.
struct Body {
  std::size_t part = 0;               // index into Scene::parts
  std::vector<std::size_t> instances; // indices into Scene::instances
  std::vector<Rigid> from_first;      // where each stands from the first
  double reach_mm = 0;                // of the farthest vertex from the first instance's origin
};

// By the looks of it: scenes of one drive at different crank angles, instance by instance the same. In the order of the
// parts.
[[nodiscard]] std::vector<Body> bodies_of(std::span<const Scene> looks, std::span<const Mesh> meshes);

// What no two looks may differ by to be the same place; sums of figures of a metre are rounded at 1e-13 (unit: mm).
inline constexpr double same_place_mm = 1e-7;

} // namespace phasewright
