// Rolls a lobe's outline, given as many points, under its follower by trial: nothing here knows how the outline was
// made. Frames as in lobe_contour.hpp.
#pragma once

#include "parts/engine.hpp"

#include <glm/vec2.hpp>

#include <vector>

namespace phasewright::testing {

class Outline {
public:
  // Closed, anticlockwise; thousands of points.
  explicit Outline(std::vector<glm::dvec2> points) : points_(std::move(points)) {}

  // A place between the points, on the parabola through three of them.
  struct Place {
    glm::dvec2 at_mm{};
    double mm = 0; // how far along the direction, or from the point
  };
  [[nodiscard]] Place farthest_along(glm::dvec2 way) const;
  [[nodiscard]] Place nearest_to(glm::dvec2 point) const;

private:
  [[nodiscard]] glm::dvec2 point(std::size_t index) const { return points_[index % points_.size()]; }
  template <class Height>
  [[nodiscard]] Place refined(std::size_t highest, Height height) const;

  std::vector<glm::dvec2> points_;
};

struct Rolled {
  double tappet_mm = 0; // as LiftOf::tappet
  glm::dvec2 in_follower_mm{};
  glm::dvec2 in_lobe_mm{};
  glm::dvec2 pad_mm{}; // centre of roller or pad
};

// With the lobe's frame turned anticlockwise by `turned_rad` in the follower's.
[[nodiscard]] Rolled roll(const Outline& outline, const ValveGear& gear, double turned_rad);

} // namespace phasewright::testing
