#include "mechanics/convex_distance.hpp"

namespace phasewright {

void NearestOfHull::try_point(unsigned a, Kept& kept) const {
  const double length2 = glm::dot(points_[a], points_[a]);
  if (kept.points == 0 || length2 < kept.length2) kept = {1U << a, points_[a], length2};
}

void NearestOfHull::try_edge(unsigned a, unsigned b, Kept& kept) const {
  const glm::dvec3 edge = points_[b] - points_[a];
  const double along = -glm::dot(points_[a], edge);
  const double whole = glm::dot(edge, edge);
  if (!(along > 0.0 && along < whole)) return;
  const glm::dvec3 foot = points_[a] + (along / whole) * edge;
  const double length2 = glm::dot(foot, foot);
  if (length2 < kept.length2) kept = {1U << a | 1U << b, foot, length2};
}

void NearestOfHull::try_triangle(unsigned a, unsigned b, unsigned c, Kept& kept) const {
  const glm::dvec3 normal = glm::cross(points_[b] - points_[a], points_[c] - points_[a]);
  const double area2 = glm::dot(normal, normal);
  if (!(area2 > 0.0)) return;
  // The foot of the origin on the plane is inside when it is on the inner side of every edge.
  const auto inside = [&](unsigned from, unsigned to) {
    return glm::dot(glm::cross(points_[to] - points_[from], -points_[from]), normal) >= 0.0;
  };
  if (!inside(a, b) || !inside(b, c) || !inside(c, a)) return;
  const glm::dvec3 foot = (glm::dot(points_[a], normal) / area2) * normal;
  const double length2 = glm::dot(foot, foot);
  if (length2 < kept.length2) kept = {1U << a | 1U << b | 1U << c, foot, length2};
}

bool NearestOfHull::surrounded() const {
  // The origin and the fourth point are on the same side of every face.
  constexpr std::array<std::array<std::size_t, 4>, 4> faces{{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}}};
  for (const auto& [a, b, c, apex] : faces) {
    const glm::dvec3 normal = glm::cross(points_[b] - points_[a], points_[c] - points_[a]);
    const double apex_side = glm::dot(points_[apex] - points_[a], normal);
    const double origin_side = glm::dot(-points_[a], normal);
    if (!(apex_side * origin_side > 0.0)) return false;
  }
  return true;
}

void NearestOfHull::add(glm::dvec3 point) {
  points_[count_++] = point;
  if (count_ == 4 && surrounded()) {
    nearest_ = {};
    return;
  }
  // Every vertex, edge and face is tried: with so few points that is quicker than to choose among them, and safer.
  Kept kept;
  const auto count = static_cast<unsigned>(count_);
  for (unsigned a = 0; a < count; ++a) try_point(a, kept);
  for (unsigned a = 0; a < count; ++a)
    for (unsigned b = a + 1; b < count; ++b) {
      try_edge(a, b, kept);
      for (unsigned c = b + 1; c < count; ++c) try_triangle(a, b, c, kept);
    }
  std::size_t left = 0;
  for (unsigned i = 0; i < count; ++i)
    if ((kept.points >> i & 1U) != 0U) points_[left++] = points_[i];
  count_ = left;
  nearest_ = kept.nearest;
}

} // namespace phasewright
