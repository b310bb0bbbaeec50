// How far a head is from a crown along its own axis, by looking over all the crown within the head's shadow.
#include "geometry/angle.hpp"
#include "mechanics/crown_shape.hpp"
#include "mechanics/line_cuts.hpp"

#include <boost/math/tools/minima.hpp>
#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

constexpr glm::dvec3 along_crank{0.0, 1.0, 0.0};
constexpr double none_mm = std::numeric_limits<double>::lowest();

// What stands under one point of the rim.
struct Under {
  double height_mm = none_mm; // above the face, along the axis
  CrownFace face = CrownFace::none;
};

// Greatest height of the crown under the rim. Between looks it is smooth while the face under the rim is the same;
// where that changes it may jump, and both sides of the change are looked at.
class RimSearch {
public:
  RimSearch(const CrownSolid& crown, const ValveSolid& head) : crown_(crown), head_(head) {}

  [[nodiscard]] double greatest_mm() const {
    constexpr std::size_t looks = 64;
    constexpr double step_rad = turn_rad / static_cast<double>(looks);
    std::array<Under, looks> seen{};
    double greatest = none_mm;
    for (std::size_t i = 0; i < looks; ++i) {
      seen[i] = under(static_cast<double>(i) * step_rad);
      greatest = std::max(greatest, seen[i].height_mm);
    }
    // A sliver between looks shows itself first toward or away from the axes of what is round.
    for (const CrownWall& wall : crown_.walls()) {
      const glm::dvec3 to_wall = wall.foot_mm - head_.face_mm();
      const double rad = std::atan2(to_wall.y, glm::dot(to_wall, head_.across()));
      greatest = std::max({greatest, under(rad).height_mm, under(rad + pi).height_mm});
    }
    for (std::size_t i = 0; i < looks; ++i) {
      // A face steeper than two to one shows itself by its edge, which is looked at elsewhere.
      if (seen[i].height_mm + 2.0 * step_rad * head_.radius_mm() <= greatest) continue;
      const double at_rad = static_cast<double>(i) * step_rad;
      const End before = end(seen[i], at_rad, seen[(i + looks - 1) % looks], at_rad - step_rad);
      const End after = end(seen[i], at_rad, seen[(i + 1) % looks], at_rad + step_rad);
      greatest = std::max({greatest, before.height_mm, after.height_mm});
      if (seen[i].face == CrownFace::none || seen[i].height_mm < before.height_mm ||
          seen[i].height_mm < after.height_mm)
        continue;
      const auto found = boost::math::tools::brent_find_minima(
          [this](double rad) { return -std::max(under(rad).height_mm, -1e9); }, before.rad, after.rad, 26);
      greatest = std::max(greatest, -found.second);
    }
    return greatest;
  }

private:
  struct End {
    double rad, height_mm;
  };

  [[nodiscard]] Under under(double rad) const {
    const glm::dvec2 turn = unit_vector(rad);
    const glm::dvec3 rim = head_.face_mm() + head_.radius_mm() * (turn.x * head_.across() + turn.y * along_crank);
    const CrownSpans spans = crown_.along(rim, head_.up());
    const CrownSpans::Span* top = spans.top();
    return top == nullptr ? Under{} : Under{top->hi_mm, top->top};
  }

  // The neighbouring look, or where the face under the rim changes before it.
  [[nodiscard]] End end(Under here, double here_rad, Under next, double next_rad) const {
    if (here.face == next.face) return {next_rad, next.height_mm};
    constexpr int halvings = 32;
    for (int i = 0; i < halvings; ++i) {
      const double middle_rad = (here_rad + next_rad) / 2.0;
      const Under middle = under(middle_rad);
      if (middle.face == here.face) {
        here_rad = middle_rad;
        here = middle;
      } else {
        next_rad = middle_rad;
      }
    }
    return {here_rad, here.height_mm};
  }

  const CrownSolid& crown_;
  const ValveSolid& head_;
};

// Whether a wall's box can reach into the head's shadow.
bool in_shadow(const CrownWall& wall, const ValveSolid& head) {
  const double face_across = glm::dot(head.face_mm(), head.across());
  double least = std::numeric_limits<double>::max();
  double most = none_mm;
  for (const double x : {wall.box_lo_mm.x, wall.box_hi_mm.x})
    for (const double z : {wall.box_lo_mm.z, wall.box_hi_mm.z}) {
      const double across = x * head.across().x + z * head.across().z - face_across;
      least = std::min(least, across);
      most = std::max(most, across);
    }
  const double radius_mm = head.radius_mm();
  return least < radius_mm && most > -radius_mm && wall.box_lo_mm.y - head.face_mm().y < radius_mm &&
         wall.box_hi_mm.y - head.face_mm().y > -radius_mm;
}

} // namespace

double CrownGap::Shape::closed_by_search_mm(const ValveSolid& head) const {
  const double face_mm = glm::dot(head.face_mm(), head.up());
  double greatest_mm = RimSearch(crown, head).greatest_mm(); // above the face
  const auto take = [&](glm::dvec3 point) {
    greatest_mm = std::max(greatest_mm, glm::dot(point, head.up()) - face_mm);
  };
  const auto shadow_along = [&](glm::dvec3 from, glm::dvec3 way) {
    return in_cylinder(from, way, head.face_mm(), head.up(), head.radius_mm());
  };

  if (crown.ball()) {
    const glm::dvec3 highest = crown.ball()->centre_mm + crown.ball()->radius_mm * head.up();
    if (!shadow_along(highest, head.up()).empty() && highest.z > 0.0 && crown.holds(highest)) take(highest);
  }
  for (std::size_t i = 0; i < crown.walls().size(); ++i) {
    const CrownWall& wall = crown.walls()[i];
    if (!in_shadow(wall, head)) continue;
    const double least_down_mm =
        least_around(wall_looks[i], -greatest_mm, may_fall_mm(wall.radius_mm), [&](glm::dvec2 turn) {
          const glm::dvec3 foot = wall.at_mm(turn);
          const Stretch shadow = shadow_along(foot, wall.up);
          if (shadow.empty()) return nothing_mm;
          CrownSpans spans = crown.along(foot, wall.up, wall.face);
          spans.keep(std::max(shadow.lo_mm, -wall.depth_mm), shadow.hi_mm);
          const CrownSpans::Span* top = spans.top();
          return top == nullptr ? nothing_mm : face_mm - glm::dot(foot + top->hi_mm * wall.up, head.up());
        });
    greatest_mm = std::max(greatest_mm, -least_down_mm);
  }
  for (const CrownRidge& ridge : ridges) {
    const Stretch shadow = shadow_along(ridge.on_mm, along_crank);
    if (shadow.empty()) continue;
    CrownSpans spans = crown.along(ridge.on_mm, along_crank, ridge.face, ridge.other);
    spans.keep(shadow.lo_mm, shadow.hi_mm);
    if (!spans.empty()) take(ridge.on_mm);
  }
  for (std::size_t i = 0; i < rings.size(); ++i) {
    const CrownRing& ring = rings[i];
    const double least_down_mm =
        least_around(ring_looks[i], -greatest_mm, may_fall_mm(ring.radius_mm), [&](glm::dvec2 turn) {
          const glm::dvec3 point = ring.at_mm(turn);
          if (shadow_along(point, head.up()).empty() || !crown.holds(point, ring.floor)) return nothing_mm;
          return face_mm - glm::dot(point, head.up());
        });
    greatest_mm = std::max(greatest_mm, -least_down_mm);
  }
  return -greatest_mm;
}

} // namespace phasewright
