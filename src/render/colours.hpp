// Colours of the scene by day and by night.
#pragma once

#include "render/renderer.hpp"

#include <glm/gtc/type_precision.hpp>
#include <glm/vec3.hpp>

#include <array>

namespace phasewright {

inline constexpr std::size_t material_count = 14;

// Light is linear as the shaders count it: the square of what is shown.
struct SceneColours {
  std::array<glm::u8vec4, material_count> material; // colour as shown, shine in a; by Material; 255 = 1
  std::array<glm::u8vec4, material_count>
      finish;                    // turned on a lathe, light of its own, share of the radius inside a ring (0 = none)
  glm::vec3 ring;                // of round marks; as light
  std::array<glm::vec3, 7> tone; // as shown; by Tone
  glm::vec3 backdrop_middle;     // as shown
  glm::vec3 backdrop_edge;
  glm::vec3 sky; // light
  glm::vec3 ground;
  glm::vec3 key;
  glm::vec3 fill;
};

[[nodiscard]] const SceneColours& scene_colours(Theme theme);

} // namespace phasewright
