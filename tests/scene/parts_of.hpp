// What of a scene belongs to a part, for the scene's tests.
#pragma once

#include "scene/model.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
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

inline const Label* find_label(const Scene& scene, const std::string& key) {
  const auto found = std::ranges::find(scene.labels, key, &Label::key);
  return found == scene.labels.end() ? nullptr : &*found;
}

// Least and greatest height of a part's points along a direction.
inline std::array<double, 2> reach(const SceneModel& model, const Scene& scene, const std::string& name,
                                   glm::dvec3 along) {
  std::array<double, 2> span{1e300, -1e300};
  for (const Instance* instance : of_part(scene, name))
    each_vertex(model, *instance, [&](glm::dvec3 point) {
      span = {std::min(span[0], glm::dot(point, along)), std::max(span[1], glm::dot(point, along))};
    });
  return span;
}

} // namespace phasewright::testing
