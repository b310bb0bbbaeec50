#include "mechanics/crown_gap.hpp"

#include "geometry/angle.hpp"
#include "mechanics/crown_shape.hpp"
#include "mechanics/line_cuts.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

constexpr glm::dvec3 along_crank{0.0, 1.0, 0.0};

// Flats all stand square to directions across the crank, so any two that are not parallel meet in a line along it.
std::vector<CrownRidge> ridges_of(const std::vector<CrownFlat>& flats) {
  std::vector<CrownRidge> made;
  for (std::size_t i = 0; i < flats.size(); ++i)
    for (std::size_t j = i + 1; j < flats.size(); ++j) {
      const CrownFlat& a = flats[i];
      const CrownFlat& b = flats[j];
      const double turn = a.up.x * b.up.z - a.up.z * b.up.x;
      if (std::fabs(turn) < 1e-9) continue;
      made.push_back({{(a.level_mm * b.up.z - b.level_mm * a.up.z) / turn, 0.0,
                       (a.up.x * b.level_mm - b.up.x * a.level_mm) / turn},
                      a.face,
                      b.face});
    }
  return made;
}

std::vector<CrownRing> rings_of(const CrownSolid& crown) {
  std::vector<CrownRing> made;
  if (!crown.ball()) return made;
  for (const CrownFlat& flat : crown.flats()) {
    if (flat.face != CrownFace::inlet_floor && flat.face != CrownFace::exhaust_floor) continue;
    const double over_mm = glm::dot(crown.ball()->centre_mm, flat.up) - flat.level_mm;
    const double radius2 = crown.ball()->radius_mm * crown.ball()->radius_mm - over_mm * over_mm;
    if (radius2 > 0.0)
      made.push_back(
          {crown.ball()->centre_mm - over_mm * flat.up, {flat.up.z, 0.0, -flat.up.x}, std::sqrt(radius2), flat.face});
  }
  return made;
}

// The middle of the face and its rim's ends across and along the crank.
std::array<glm::dvec3, 5> face_points(const ValveSolid& head) {
  const glm::dvec3 across = head.radius_mm() * head.across();
  const glm::dvec3 along = head.radius_mm() * along_crank;
  const glm::dvec3 face = head.face_mm();
  return {face, face + across, face - across, face + along, face - along};
}

// Along the head's axis from a point down to a level square to `up`.
double down_to_mm(const ValveSolid& head, glm::dvec3 from_mm, glm::dvec3 up, double level_mm) {
  return (glm::dot(from_mm, up) - level_mm) / glm::dot(head.up(), up);
}

} // namespace

CrownGap::Shape::Shape(const Engine& engine, ValveKind of_kind)
    : crown(engine),
      valve(of_kind == ValveKind::inlet ? *engine.inlet_valve : *engine.exhaust_valve, engine.block.deck_mm),
      kind(of_kind), ridges(ridges_of(crown.flats())), rings(rings_of(crown)) {}

// Each formula is a bound that nothing of the crown is above, and holds where the point that reaches it is there.
std::optional<double> CrownGap::Shape::closed_by_formula_mm(const ValveSolid& head) const {
  const std::array<glm::dvec3, 5> points = face_points(head);
  const auto reached = [&](glm::dvec3 from_mm, double down_mm, CrownFace on) {
    return crown.holds(from_mm - down_mm * head.up(), on);
  };
  if (const CrownWall* pocket = own()) {
    const double floor_mm = glm::dot(head.face_mm() - pocket->foot_mm, head.up());
    const double aside_mm = glm::dot(pocket->foot_mm - head.face_mm(), head.across());
    const CrownFace floor = kind == ValveKind::inlet ? CrownFace::inlet_floor : CrownFace::exhaust_floor;
    const auto on_floor = [&] {
      return std::ranges::any_of(points, [&](glm::dvec3 point) { return reached(point, floor_mm, floor); });
    };
    const double radius_mm = head.radius_mm();
    if (std::fabs(aside_mm) + radius_mm <= pocket->radius_mm)
      return on_floor() ? std::optional(floor_mm) : std::nullopt;
    // The rest of the head hangs over the crown beside its pocket, with the pocket's edge under it from tip to tip.
    const double tip_across_mm =
        (radius_mm * radius_mm - pocket->radius_mm * pocket->radius_mm + aside_mm * aside_mm) / (2.0 * aside_mm);
    const bool tips_lead = aside_mm * head.up().x > 0.0; // the low side of the face is over the pocket
    if (!crown.ball() && tips_lead && std::fabs(tip_across_mm) < radius_mm) {
      const glm::dvec3 tip = head.face_mm() + tip_across_mm * head.across() +
                             std::sqrt(radius_mm * radius_mm - tip_across_mm * tip_across_mm) * along_crank;
      const double tip_mm = down_to_mm(head, tip, {0.0, 0.0, 1.0}, crown.flat_mm());
      if (tip_mm <= floor_mm && reached(tip, tip_mm, pocket->face)) return tip_mm;
      if (tip_mm > floor_mm && on_floor()) return floor_mm;
      return std::nullopt;
    }
  }
  const bool upright = head.up().x == 0.0;
  const glm::dvec3 lowest = upright ? head.face_mm() : head.farthest({0.0, 0.0, -1.0});
  const double flat_mm = down_to_mm(head, lowest, {0.0, 0.0, 1.0}, crown.flat_mm());
  if (crown.ball()) {
    // Where the ball is highest along the axis, or the rim's nearest to it.
    const glm::dvec3 to_ball = crown.ball()->centre_mm - head.face_mm();
    const double up_mm = glm::dot(to_ball, head.up());
    const glm::dvec3 aside = to_ball - up_mm * head.up();
    const double aside_mm = glm::length(aside);
    const double past_mm = std::max(0.0, aside_mm - head.radius_mm());
    const double ball_mm = crown.ball()->radius_mm;
    if (past_mm < ball_mm) {
      const glm::dvec3 above = head.face_mm() + (aside_mm > 0.0 ? (1.0 - past_mm / aside_mm) * aside : glm::dvec3{});
      const double down_mm = -up_mm - std::sqrt(ball_mm * ball_mm - past_mm * past_mm);
      const glm::dvec3 met = above - down_mm * head.up();
      if (down_mm <= flat_mm) return met.z > 0.0 && crown.holds(met) ? std::optional(down_mm) : std::nullopt;
    }
  }
  if (!upright) return reached(lowest, flat_mm, CrownFace::none) ? std::optional(flat_mm) : std::nullopt;
  if (std::ranges::any_of(points, [&](glm::dvec3 point) { return reached(point, flat_mm, CrownFace::none); }))
    return flat_mm;
  return std::nullopt;
}

