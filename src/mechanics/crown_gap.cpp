#include "mechanics/crown_gap.hpp"

#include "geometry/angle.hpp"
#include "mechanics/crown_corners.hpp"
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

// The part of a head that hangs over its pocket's edge: a crescent between rim and edge, in the head's own plane (x
// across, y along the crank, from the face's middle).
struct Crescent {
  double radius_mm = 0; // of the head
  double edge_mm = 0;   // of the pocket
  double aside_mm = 0;  // of the pocket's axis
  glm::dvec2 tip{};     // where rim and edge cross; the other one mirrored

  // The point of it that is nearest to another.
  [[nodiscard]] glm::dvec2 nearest(glm::dvec2 to) const {
    const glm::dvec2 centre(aside_mm, 0.0);
    const double to_mm = length2(to);
    const double from_centre_mm = length2(to - centre);
    if (to_mm > 0.0) {
      const glm::dvec2 on_rim = to_mm > radius_mm ? (radius_mm / to_mm) * to : to;
      if (length2(on_rim - centre) >= edge_mm) return on_rim;
    }
    if (from_centre_mm > 0.0) {
      const glm::dvec2 on_edge = centre + (edge_mm / from_centre_mm) * (to - centre);
      if (length2(on_edge) <= radius_mm) return on_edge;
    }
    return {tip.x, to.y < 0.0 ? -tip.y : tip.y};
  }
};

// Of a head that does not fit into its pocket sideways.
Crescent crescent_of(const ValveSolid& head, const CrownWall& own) {
  Crescent made{head.radius_mm(), own.radius_mm, glm::dot(own.foot_mm - head.face_mm(), head.across()), {}};
  const double a2 = made.radius_mm * made.radius_mm;
  const double tip = std::max(
      -made.radius_mm, std::min(made.radius_mm, (a2 - own.radius_mm * own.radius_mm + made.aside_mm * made.aside_mm) /
                                                    (2.0 * made.aside_mm)));
  made.tip = {tip, std::sqrt(a2 - tip * tip)};
  return made;
}

glm::dvec3 on_face(const ValveSolid& head, glm::dvec2 place) {
  return head.face_mm() + place.x * head.across() + place.y * along_crank;
}

// How far down the head's axis some of the crown is at the least, and where it is if it is there at all.
struct Bound {
  double down_mm = nothing_mm;
  glm::dvec3 point{};
};

// The flat under the lowest of what can meet it.
Bound flat_bound(const CrownSolid& crown, const ValveSolid& head, const std::optional<Crescent>& over_edge) {
  glm::dvec3 from = head.up().x == 0.0 ? head.face_mm() : head.farthest({0.0, 0.0, -1.0});
  // The lower side of the crescent, if its rim is not.
  if (over_edge && over_edge->aside_mm * head.up().x > 0.0) from = on_face(head, over_edge->tip);
  const double down_mm = (from.z - crown.flat_mm()) / head.up().z;
  return {down_mm, from - down_mm * head.up()};
}

// Where the ball is highest along the head's axis, or what can meet it comes nearest to that.
Bound ball_bound(const CrownBall& ball, const ValveSolid& head, const std::optional<Crescent>& over_edge) {
  const glm::dvec3 to_ball = ball.centre_mm - head.face_mm();
  const double up_mm = glm::dot(to_ball, head.up());
  const glm::dvec2 highest(glm::dot(to_ball, head.across()), to_ball.y);
  const double length_mm = length2(highest);
  const glm::dvec2 place = over_edge                      ? over_edge->nearest(highest)
                           : length_mm > head.radius_mm() ? (head.radius_mm() / length_mm) * highest
                                                          : highest;
  const double past_mm = length2(highest - place);
  if (past_mm >= ball.radius_mm) return {};
  const double down_mm = -up_mm - std::sqrt(ball.radius_mm * ball.radius_mm - past_mm * past_mm);
  return {down_mm, on_face(head, place) - down_mm * head.up()};
}

} // namespace

CrownGap::Shape::Shape(const Engine& engine, ValveKind of_kind)
    : crown(engine),
      valve(of_kind == ValveKind::inlet ? *engine.inlet_valve : *engine.exhaust_valve, engine.block.deck_mm),
      kind(of_kind), ridges(ridges_of(crown.flats())), rings(rings_of(crown)),
      lowest_mm(valve.farthest({0.0, 0.0, -1.0}).z - crown.top_mm()) {
  for (const CrownWall& wall : crown.walls()) wall_looks.emplace_back(corner_turns_rad(crown, wall));
  for (const CrownRing& ring : rings) ring_looks.emplace_back(corner_turns_rad(crown, ring));
  if (valve.up().x == 0.0) closed_upright_mm = closed_mm(0.0);
}

