// One engine cycle of a drive, looked at so often that straight lines from look to look are as good as true.
#pragma once

#include "mechanics/mechanism.hpp"
#include "model3d/bodies.hpp"
#include "scene/model.hpp"

namespace phasewright {

// The crank turns evenly, 720 degrees in this time: slow enough to follow the chain with the eye (unit: s).
inline constexpr double cycle_s = 12.0;
inline constexpr double cycle_deg = 720.0;
// Midway between looks a point of a body is no further than this from the straight line, or the even turn, that joins
// them; where there is a corner between them, no further than twice as much anywhere (unit: mm).
inline constexpr double looks_within_mm = 1e-4;

// Times are kept as the file has them, so that a look is of just the angle that will be read from there.
[[nodiscard]] float time_s(double crank_deg);
[[nodiscard]] double crank_deg(float time_s);

struct Cycle {
  Scene scene;                           // at crank 0; its parts have those figures only that stay the same
  std::vector<Body> bodies;              // of its instances
  std::vector<float> times_s;            // of the looks, rising from 0 to cycle_s
  std::vector<std::vector<Rigid>> looks; // by time, then by body
};

// `options`: their crank angle is left aside.
[[nodiscard]] Cycle look_at_cycle(const SceneModel& model, const Mechanism& mechanism, const SceneOptions& options);

// Where each body is `share` of the way from one look to the next: on the straight line, turned evenly the short way.
[[nodiscard]] Rigid between(const Rigid& a, const Rigid& b, double share);

} // namespace phasewright
