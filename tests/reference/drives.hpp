// Random two-sprocket drives for sweeps, and what the sweeps measure them with. Nothing here uses the strand's
// mechanics.
#pragma once

#include "mechanics/drive.hpp"

#include <random>
#include <vector>

namespace phasewright::testing {

// Even draws that are the same with every standard library, whose own distributions need not agree.
[[nodiscard]] double between(std::mt19937& random, double low, double high);
[[nodiscard]] int whole_between(std::mt19937& random, int low, int high); // both included

struct RandomDrive {
  Engine engine;
  Fitted fitted;
};

// Crank sprocket of 12 to 40 teeth, twice as many on the cam, pitch 5 to 16 mm, elongation 0 to 2 %, centres from just
// clear of each other's teeth to two and a half times that, either way of running, marks, lay and keys anyhow; as many
// links as make the chain reach with up to about a pitch to spare.
[[nodiscard]] RandomDrive random_drive(std::mt19937& random);

[[nodiscard]] double fitted_pitch_mm(const RandomDrive& drive);
[[nodiscard]] glm::dvec2 fitted_cam_centre_mm(const RandomDrive& drive);

// Chain length in pitches by tangents to the pitch circles, the wraps counted in whole link angles:
// 2 c cos b + (z1 + z2)/2 + b (z2 - z1)/pi with c the centre distance in pitches and sin b = (d2 - d1)/2c.
[[nodiscard]] double tangent_polygon_pitches(int small_teeth, int great_teeth, double centres_pitches);

// All seats of a sprocket, from where its mark points: a gap carries a seat, a tooth stands midway between two.
// `mark_clock_deg`: as DrivePose tells it.
[[nodiscard]] std::vector<glm::dvec2> seats_mm(const Sprocket& sprocket, glm::dvec2 centre_mm, double pitch_mm,
                                               double mark_clock_deg);

// Greatest distance of the seats outside the line, the sprockets lying on the side of `inside`; negative = all inside.
[[nodiscard]] double farthest_outside_mm(const std::vector<glm::dvec2>& seats, glm::dvec2 from, glm::dvec2 to,
                                         glm::dvec2 inside);

// Length round the convex hull (A. M. Andrew's monotone chain, Information Processing Letters 9, 1979; from memory).
[[nodiscard]] double hull_length(std::vector<glm::dvec2> points);

} // namespace phasewright::testing