// The head's edge meets its pocket's wall sideways only where some of the wall is at the edge's height.
std::optional<double> CrownGap::Shape::radial_mm(const ValveSolid& head) const {
  const CrownWall* pocket = own();
  if (pocket == nullptr || head.farthest({0.0, 0.0, -1.0}).z > crown.top_mm()) return std::nullopt;
  const double least_mm = least_around(looks, nothing_mm, [&](glm::dvec2 turn) {
    const glm::dvec3 foot = pocket->at_mm(turn);
    const glm::dvec3 to_foot = foot - head.face_mm();
    const double down_mm = glm::dot(to_foot, head.up());
    const CrownSpans wall = crown.along(foot, pocket->up, pocket->face);
    const bool beside = std::any_of(wall.begin(), wall.end(), [&](const CrownSpans::Span& span) {
      return span.hi_mm >= -down_mm && span.lo_mm <= -down_mm + head.margin_mm();
    });
    return beside ? glm::length(to_foot - down_mm * head.up()) - head.radius_mm() : nothing_mm;
  });
  return least_mm < nothing_mm ? std::optional(least_mm) : std::nullopt;
}

CrownGap::CrownGap(std::shared_ptr<const Shape> shape) : shape_(std::move(shape)) {}

Result<CrownGap> CrownGap::make(const Engine& engine, ValveKind kind) {
  const Valve& valve = *(kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve);
  const Pocket& pocket = valve.pocket;
  if ((pocket.depth_mm != 0.0 || pocket.radius_mm > 0.0) && !(pocket.radius_mm > valve.head_mm / 2.0))
    return problem_at(fmt::format("valve.{}.pocket.radius_mm", to_word(kind)), fmt::format("{} mm", pocket.radius_mm),
                      fmt::format("more than {} mm", valve.head_mm / 2.0), "the head would not enter its pocket");
  return CrownGap(std::make_shared<const Shape>(engine, kind));
}

double CrownGap::closed_mm(double drop_mm) const {
  const ValveSolid head = shape_->shut(drop_mm);
  const std::optional<double> by_formula_mm = shape_->closed_by_formula_mm(head);
  return by_formula_mm ? *by_formula_mm : shape_->closed_by_search_mm(head);
}

double CrownGap::closed_at_least_mm(double drop_mm) const {
  const ValveSolid head = shape_->shut(drop_mm);
  return (head.farthest({0.0, 0.0, -1.0}).z - shape_->crown.top_mm()) / head.up().z;
}

double CrownGap::radial_at_least_mm(double drop_mm) const {
  const CrownWall* pocket = shape_->own();
  if (pocket == nullptr) return nothing_mm;
  return pocket->radius_mm - shape_->valve.radius_mm() - drop_mm * std::fabs(shape_->valve.up().x);
}

double CrownGap::axial_mm(double lift_mm, double drop_mm) const {
  return closed_mm(drop_mm) - lift_mm;
}

double CrownGap::distance_mm(double lift_mm, double drop_mm) const {
  return shape_->distance_mm(shape_->valve.moved(lift_mm, drop_mm));
}

std::optional<double> CrownGap::radial_mm(double lift_mm, double drop_mm) const {
  return shape_->radial_mm(shape_->valve.moved(lift_mm, drop_mm));
}

} // namespace phasewright
