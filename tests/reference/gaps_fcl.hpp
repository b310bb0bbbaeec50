// Least distance of two meshes by FCL, the Flexible Collision Library (https://github.com/flexible-collision-library,
// Debian's libfcl-dev).
#pragma once

#include "reference/gaps_solids.hpp"

#include <memory>

namespace phasewright::testing {

class Mesh {
public:
  explicit Mesh(const Soup& soup);

  // 0 when the surfaces cross. Each mesh is moved from where it was made.
  [[nodiscard]] double distance_mm(glm::dvec3 moved_mm, const Mesh& other, glm::dvec3 other_moved_mm) const;

private:
  struct Model;
  std::shared_ptr<const Model> model_;
};

} // namespace phasewright::testing
