#include "model3d/model3d.hpp"

#include "model3d/glb_file.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include <algorithm>

namespace phasewright {

namespace {

using Extras = std::vector<std::pair<std::string, tinygltf::Value>>;

// By how many pins a chain has gone on after a cycle. Camshafts turn once in it, so that it is a whole number.
std::size_t pins_moved_on(const LoopPose& before, const LoopPose& after) {
  const auto distance = [&](glm::dvec2 pin) { return glm::length(pin - after.pins_mm.front()); };
  return static_cast<std::size_t>(std::ranges::min_element(before.pins_mm, {}, distance) - before.pins_mm.begin());
}

// How a cycle ends for the chains.
std::string chain_words(const Mechanism& mechanism) {
  const Pose before = mechanism.pose(0.0);
  const Pose after = mechanism.pose(cycle_deg);
  std::string words = "pins keep their identity and do not end the cycle where they began it";
  for (std::size_t i = 0; i < before.drive.loops.size(); ++i) {
    const std::size_t links = before.drive.loops[i].pins_mm.size();
    const std::size_t on = pins_moved_on(before.drive.loops[i], after.drive.loops[i]);
    // Inner and outer links take turns: an odd step would put one kind where the other was.
    const bool seamless = links % 2 == 0 && on % 2 == 0;
    words += fmt::format("; a chain of {} links goes on by {} in a cycle, {}", links, on,
                         seamless ? "so that it looks the same as it begins again"
                                  : "and other links stand there as it begins again");
  }
  return words;
}

// What a reader has to know to use the model.
Extras extras_of(const Mechanism& mechanism, const Model3dOptions& options, const Model3d& model) {
  Extras extras;
  const auto say = [&](const char* key, const std::string& words) { extras.emplace_back(key, tinygltf::Value(words)); };
  const Engine& engine = mechanism.engine();
  say("engine", engine.name);
  for (const auto& [key, words] : options.words) say(key.c_str(), words);
  if (options.safe) extras.emplace_back("safe", tinygltf::Value(*options.safe));
  say("units", "metres and seconds; x right, y up, z out of the engine, seen from the timing end");
  say("animation", fmt::format("one engine cycle, 720 crank degrees in {:g} s, {:g} crank degrees a second; at its "
                               "beginning No. 1 stands at TDC between exhaust and inlet",
                               cycle_s, crank_deg(1.0f)));
  say("chain", chain_words(mechanism));
  say("caution", "a plan, computed and not measured: confirm clearances physically before starting the engine");
  tinygltf::Value::Object phases;
  for (std::size_t k = 0; k < engine.camshafts.size(); ++k)
    phases[engine.camshafts[k].name] = tinygltf::Value(mechanism.drive().phase_deg(k));
  extras.emplace_back("phase_crank_deg", tinygltf::Value(std::move(phases)));
  extras.emplace_back("cycle_s", tinygltf::Value(cycle_s));
  if (!model.changed.empty()) {
    tinygltf::Value::Array changed;
    for (const std::string& words : model.changed) changed.emplace_back(words);
    extras.emplace_back("not_as_stated", tinygltf::Value(std::move(changed)));
  }
  return extras;
}

} // namespace

Model3d animated_model(const SceneModel& model, const Mechanism& mechanism, const Model3dOptions& options) {
  SceneOptions scene_options;
  scene_options.labels = false;
  scene_options.drive_labels = false;
  scene_options.every_part = true;
  scene_options.nuts = options.nuts;
  const Cycle cycle = look_at_cycle(model, mechanism, scene_options);
  const std::vector<ModelNode> nodes = node_tree(cycle, mechanism.engine().name);

  Model3d made;
  made.changed = cycle.scene.confessions;
  GlbFile file(model.meshes(), options.generator);
  file.add_nodes(nodes);
  file.add_animation(fmt::format("one engine cycle, 720 crank degrees in {:g} s", cycle_s), cycle, nodes);
  file.set_extras(0, extras_of(mechanism, options, made));
  made.glb = file.bytes();
  made.nodes = file.model().nodes.size();
  made.meshes = file.geometries();
  made.triangles = file.triangles();
  made.channels = file.model().animations.front().channels.size();
  made.keys = file.keys();
  made.animation_s = cycle_s;
  return made;
}

} // namespace phasewright
