// Least distance between two convex solids that can tell their farthest point any way.
#pragma once

#include <glm/geometric.hpp>
#include <glm/vec3.hpp>

#include <array>
#include <cmath>
#include <cstddef>

namespace phasewright {

// Up to four points and the point of their hull that is nearest to the origin.
class NearestOfHull {
public:
  // Takes one more point and drops those that the nearest point of the hull does not need. `points()` is 4 when the
  // origin is inside.
  void add(glm::dvec3 point);

  [[nodiscard]] glm::dvec3 nearest() const { return nearest_; }
  [[nodiscard]] std::size_t points() const { return count_; }

private:
  // Nearest of the hull of some of the points, told by bits; keeps it and them when it is nearer than what is kept.
  struct Kept {
    unsigned points = 0;
    glm::dvec3 nearest{};
    double length2 = 0;
  };
  void try_point(unsigned a, Kept& kept) const;
  void try_edge(unsigned a, unsigned b, Kept& kept) const;
  void try_triangle(unsigned a, unsigned b, unsigned c, Kept& kept) const;
  [[nodiscard]] bool surrounded() const;

  std::array<glm::dvec3, 4> points_{};
  std::size_t count_ = 0;
  glm::dvec3 nearest_{};
};

// The method of E. G. Gilbert, D. W. Johnson and S. S. Keerthi (IEEE Journal of Robotics and Automation 4 (1988) 193;
// from memory): the point nearest to the origin of the solids' differences, closed in on by hulls of their farthest
// points. It tells how far it may still be off, and stops at `near_enough_mm`. 0 when they meet.
template <class Solid>
[[nodiscard]] double convex_distance_mm(const Solid& one, const Solid& other, glm::dvec3 first_way) {
  constexpr double near_enough_mm = 1e-10;
  constexpr int most_steps = 200;
  const auto farthest = [&](glm::dvec3 way) { return one.farthest(way) - other.farthest(-way); };
  NearestOfHull hull;
  hull.add(farthest(first_way));
  double length = glm::length(hull.nearest());
  for (int step = 0; step < most_steps && length > near_enough_mm; ++step) {
    const glm::dvec3 nearest = hull.nearest();
    const glm::dvec3 next = farthest(-nearest);
    // All of the difference is beyond the plane through `next` square to `nearest`.
    if (length - glm::dot(nearest, next) / length < near_enough_mm) break;
    hull.add(next);
    if (hull.points() == 4) return 0.0;
    const double closer = glm::length(hull.nearest());
    if (!(closer < length)) break; // as near as rounding lets it come
    length = closer;
  }
  return length > near_enough_mm ? length : 0.0;
}

} // namespace phasewright
