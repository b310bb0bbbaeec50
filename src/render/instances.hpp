// Meshes on the graphics card, and the instances of a scene sorted for drawing.
#pragma once

#include "render/gl_objects.hpp"
#include "scene/camera.hpp"
#include "scene/scene.hpp"

#include <vector>

namespace phasewright::gl {

// What the shaders take for one placed mesh.
struct InstanceData {
  float rows[3][4];       // placement relative to the eye
  std::uint32_t material;
  std::uint32_t part;
};

class Geometry {
public:
  Geometry();
  void upload(const std::vector<Mesh>& meshes);

  // Sorts the scene's instances into one buffer: solids by mesh, then ghosts by mesh.
  void place(const Scene& scene, glm::dvec3 eye_mm);

  enum class Which { solids, ghosts };
  void draw(Which which) const;

private:
  struct Range {
    GLsizei index_count;
    std::size_t index_offset; // bytes
    GLint base_vertex;
  };
  struct Batch {
    std::size_t mesh;
    std::size_t first;        // instance
    GLsizei count;
  };
  VertexArray vertex_array_;
  Buffer vertices_, indices_, instances_;
  std::vector<Range> ranges_;
  std::vector<Batch> batches_[2];
};

// The one place where doubles become floats: a world placement as rows relative to the eye.
void relative_to_eye(const glm::dmat4& placement, glm::dvec3 eye_mm, float (&rows)[3][4]);

} // namespace phasewright::gl
