// Meshes on the graphics card, and the instances of a scene sorted for drawing.
#pragma once

#include "render/colours.hpp"
#include "render/gl_objects.hpp"
#include "scene/scene.hpp"

#include <glm/gtc/type_precision.hpp>
#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>

#include <functional>
#include <vector>

namespace phasewright::gl {

// The one place where doubles become floats: a world point relative to an origin near to what is drawn, as a rule the
// eye.
[[nodiscard]] glm::vec3 relative_to(glm::dvec3 origin_mm, glm::dvec3 point_mm);

// What the shaders take for one placed mesh.
struct InstanceData {
  float rows[3][4];   // placement relative to the origin
  float round_mm;     // how far the mesh reaches from its own z axis
  glm::u8vec4 colour; // as shown, shine in a
  glm::u8vec4 finish;
  std::uint32_t part;

  bool operator==(const InstanceData&) const = default;
};

// How far a mesh reaches, in its own frame.
struct Reach {
  glm::dvec3 low_mm{};
  glm::dvec3 high_mm{};
  glm::dvec3 middle_mm{};
  double radius_mm = 0; // of a ball about the middle
  double round_mm = 0;
};

// What of the world a clip matrix shows, for leaving out what it does not.
class Frustum {
public:
  // `to_clip` takes points relative to `origin_mm`.
  Frustum(const glm::dmat4& to_clip, glm::dvec3 origin_mm);
  // Whether any of a ball may show. Only the four sides are looked at; what lies behind the eye is no matter here.
  [[nodiscard]] bool shows(glm::dvec3 middle_mm, double radius_mm) const;

private:
  glm::dvec4 sides_[4]; // inward unit normal, distance
};

// Instances in a buffer of their own, in batches of one mesh each.
class Placed {
public:
  Placed() : buffer_(make_buffer()) {}

private:
  friend class Geometry;
  struct Batch {
    std::size_t mesh;
    bool dull;
    std::size_t first; // instance
    GLsizei count;
    double near_mm; // of its nearest instance from the origin
  };
  Buffer buffer_;
  std::vector<InstanceData> data_;
  std::vector<Batch> batches_;
};

class Geometry {
public:
  Geometry();
  void upload(const std::vector<Mesh>& meshes);
  [[nodiscard]] const Reach& reach(std::size_t mesh) const { return reaches_.at(mesh); }

  // Puts the instances that `wanted` lets through into `placed`, batches nearest to the origin first, so that what is
  // hidden is found out before it is shaded. True when that differs from what `placed` held.
  bool place(const Scene& scene, const SceneColours& colours, glm::dvec3 origin_mm,
             const std::function<bool(const Instance&)>& wanted, Placed& placed) const;
  // With triangles whose surface is off by no more than `most_error_mm` as Detail has it; 0 = the meshes as they are.
  // `use`, when given, is told before each batch whether it is dull: of a material that is not turned on a lathe and
  // has no ring.
  void draw(const Placed& placed, double most_error_mm, const std::function<void(bool dull)>& use = {}) const;

  // Middle of an instance's ball in the world.
  [[nodiscard]] glm::dvec3 middle_mm(const Instance& instance) const;

private:
  struct Range {
    GLsizei index_count;
    std::size_t index_offset; // bytes
  };
  struct Stored {
    GLint base_vertex = 0;
    std::vector<double> errors_mm; // its triangles, ever coarser
    std::vector<Range> ranges;
  };
  VertexArray vertex_array_;
  Buffer vertices_, indices_;
  std::vector<Stored> meshes_;
  std::vector<Reach> reaches_;
};

} // namespace phasewright::gl
