#include "reference/cams_rolling.hpp"

#include <cmath>
#include <stdexcept>

namespace phasewright::testing {

namespace {

double dot(glm::dvec2 a, glm::dvec2 b) {
  return a.x * b.x + a.y * b.y;
}

double length(glm::dvec2 v) {
  return std::hypot(v.x, v.y);
}

glm::dvec2 turned(glm::dvec2 v, double rad) {
  return {v.x * std::cos(rad) - v.y * std::sin(rad), v.x * std::sin(rad) + v.y * std::cos(rad)};
}

// The way of a roller's or pad's centre: a straight line, or a circle about a finger's pivot, toward the camshaft.
struct PadWay {
  const ValveGear& gear;
  double start_rad = 0; // of the finger, well clear of the lobe

  [[nodiscard]] double radius_mm() const { return gear.finger ? gear.finger->pad_radius_mm : gear.roller_radius_mm; }
  [[nodiscard]] glm::dvec2 pivot_mm() const { return {gear.finger->pivot_mm.x, -gear.finger->pivot_mm.y}; }
  // From the pivot toward the other side, turning toward the camshaft is one way about or the other.
  [[nodiscard]] double sense() const { return pivot_mm().x < 0.0 ? -1.0 : 1.0; }

  [[nodiscard]] glm::dvec2 centre_mm(double gone_mm) const {
    if (!gear.finger) return {0.0, 3.0 * (gear.base_radius_mm + gear.roller_radius_mm) - gone_mm};
    const double rad = start_rad + sense() * gone_mm / gear.finger->pad_arm_mm;
    return pivot_mm() + gear.finger->pad_arm_mm * glm::dvec2{std::cos(rad), std::sin(rad)};
  }
  [[nodiscard]] glm::dvec2 way(double gone_mm) const {
    if (!gear.finger) return {0.0, -1.0};
    const double rad = start_rad + sense() * gone_mm / gear.finger->pad_arm_mm;
    return sense() * glm::dvec2{-std::sin(rad), std::cos(rad)};
  }
};

} // namespace

template <class Height>
Outline::Place Outline::refined(std::size_t highest, Height height) const {
  const std::size_t count = points_.size();
  const glm::dvec2 before = point(highest + count - 1), at = point(highest), after = point(highest + 1);
  const double a = height(before), b = height(at), c = height(after);
  const double bend = a - 2.0 * b + c;
  const double step = bend == 0.0 ? 0.0 : 0.5 * (a - c) / bend; // in spacings of the points
  return {at + 0.5 * step * (after - before) + 0.5 * step * step * (before - 2.0 * at + after), 0.0};
}

Outline::Place Outline::farthest_along(glm::dvec2 way) const {
  std::size_t highest = 0;
  for (std::size_t i = 1; i < points_.size(); ++i)
    if (dot(points_[i], way) > dot(points_[highest], way)) highest = i;
  Place place = refined(highest, [way](glm::dvec2 p) { return dot(p, way); });
  place.mm = dot(place.at_mm, way);
  return place;
}

Outline::Place Outline::nearest_to(glm::dvec2 from) const {
  const auto off2 = [from](glm::dvec2 p) { return dot(p - from, p - from); };
  // Looked for among every 40th point first, then about each of those that might hide the nearest.
  constexpr std::size_t stride = 40;
  const std::size_t count = points_.size();
  double rough_mm = 1e9;
  for (std::size_t i = 0; i < count; i += stride) rough_mm = std::fmin(rough_mm, std::sqrt(off2(points_[i])));
  std::size_t nearest = 0;
  for (std::size_t i = 0; i < count; i += stride) {
    const double spread_mm = length(point(i + stride) - point(i)) + length(point(i + count - stride) - point(i));
    if (std::sqrt(off2(points_[i])) > rough_mm + spread_mm) continue;
    for (std::size_t k = i + count - stride; k < i + count + stride; ++k)
      if (off2(point(k)) < off2(points_[nearest])) nearest = k % count;
  }
  Place place = refined(nearest, off2);
  place.mm = length(place.at_mm - from);
  return place;
}

Rolled roll(const Outline& outline, const ValveGear& gear, double turned_rad) {
  Rolled rolled;
  if (gear.follower == Follower::flat_tappet || gear.follower == Follower::bucket) {
    const Outline::Place top = outline.farthest_along(turned({0.0, 1.0}, -turned_rad));
    rolled.in_lobe_mm = top.at_mm;
    rolled.in_follower_mm = turned(top.at_mm, turned_rad);
    rolled.pad_mm = rolled.in_follower_mm;
    rolled.tappet_mm = top.mm - gear.base_radius_mm;
    return rolled;
  }
  PadWay pad{gear};
  if (gear.finger) { // the pad straight below its pivot's height from the camshaft: swung out by half a right angle
    const glm::dvec2 pivot = pad.pivot_mm();
    const double toward_rad = std::atan2(gear.base_radius_mm + pad.radius_mm() - pivot.y, -pivot.x);
    pad.start_rad = toward_rad - 0.8 * pad.sense();
  }
  // The lobe's distance from the pad's centre is a length the pad may always go; near the end Newton's step.
  double gone_mm = 0.0;
  for (int step = 0; step < 500; ++step) {
    const glm::dvec2 centre = pad.centre_mm(gone_mm);
    const Outline::Place place = outline.nearest_to(turned(centre, -turned_rad));
    const double gap_mm = place.mm - pad.radius_mm();
    rolled.in_lobe_mm = place.at_mm;
    rolled.in_follower_mm = turned(place.at_mm, turned_rad);
    rolled.pad_mm = centre;
    rolled.tappet_mm = length(centre) - gear.base_radius_mm - pad.radius_mm();
    if (std::fabs(gap_mm) < 1e-11) return rolled;
    const double closing = dot(rolled.in_follower_mm - centre, pad.way(gone_mm)) / place.mm;
    gone_mm += gap_mm > 0.05 ? gap_mm : gap_mm / closing;
  }
  throw std::runtime_error("the pad finds no lobe");
}

} // namespace phasewright::testing
