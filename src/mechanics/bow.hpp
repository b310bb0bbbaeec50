// The drawn shape of a slack strand.
#pragma once

#include "geometry/angle.hpp"

#include <glm/vec2.hpp>

#include <cmath>

namespace phasewright {

// Each link leans from the strand's line by an angle whose half has the tangent
// `lean` times the sine of its place between the two feet where a taut line would touch, so that the strand leaves and
// meets the sprockets in line with it and bows outward between. The true shape depends on weight and friction; this one
// closes exactly, and does not jump when a roller seats, because the link that is added or taken away then lies in
// line.
class Bow {
public:
  // Links, the straight distance they span, and how far the end seats stand past the feet of the perpendiculars on the
  // strand's line, in pitches.
  Bow(int links, double span, double from_past, double to_past)
      : links_(links), span_(span), first_(0.5 + from_past), step_rad_(turn_rad / (links + from_past - to_past)),
        step_(unit_vector(step_rad_)), place_(unit_vector(first_ * step_rad_)) {
    solve();
  }

  // Calls `use(direction)` for each link in turn, in the frame in which the strand's straight line is the first axis.
  template <class Use>
  void each(Use use) const {
    const glm::dvec2 straighten = {sum_.x / length2(sum_), -sum_.y / length2(sum_)};
    lean_over(lean_, [&](glm::dvec2 link, double) { use(turned_by(link, straighten)); });
  }

private:
  template <class Use>
  void lean_over(double lean, Use use) const {
    // Places run once round between the feet; sines of equal steps follow one another by rotation.
    glm::dvec2 place = place_;
    for (int i = 0; i < links_; ++i) {
      // A direction by the tangent t of its half angle, outward being to the right: unit length with no sine to
      // compute.
      const double t = -lean * place.y;
      const double scale = 1.0 / (1.0 + t * t);
      use(scale * glm::dvec2{1.0 - t * t, 2.0 * t}, scale * place.y);
      place = turned_by(place, step_);
    }
  }

  // Newton for the lean at which the links' sum is as long as the straight distance. From the second-order estimate two
  // or three steps reach rounding.
  void solve() {
    sum_ = {1.0, 0.0};
    if (!(span_ < links_)) return;
    double squares = 0.0;
    glm::dvec2 place = place_;
    for (int i = 0; i < links_; ++i, place = turned_by(place, step_)) squares += place.y * place.y;
    if (!(squares > 0.0)) return;
    lean_ = std::sqrt((links_ - span_) / (2.0 * squares));
    constexpr int most_steps = 12;
    for (int step = 0; step < most_steps; ++step) {
      glm::dvec2 slope{};
      sum_ = {};
      lean_over(lean_, [&](glm::dvec2 link, double share) {
        sum_ += link;
        slope -= 2.0 * share * left_of(link);
      });
      const double length = length2(sum_);
      if (std::fabs(length - span_) <= 4e-15 * span_) return;
      lean_ -= (length - span_) * length / dot2(sum_, slope);
    }
  }

  int links_;
  double span_;  // straight distance in pitches
  double first_; // the first link's middle past the first foot, in pitches
  double step_rad_;
  glm::dvec2 step_;
  glm::dvec2 place_;
  double lean_ = 0.0;
  glm::dvec2 sum_{};
};

} // namespace phasewright
