// What of a scene belongs to a part, for the scene's tests.
#pragma once

#include "scene/model.hpp"

#include <string>
#include <vector>

namespace phasewright::testing {

inline std::vector<const Instance*> of_part(const Scene& scene, const std::string& name) {
  std::vector<const Instance*> found;
  for (const Instance& instance : scene.instances)
    if (scene.parts[instance.part].name == name) found.push_back(&instance);
  return found;
}

inline glm::dvec3 origin(const Instance& instance) {
  return glm::dvec3(instance.placement[3]);
}

template <class Use>
void each_vertex(const SceneModel& model, const Instance& instance, Use use) {
  for (const MeshVertex& vertex : model.meshes()[instance.mesh].vertices)
    use(glm::dvec3(instance.placement * glm::dvec4(glm::dvec3(vertex.position_mm), 1.0)));
}

} // namespace phasewright::testing
