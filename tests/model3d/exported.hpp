// The models of models/, each made once for all tests.
#pragma once

#include "model3d/model3d.hpp"
#include "scene/models.hpp"

#include <map>

namespace phasewright::testing {

inline Model3d made(const Modelled& one, const Model3dOptions& options = {}) {
  return animated_model(one.model, one.mechanism, options);
}

inline const Model3d& exported(const Modelled& one) {
  static std::map<std::string, Model3d> known;
  const auto found = known.find(one.name);
  return found != known.end() ? found->second
                              : known.emplace(one.name, made(one, {.generator = "a test"})).first->second;
}

} // namespace phasewright::testing
