#include "mechanics/valve_solid.hpp"

#include "geometry/angle.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace phasewright {

ValveSolid::ValveSolid(const Valve& valve, double deck_mm)
    : radius_mm_(valve.head_mm / 2.0), margin_mm_(valve.margin_mm),
      up_(sin_deg(valve.inclination_deg), 0.0, cos_deg(valve.inclination_deg)), across_(up_.z, 0.0, -up_.x),
      face_mm_(valve.offset_mm.y, valve.offset_mm.x, valve.closed_height_mm + deck_mm) {}

ValveSolid ValveSolid::moved(double lift_mm, double drop_mm) const {
  ValveSolid there(*this);
  there.face_mm_ += glm::dvec3(-lift_mm * up_.x, 0.0, drop_mm - lift_mm * up_.z);
  return there;
}

// In the plane through the axis and the point the head is a convex outline: its nearest side or corner is told by where
// the point lies.
Nearness ValveSolid::near(glm::dvec3 point_mm) const {
  const glm::dvec3 from_face = point_mm - face_mm_;
  const double height = glm::dot(from_face, up_);
  const glm::dvec3 aside = from_face - height * up_;
  const double radius = glm::length(aside);
  const glm::dvec3 out = radius > 1e-9 ? aside / radius : glm::dvec3{};
  const auto of_corner = [&](double corner_radius, double corner_height) {
    const double dr = radius - corner_radius;
    const double dh = height - corner_height;
    const double mm = std::sqrt(dr * dr + dh * dh);
    return Nearness{mm, mm > 0.0 ? (dr / mm) * out + (dh / mm) * up_ : glm::dvec3{}};
  };
  if (height < 0.0) return radius <= radius_mm_ ? Nearness{-height, -up_} : of_corner(radius_mm_, 0.0);
  if (height <= margin_mm_) return radius <= radius_mm_ ? Nearness{} : Nearness{radius - radius_mm_, out};
  const double beyond = height - margin_mm_;
  const double off_cone = (radius - radius_mm_ + beyond) / std::numbers::sqrt2;
  if (off_cone <= 0.0) return {};
  const double along_cone = (radius_mm_ - radius + beyond) / std::numbers::sqrt2;
  if (along_cone < 0.0) return of_corner(radius_mm_, margin_mm_);
  if (along_cone > radius_mm_ * std::numbers::sqrt2) return of_corner(0.0, margin_mm_ + radius_mm_);
  return {off_cone, (out + up_) / std::numbers::sqrt2};
}

glm::dvec3 ValveSolid::farthest(glm::dvec3 way) const {
  const double along = glm::dot(way, up_);
  const glm::dvec3 aside = way - along * up_;
  const double length = glm::length(aside);
  // Along the stem, rounding alone would choose a way.
  const glm::dvec3 rim = length > 1e-9 * std::fabs(along) ? (radius_mm_ / length) * aside : glm::dvec3{};
  if (along <= 0.0) return face_mm_ + rim;
  const bool apex = radius_mm_ * along > radius_mm_ * length;
  return face_mm_ + (apex ? (margin_mm_ + radius_mm_) * up_ : rim + margin_mm_ * up_);
}

double ValveSolid::distance_mm(glm::dvec3 from_mm, glm::dvec3 unit_way, double lo_mm, double hi_mm) const {
  if (unit_way == up_) {
    // Beside the axis the face's level is as near as any.
    const double face = glm::dot(face_mm_ - from_mm, up_);
    return near(from_mm + std::clamp(face, lo_mm, hi_mm) * unit_way).mm;
  }
  struct Look {
    double at, mm, slope;
  };
  const auto look = [&](double at) {
    const Nearness here = near(from_mm + at * unit_way);
    return Look{at, here.mm, glm::dot(here.away, unit_way)};
  };
  // Distance to a convex solid is convex along a line: its slope rises through 0 once.
  Look high = look(hi_mm);
  if (high.slope <= 0.0) return high.mm;
  Look low = look(lo_mm);
  if (low.slope >= 0.0) return low.mm;
  double weight_low = 1.0;
  double weight_high = 1.0;
  constexpr int most_looks = 80;
  for (int i = 0; i < most_looks && high.at - low.at > 1e-11; ++i) {
    // False position, the end that stays weighing half each time (the "Illinois" rule), and every third time halving.
    const double rise = weight_high * high.slope - weight_low * low.slope;
    const double share = i % 3 == 2 ? 0.5 : -weight_low * low.slope / rise;
    const Look here = look(low.at + share * (high.at - low.at));
    if (here.slope == 0.0) return here.mm;
    if (here.slope < 0.0) {
      low = here;
      weight_low = 1.0;
      weight_high *= 0.5;
    } else {
      high = here;
      weight_high = 1.0;
      weight_low *= 0.5;
    }
    // No point between lies below where the two tangents meet.
    const double meet = (low.mm * high.slope - high.mm * low.slope + low.slope * high.slope * (high.at - low.at)) /
                        (high.slope - low.slope);
    if (std::min(low.mm, high.mm) - meet < 1e-12) break;
  }
  return std::min(low.mm, high.mm);
}

} // namespace phasewright