double CrownGap::Shape::closed_mm(double drop_mm) const {
  if (closed_upright_mm) return *closed_upright_mm + drop_mm;
  const ValveSolid head = shut(drop_mm);
  const std::optional<double> by_formula_mm = closed_by_formula_mm(head);
  return by_formula_mm ? *by_formula_mm : closed_by_search_mm(head);
}

double CrownGap::Shape::closed_at_least_mm(double drop_mm) const {
  if (closed_upright_mm) return *closed_upright_mm + drop_mm;
  return (lowest_mm + drop_mm) / valve.up().z;
}

// All of the crown in the head's shadow is its pocket's floor or below it, or beside the pocket and below the flat or
// the ball. The nearest of these bounds is the gap if some of the crown reaches it.
std::optional<double> CrownGap::Shape::closed_by_formula_mm(const ValveSolid& head) const {
  const auto reached = [&](double down_mm, CrownFace on) {
    return std::ranges::any_of(face_points(head),
                               [&](glm::dvec3 point) { return crown.holds(point - down_mm * head.up(), on); });
  };
  const CrownWall* pocket = own();
  const CrownFace wall = pocket == nullptr ? CrownFace::none : pocket->face;
  const CrownFace floor = kind == ValveKind::inlet ? CrownFace::inlet_floor : CrownFace::exhaust_floor;
  double floor_mm = nothing_mm;
  std::optional<Crescent> over_edge;
  if (pocket != nullptr) {
    floor_mm = glm::dot(head.face_mm() - pocket->foot_mm, head.up());
    const double aside_mm = std::fabs(glm::dot(pocket->foot_mm - head.face_mm(), head.across()));
    if (aside_mm + head.radius_mm() <= pocket->radius_mm)
      return reached(floor_mm, floor) ? std::optional(floor_mm) : std::nullopt;
    if (aside_mm - head.radius_mm() < pocket->radius_mm) over_edge = crescent_of(head, *pocket);
  }
  const Bound flat = flat_bound(crown, head, over_edge);
  const Bound ball = crown.ball() ? ball_bound(*crown.ball(), head, over_edge) : Bound{};
  if (ball.down_mm <= std::min(flat.down_mm, floor_mm))
    return ball.point.z > 0.0 && crown.holds(ball.point, wall) ? std::optional(ball.down_mm) : std::nullopt;
  if (floor_mm < flat.down_mm) return reached(floor_mm, floor) ? std::optional(floor_mm) : std::nullopt;
  const glm::dvec3 mirrored(flat.point.x, 2.0 * head.face_mm().y - flat.point.y, flat.point.z);
  if (crown.holds(flat.point, wall) || (over_edge && crown.holds(mirrored, wall))) return flat.down_mm;
  return head.up().x == 0.0 && reached(flat.down_mm, CrownFace::none) ? std::optional(flat.down_mm) : std::nullopt;
}

// The head's edge meets its pocket's wall sideways only where some of the wall is at the edge's height.
std::optional<double> CrownGap::Shape::radial_mm(const ValveSolid& head) const {
  const CrownWall* pocket = own();
  if (pocket == nullptr || head.farthest({0.0, 0.0, -1.0}).z > crown.top_mm()) return std::nullopt;
  const TurnLooks& looks = wall_looks[static_cast<std::size_t>(pocket - crown.walls().data())];
  const double least_mm = least_around(looks, nothing_mm, nothing_mm, [&](glm::dvec2 turn) {
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
  return shape_->closed_mm(drop_mm);
}

bool CrownGap::axial_is_all() const {
  return shape_->closed_upright_mm && *shape_->closed_upright_mm == shape_->lowest_mm;
}

double CrownGap::closed_at_least_mm(double drop_mm) const {
  return shape_->closed_at_least_mm(drop_mm);
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
  // Where a head is deep in a crown, the nearest place of its surface may have been cut away.
  if (closed_mm(drop_mm) <= lift_mm) return 0.0;
  return shape_->distance_mm(shape_->valve.moved(lift_mm, drop_mm));
}

std::optional<double> CrownGap::radial_mm(double lift_mm, double drop_mm) const {
  return shape_->radial_mm(shape_->valve.moved(lift_mm, drop_mm));
}

} // namespace phasewright
