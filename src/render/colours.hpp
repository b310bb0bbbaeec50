// Colours of the scene by day and by night.
#pragma once

#include "render/renderer.hpp"

#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

#include <array>

namespace phasewright {

inline constexpr std::size_t material_count = 13;

struct SceneColours {
  std::array<glm::vec4, material_count> material; // linear base colour, shine in w; by Material
  std::array<glm::vec3, 5> tone;                  // as shown (not linear); by Tone
  glm::vec3 backdrop_middle;                      // as shown
  glm::vec3 backdrop_edge;
  glm::vec3 sky;                                  // linear light
  glm::vec3 ground;
  glm::vec3 key;
};

[[nodiscard]] const SceneColours& scene_colours(Theme theme);

} // namespace phasewright
