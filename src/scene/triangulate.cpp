#include "scene/triangulate.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

using Index = std::uint32_t;

double turn(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c) {
  return cross2(b - a, c - a);
}

// `slack`: as much as twice an area may be short by rounding.
bool inside(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, double slack = 0.0) {
  return turn(a, b, p) >= -slack && turn(b, c, p) >= -slack && turn(c, a, p) >= -slack;
}

// Where in the ring a hole's rightmost point can see it: the edge hit going right, or a nearer corner in the way.
std::size_t visible_from(const std::vector<glm::dvec2>& points, const std::vector<Index>& ring, glm::dvec2 from) {
  std::size_t best = 0;
  double nearest = std::numeric_limits<double>::infinity();
  glm::dvec2 hit = from;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const glm::dvec2 a = points[ring[i]];
    const glm::dvec2 b = points[ring[(i + 1) % ring.size()]];
    if (!(a.y <= from.y && b.y >= from.y && a.y < b.y)) continue;
    const double x = a.x + (b.x - a.x) * (from.y - a.y) / (b.y - a.y);
    if (x < from.x || x >= nearest) continue;
    nearest = x;
    hit = {x, from.y};
    best = a.x > b.x ? i : (i + 1) % ring.size();
  }
  const glm::dvec2 corner = points[ring[best]];
  double least_slope = std::numeric_limits<double>::infinity();
  std::size_t chosen = best;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const glm::dvec2 p = points[ring[i]];
    if (i == best || p == corner || p.x <= from.x) continue;
    const glm::dvec2 before = points[ring[(i + ring.size() - 1) % ring.size()]];
    const glm::dvec2 after = points[ring[(i + 1) % ring.size()]];
    if (turn(before, p, after) >= 0.0) continue;
    if (!(inside(p, from, hit, corner) || inside(p, from, corner, hit))) continue;
    const double slope = std::fabs(p.y - from.y) / (p.x - from.x);
    if (slope < least_slope) {
      least_slope = slope;
      chosen = i;
    }
  }
  return chosen;
}

void bridge(const std::vector<glm::dvec2>& points, std::vector<Index>& ring, const std::vector<Index>& hole) {
  const auto rightmost = std::ranges::max_element(hole, {}, [&](Index i) { return points[i].x; });
  const std::size_t start = static_cast<std::size_t>(rightmost - hole.begin());
  const std::size_t at = visible_from(points, ring, points[hole[start]]);
  std::vector<Index> added;
  for (std::size_t i = 0; i <= hole.size(); ++i) added.push_back(hole[(start + i) % hole.size()]);
  added.push_back(ring[at]);
  ring.insert(ring.begin() + static_cast<std::ptrdiff_t>(at) + 1, added.begin(), added.end());
}

class EarClipper {
public:
  EarClipper(const std::vector<glm::dvec2>& points, std::vector<Index> ring)
      : points_(points), ring_(std::move(ring)), next_(ring_.size()), previous_(ring_.size()) {
    for (std::size_t i = 0; i < ring_.size(); ++i) {
      next_[i] = (i + 1) % ring_.size();
      previous_[i] = (i + ring_.size() - 1) % ring_.size();
    }
  }

  std::vector<std::array<Index, 3>> run() {
    std::vector<std::array<Index, 3>> triangles;
    std::size_t left = ring_.size();
    std::size_t at = 0;
    std::size_t since_ear = 0;
    // Points along a straight border are straight but for rounding. An ear across them would leave nothing but them, a
    // sliver without area; so they bar it, unless there is no other.
    double slack = 1e-7;
    while (left > 2 && (since_ear <= left || slack > 0.0)) {
      if (since_ear > left) {
        slack = 0.0;
        since_ear = 0;
      }
      if (is_ear(at, slack)) {
        triangles.push_back({ring_[previous_[at]], ring_[at], ring_[next_[at]]});
        next_[previous_[at]] = next_[at];
        previous_[next_[at]] = previous_[at];
        --left;
        since_ear = 0;
        at = next_[next_[at]];
      } else {
        at = next_[at];
        ++since_ear;
      }
    }
    return triangles;
  }

private:
  [[nodiscard]] glm::dvec2 point(std::size_t i) const { return points_[ring_[i]]; }

  [[nodiscard]] bool is_ear(std::size_t at, double slack) const {
    const glm::dvec2 a = point(previous_[at]);
    const glm::dvec2 b = point(at);
    const glm::dvec2 c = point(next_[at]);
    if (!(turn(a, b, c) > std::max(1e-12, slack))) return false;
    for (std::size_t i = next_[next_[at]]; i != previous_[at]; i = next_[i]) {
      const glm::dvec2 p = point(i);
      if (p == a || p == b || p == c) continue;
      if (turn(point(previous_[i]), p, point(next_[i])) > slack) continue;
      if (inside(p, a, b, c, slack)) return false;
    }
    return true;
  }

  const std::vector<glm::dvec2>& points_;
  std::vector<Index> ring_;
  std::vector<std::size_t> next_;
  std::vector<std::size_t> previous_;
};

} // namespace

double twice_area(const Outline& outline) {
  double sum = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) sum += cross2(outline[i], outline[(i + 1) % outline.size()]);
  return sum;
}

std::vector<std::array<std::uint32_t, 3>> triangulate(const Outline& outline, std::span<const Outline> holes) {
  std::vector<glm::dvec2> points(outline);
  std::vector<Index> ring(outline.size());
  for (std::size_t i = 0; i < ring.size(); ++i) ring[i] = static_cast<Index>(i);
  std::vector<std::vector<Index>> inner;
  for (const Outline& hole : holes) {
    std::vector<Index>& indices = inner.emplace_back();
    for (const glm::dvec2 point : hole) {
      indices.push_back(static_cast<Index>(points.size()));
      points.push_back(point);
    }
  }
  // From the right, so that a bridge never crosses a hole that is not in the ring yet.
  const auto right_end = [&](const std::vector<Index>& hole) {
    double x = points[hole[0]].x;
    for (const Index i : hole) x = std::max(x, points[i].x);
    return x;
  };
  std::ranges::stable_sort(inner, std::greater{}, right_end);
  for (const std::vector<Index>& hole : inner) bridge(points, ring, hole);
  return EarClipper(points, std::move(ring)).run();
}

} // namespace phasewright
