// What the materials of a scene are to a renderer that reckons with light: glTF's metallic-roughness model.
#pragma once

#include "scene/scene.hpp"

#include <glm/vec3.hpp>

namespace phasewright {

struct Surface {
  const char* name;
  glm::dvec3 colour;    // base colour, linear, 0 to 1
  double metallic = 0;  // 0 or 1 for real surfaces; between for a tint on metal
  double roughness = 0; // 0 to 1
};

[[nodiscard]] const Surface& surface_of(Material material);

} // namespace phasewright
