// A whole engine cycle of a drive as an animated model for other programs: binary glTF 2.0.
#pragma once

#include "mechanics/mechanism.hpp"
#include "scene/model.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace phasewright {

struct Model3dOptions {
  bool nuts = false;          // with shaft nuts and lock tabs, which hide the keys
  std::string generator = {}; // the program and its version
  // What the file says of itself besides, at its root: key and words.
  std::vector<std::pair<std::string, std::string>> words = {};
  std::optional<bool> safe = {}; // likewise, whether the valves keep clear; nothing = it says nothing of that
};

struct Model3d {
  std::string glb; // the file's bytes
  std::size_t nodes = 0;
  std::size_t meshes = 0;           // each kept once
  std::size_t triangles = 0;        // as drawn, all nodes together
  std::size_t channels = 0;         // moves and turns that are not constant
  std::size_t keys = 0;             // of all channels
  double animation_s = 0;           // a cycle of 720 crank degrees
  std::vector<std::string> changed; // what is not drawn as the file has it: "fingers drawn as buckets ..."
};

// Everything rigid stands within 1e-3 mm of its pose at any moment of the animation. Pins do not end where they began:
// a chain has no whole number of cycles in it. World, units and axes as glTF has them: metres, y up, z out of the
// engine. `model` is of the mechanism's engine. The same bytes each time.
[[nodiscard]] Model3d animated_model(const SceneModel& model, const Mechanism& mechanism,
                                     const Model3dOptions& options);

} // namespace phasewright
