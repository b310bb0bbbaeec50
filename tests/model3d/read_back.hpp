// A model as another program's importer reads it: where each node stands in the world at any moment.
#pragma once

#include <assimp/Importer.hpp>
#include <assimp/scene.h>

#include <glm/mat4x4.hpp>

#include <map>
#include <memory>
#include <string>

namespace phasewright::testing {

class ReadBack {
public:
  explicit ReadBack(const std::string& glb); // fails the test when it cannot be read

  // Node to world, metres.
  [[nodiscard]] glm::dmat4 world(const std::string& node, double at_s) const;
  [[nodiscard]] glm::dvec3 origin_mm(const std::string& node, double at_s) const;
  [[nodiscard]] glm::dvec3 point_mm(const std::string& node, glm::dvec3 in_node_mm, double at_s) const;
  [[nodiscard]] bool has(const std::string& node) const;
  [[nodiscard]] double duration_s() const;
  [[nodiscard]] const aiScene& scene() const { return *scene_; }

private:
  [[nodiscard]] glm::dmat4 local(const aiNode& node, double at_s) const;

  std::unique_ptr<Assimp::Importer> importer_;
  const aiScene* scene_ = nullptr;
  std::map<std::string, const aiNodeAnim*> channels_;
};

} // namespace phasewright::testing
