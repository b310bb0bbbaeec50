// That everything stands where its pose has it, also between the keys of the animation.
#include "model3d/keys.hpp"
#include "scene/models.hpp"

#include <glm/gtc/quaternion.hpp>

#include <algorithm>
#include <random>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// The key at or before that time, and the share of the way to the next.
struct Place {
  std::size_t key = 0;
  double share = 0;
};

Place place_at(const Cycle& cycle, const std::vector<std::size_t>& keys, double at_s) {
  std::size_t key = 0;
  while (key + 2 < keys.size() && double{cycle.times_s[keys[key + 1]]} <= at_s) ++key;
  const double from_s = cycle.times_s[keys[key]];
  return {key, (at_s - from_s) / (double{cycle.times_s[keys[key + 1]]} - from_s)};
}

// As a reader has it: figures in single precision, straight lines and even turns between keys.
Rigid read(const Cycle& cycle, std::size_t body, const Keys& keys, double at_s) {
  const auto look = [&](std::size_t index) { return cycle.looks[index][body]; };
  const auto rounded_mm = [](glm::dvec3 mm) { return 1000.0 * glm::dvec3(glm::vec3(mm / 1000.0)); };
  Rigid read{rounded_mm(look(0).at_mm), glm::dquat(glm::quat(look(0).turn))};
  if (!keys.moves.empty()) {
    const auto [key, share] = place_at(cycle, keys.moves, at_s);
    read.at_mm = glm::mix(rounded_mm(look(keys.moves[key]).at_mm), rounded_mm(look(keys.moves[key + 1]).at_mm), share);
  }
  if (!keys.turns.empty()) {
    const auto [key, share] = place_at(cycle, keys.turns, at_s);
    read.turn = glm::slerp(glm::dquat(glm::quat(look(keys.turns[key]).turn)),
                           glm::dquat(glm::quat(look(keys.turns[key + 1]).turn)), share);
  }
  return read;
}

} // namespace

TEST_CASE("between keys every point of every body is within a thousandth of a millimetre", "[model3d]") {
  constexpr int moments = 400;
  double greatest_mm = 0.0;
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    SceneOptions options{.labels = false, .drive_labels = false, .every_part = true, .nuts = true};
    const Cycle cycle = look_at_cycle(one.model, one.mechanism, options);
    REQUIRE(cycle.times_s.front() == 0.0f);
    REQUIRE(cycle.times_s.back() == static_cast<float>(cycle_s));
    const std::vector<Keys> keys = keys_of(cycle);
    std::mt19937 random(2);
    std::size_t beyond = 0;
    for (int i = 0; i < moments; ++i) {
      options.crank_deg = cycle_deg * (static_cast<double>(random()) / 4294967296.0);
      const Scene scene = one.model.compose(one.mechanism, nullptr, options);
      for (std::size_t body = 0; body < cycle.bodies.size(); ++body) {
        const Rigid is = read(cycle, body, keys[body], options.crank_deg * cycle_s / cycle_deg);
        const Rigid shown = rigid_of(scene.instances[cycle.bodies[body].instances.front()].placement);
        const double off_mm = apart_mm(is, shown, cycle.bodies[body].reach_mm);
        greatest_mm = std::max(greatest_mm, off_mm);
        if (!(off_mm < 1e-3)) ++beyond;
      }
    }
    CHECK(beyond == 0);
  }
  // What the tolerances promise is used: keys are no closer than they have to be.
  INFO("greatest distance of a point from its pose, mm: " << greatest_mm);
  CHECK(greatest_mm > 4e-4);
}
