// A binary glTF 2.0 file on its way: numbers go into its one buffer, and what describes them into its lists.
#pragma once

#include "model3d/keys.hpp"
#include "model3d/node_tree.hpp"

#include <tiny_gltf.h>

#include <map>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace phasewright {

// Lengths in the file are metres, as glTF has them: positions and moves are written so, and no node scales, since
// programs that take a scale into meshes, or lose it, are met with.
inline constexpr double metres_per_mm = 1e-3;

class GlbFile {
public:
  GlbFile(std::span<const Mesh> meshes, const std::string& generator);

  // Adds nodes, the first being the root, with the meshes they draw.
  void add_nodes(const std::vector<ModelNode>& nodes);
  // Moves and turns of those nodes that have a body, as one animation.
  void add_animation(const std::string& name, const Cycle& cycle, const std::vector<ModelNode>& nodes);
  void set_extras(std::size_t node, const std::vector<std::pair<std::string, tinygltf::Value>>& extras);

  [[nodiscard]] const tinygltf::Model& model() const { return model_; }
  [[nodiscard]] std::size_t geometries() const { return geometry_.size(); }
  [[nodiscard]] std::size_t triangles() const { return triangles_; } // of all nodes, as drawn
  [[nodiscard]] std::size_t keys() const { return keys_; }           // of all channels
  // Everything, laid one after the other.
  [[nodiscard]] std::string bytes();

private:
  // Of one kind of data, which readers upload at once.
  struct Section {
    int target = 0; // what it is bound to; 0 = none
    std::size_t stride = 0;
    std::vector<unsigned char> bytes;
  };
  enum SectionIndex : std::size_t { positions, normals, wide_indices, narrow_indices, key_figures, section_count };

  int add_accessor(SectionIndex section, int component, int type, std::size_t count, std::size_t from);
  int add_key_figures(std::span<const float> figures, int type);
  int key_times(const Cycle& cycle, const std::vector<std::size_t>& keys);
  void add_moves(tinygltf::Animation& animation, int node, const Cycle& cycle, std::size_t body,
                 const std::vector<std::size_t>& keys);
  void add_turns(tinygltf::Animation& animation, int node, const Cycle& cycle, std::size_t body,
                 const std::vector<std::size_t>& keys);
  void add_channel(tinygltf::Animation& animation, int node, const char* path, int input, int output);
  tinygltf::Primitive add_geometry(const Mesh& mesh);
  int mesh_of(const ModelNode& node);
  int material_of(Material material);

  std::span<const Mesh> meshes_;
  tinygltf::Model model_;
  std::vector<Section> sections_;
  std::map<std::size_t, tinygltf::Primitive> geometry_; // by mesh, without a material
  std::map<std::vector<Surfaced>, int> drawn_;          // glTF's meshes
  std::map<Material, int> materials_;
  std::map<std::vector<std::size_t>, int> times_; // accessors of key times, by keys
  std::size_t triangles_ = 0;
  std::size_t keys_ = 0;
};

} // namespace phasewright
