// Named nodes of a model: wholes, the parts in them, and what a part has of bodies.
#pragma once

#include "model3d/cycle.hpp"

#include <compare>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct Surfaced { // a mesh (index into SceneModel::meshes) in a material
  std::size_t mesh = 0;
  Material material = Material::shaft_steel;

  friend auto operator<=>(const Surfaced&, const Surfaced&) = default;
};

struct ModelNode {
  std::string name;                  // no other node's
  std::vector<std::size_t> children; // indices of nodes
  std::optional<std::size_t> body;   // whose motion it has (index into Cycle::bodies)
  Rigid rest;                        // from its parent, at crank 0
  std::vector<Surfaced> drawn;
  std::vector<std::string> figures; // of the part
};

// The root first, `name`. Only wholes stand above bodies, and they do not move: a body's motion is in the world.
[[nodiscard]] std::vector<ModelNode> node_tree(const Cycle& cycle, const std::string& name);

} // namespace phasewright
