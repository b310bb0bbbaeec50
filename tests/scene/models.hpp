// The engines and builds of models/, for the scene's tests.
#pragma once

#include "files/files.hpp"
#include "mechanics/mechanism.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

namespace phasewright::testing {

struct Modelled {
  std::string name;
  Opened opened;
  Mechanism mechanism;
  SceneModel model;

  [[nodiscard]] const Engine& engine() const { return *opened.engine; }
};

// Opened and assembled once.
inline const std::vector<Modelled>& modelled() {
  static const std::vector<Modelled> all = [] {
    std::vector<Modelled> made;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(PHASEWRIGHT_TEST_DIR) / ".." / "models")) {
      if (entry.path().extension() != ".toml") continue;
      auto opened = open_any(entry.path());
      INFO(entry.path() << ": " << (opened ? std::string() : to_text(opened.problems())));
      REQUIRE(opened.ok());
      auto mechanism = Mechanism::assemble(opened->engine, opened->build.fitted);
      INFO((mechanism ? std::string() : to_text(mechanism.problems())));
      REQUIRE(mechanism.ok());
      made.push_back({entry.path().filename().string(), *opened, *mechanism, SceneModel(opened->engine)});
    }
    return made;
  }();
  return all;
}

// What all scenes have in common: placements that only turn and move, finite figures, labels with keys of their own.
inline void check_sound(const SceneModel& model, const Scene& scene) {
  const auto finite = [](glm::dvec3 v) { return std::isfinite(v.x) && std::isfinite(v.y) && std::isfinite(v.z); };
  std::size_t unsound = 0;
  for (const Instance& instance : scene.instances) {
    REQUIRE(instance.mesh < model.meshes().size());
    REQUIRE(instance.part < scene.parts.size());
    const glm::dvec3 x(instance.placement[0]), y(instance.placement[1]), z(instance.placement[2]);
    const bool turns = std::fabs(glm::dot(x, x) - 1.0) < 1e-9 && std::fabs(glm::dot(y, y) - 1.0) < 1e-9 &&
                       std::fabs(glm::dot(x, y)) < 1e-9 && std::fabs(glm::dot(glm::cross(x, y), z) - 1.0) < 1e-9;
    if (!turns || !finite(glm::dvec3(instance.placement[3]))) ++unsound;
  }
  for (const Stroke& stroke : scene.strokes)
    for (const glm::dvec3 point : stroke.points_mm)
      if (!finite(point)) ++unsound;
  CHECK(unsound == 0);
  std::vector<std::string> keys;
  for (const Label& label : scene.labels) {
    INFO(label.key << ": " << label.title);
    CHECK(finite(label.anchor_mm));
    CHECK_FALSE(label.title.empty());
    CHECK(label.figure.empty() == label.in_place);
    CHECK(std::ranges::find(keys, label.key) == keys.end());
    keys.push_back(label.key);
  }
}

} // namespace phasewright::testing
