// The key light, and the shadows it casts.
#pragma once

#include "render/instances.hpp"

namespace phasewright::gl {

// Toward the key light in the world: from the upper left, in front of the engine. Unit length.
[[nodiscard]] glm::dvec3 key_direction();

// The depth of what the key light sees of a scene's solids. It does not depend on the camera, so while only that moves
// it is kept as it is.
class ShadowMap {
public:
  explicit ShadowMap(const std::filesystem::path& shader_folder);

  // Draws the map when the solids stand otherwise than before, or it was made with another number of pixels a side.
  // Leaves another framebuffer and viewport bound.
  void update(const Scene& scene, const Geometry& geometry, int side_px);
  // After other meshes were uploaded.
  void forget() { known_ = false; }

  [[nodiscard]] GLuint texture() const { return texture_.get(); }
  // From points relative to `eye_mm` to the map: x, y and depth from 0 to 1.
  [[nodiscard]] glm::dmat4 to_texture(glm::dvec3 eye_mm) const;
  [[nodiscard]] static glm::dvec3 right(); // axes of the map in the world
  [[nodiscard]] static glm::dvec3 up();
  [[nodiscard]] glm::dvec3 per_mm() const {
    return per_mm_;
  } // of the map's unit along right, up and away from the light

private:
  void resize(int side_px);
  Texture texture_;
  Framebuffer framebuffer_;
  Program program_;
  Placed casters_;
  bool known_ = false;
  int side_px_ = 0;
  glm::dvec3 origin_mm_{};  // what the casters are placed relative to
  glm::dmat4 to_clip_{1.0}; // from there
  glm::dvec3 per_mm_{1.0};
};

} // namespace phasewright::gl
