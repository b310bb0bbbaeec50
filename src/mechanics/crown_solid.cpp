#include "mechanics/crown_solid.hpp"

#include "geometry/angle.hpp"
#include "mechanics/line_cuts.hpp"

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

// Points of an edge are this much off it by rounding, and must not fall out of the crown by it.
constexpr double rounding_mm = Stretch::rounding_mm;
constexpr double far_mm = Stretch::far_mm;
constexpr glm::dvec3 upright{0.0, 0.0, 1.0};

CrownFace floor_of(CrownFace wall) {
  return wall == CrownFace::inlet_wall     ? CrownFace::inlet_floor
         : wall == CrownFace::exhaust_wall ? CrownFace::exhaust_floor
                                           : CrownFace::dish_floor;
}

} // namespace

const CrownSpans::Span* CrownSpans::top() const {
  const Span* found = nullptr;
  for (const Span& span : *this)
    if (found == nullptr || span.hi_mm > found->hi_mm) found = &span;
  return found;
}

void CrownSpans::add(double lo_mm, double hi_mm, CrownFace top) {
  for (std::size_t i = 0; i < count_; ++i) {
    Span& span = spans_[i];
    if (lo_mm > span.hi_mm + rounding_mm || hi_mm < span.lo_mm - rounding_mm) continue;
    span.lo_mm = std::min(span.lo_mm, lo_mm);
    if (hi_mm > span.hi_mm) span = {span.lo_mm, hi_mm, top};
    return;
  }
  spans_[count_++] = {lo_mm, hi_mm, top};
}

void CrownSpans::keep(double lo_mm, double hi_mm, CrownFace top) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < count_; ++i) {
    Span span = spans_[i];
    span.lo_mm = std::max(span.lo_mm, lo_mm);
    if (hi_mm < span.hi_mm) span = {span.lo_mm, hi_mm, top};
    if (span.hi_mm >= span.lo_mm) spans_[kept++] = span;
  }
  count_ = kept;
}

void CrownSpans::cut(double lo_mm, double hi_mm, CrownFace left) {
  const std::size_t before = count_;
  std::size_t kept = 0;
  std::array<Span, 8> result{};
  for (std::size_t i = 0; i < before; ++i) {
    const Span span = spans_[i];
    if (hi_mm <= span.lo_mm || lo_mm >= span.hi_mm) {
      result[kept++] = span;
      continue;
    }
    if (lo_mm >= span.lo_mm) result[kept++] = {span.lo_mm, lo_mm, left};
    if (hi_mm <= span.hi_mm && kept < result.size()) result[kept++] = {hi_mm, span.hi_mm, span.top};
  }
  spans_ = result;
  count_ = kept;
}

CrownSolid::CrownSolid(const Engine& engine) : half_bore_mm_(engine.block.bore_mm / 2.0) {
  const Crown& crown = engine.block.crown;
  // A dish as wide as the bore leaves no flat around it.
  const bool dished = crown.shape == CrownShape::dished;
  if (dished && crown.radius_mm >= half_bore_mm_) flat_mm_ = top_mm_ = -crown.height_mm;
  const auto add_round = [&](CrownFace face, double radius_mm, double from_mm, double to_mm, double depth_mm) {
    walls_.push_back({face,
                      {0.0, 0.0, from_mm},
                      upright,
                      {1.0, 0.0, 0.0},
                      radius_mm,
                      depth_mm,
                      {-radius_mm, -radius_mm, from_mm - depth_mm},
                      {radius_mm, radius_mm, to_mm}});
  };
  add_round(CrownFace::bore, half_bore_mm_, flat_mm_, flat_mm_, far_mm);
  flats_.push_back({CrownFace::flat, upright, flat_mm_});
  if (dished && crown.radius_mm < half_bore_mm_) {
    dish_radius_mm_ = crown.radius_mm;
    dish_mm_ = crown.height_mm;
    add_round(CrownFace::dish_wall, dish_radius_mm_, -dish_mm_, 0.0, 0.0);
    flats_.push_back({CrownFace::dish_floor, upright, -dish_mm_});
  }
  if (crown.shape == CrownShape::domed && crown.height_mm > 0.0) {
    const double radius_mm =
        (crown.radius_mm * crown.radius_mm + crown.height_mm * crown.height_mm) / (2.0 * crown.height_mm);
    ball_ = CrownBall{{0.0, 0.0, crown.height_mm - radius_mm}, radius_mm};
    top_mm_ = crown.height_mm;
  }
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const std::optional<Valve>& valve = kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve;
    if (valve && valve->pocket.radius_mm > 0.0) add_pocket(*valve, engine.block.deck_mm, kind);
  }
}

void CrownSolid::add_pocket(const Valve& valve, double deck_mm, ValveKind kind) {
  const glm::dvec3 up(sin_deg(valve.inclination_deg), 0.0, cos_deg(valve.inclination_deg));
  const glm::dvec3 across(up.z, 0.0, -up.x);
  const glm::dvec3 closed(valve.offset_mm.y, valve.offset_mm.x, valve.closed_height_mm + deck_mm);
  const glm::dvec3 foot = closed - (closed.z / up.z + valve.pocket.depth_mm) * up;
  const bool inlet = kind == ValveKind::inlet;
  const CrownFace wall = inlet ? CrownFace::inlet_wall : CrownFace::exhaust_wall;
  // The box spans the floor's circle and where the wall leaves through the highest of the crown.
  const double radius_mm = valve.pocket.radius_mm;
  const glm::dvec3 reach(radius_mm * up.z, radius_mm, radius_mm * std::fabs(up.x));
  const double climb_mm = std::max(0.0, (top_mm_ - (foot.z - reach.z)) / up.z);
  const glm::dvec3 head = foot + climb_mm * up;
  glm::dvec3 lo = glm::min(foot, head) - reach;
  glm::dvec3 hi = glm::max(foot, head) + reach;
  hi.z = std::min(hi.z, std::max(top_mm_, lo.z));
  walls_.push_back({wall, foot, up, across, radius_mm, 0.0, lo, hi});
  flats_.push_back({floor_of(wall), up, glm::dot(foot, up)});
}

const CrownWall* CrownSolid::pocket(ValveKind kind) const {
  const CrownFace face = kind == ValveKind::inlet ? CrownFace::inlet_wall : CrownFace::exhaust_wall;
  const auto found = std::ranges::find(walls_, face, &CrownWall::face);
  return found == walls_.end() ? nullptr : &*found;
}

bool CrownSolid::holds(glm::dvec3 p, CrownFace on) const {
  const double radius2 = p.x * p.x + p.y * p.y;
  if (radius2 > (half_bore_mm_ + rounding_mm) * (half_bore_mm_ + rounding_mm)) return false;
  const auto in_round = [radius2](double radius_mm) { return radius2 < radius_mm * radius_mm; };
  bool base = p.z <= flat_mm_ + rounding_mm;
  if (base && dish_radius_mm_ > 0.0 && on != CrownFace::dish_wall)
    base = p.z <= -dish_mm_ + rounding_mm || !in_round(dish_radius_mm_ - rounding_mm);
  if (!base && ball_) base = p.z >= 0.0 && glm::distance(p, ball_->centre_mm) <= ball_->radius_mm + rounding_mm;
  if (!base) return false;
  for (const CrownWall& wall : walls_) {
    if (wall.face != CrownFace::inlet_wall && wall.face != CrownFace::exhaust_wall) continue;
    if (wall.face == on || floor_of(wall.face) == on) continue;
    const glm::dvec3 from_foot = p - wall.foot_mm;
    const double height = glm::dot(from_foot, wall.up);
    if (height > rounding_mm && glm::length(from_foot - height * wall.up) < wall.radius_mm - rounding_mm) return false;
  }
  return true;
}

CrownSpans CrownSolid::along(glm::dvec3 from_mm, glm::dvec3 unit_way, CrownFace on, CrownFace also_on) const {
  const auto is_on = [&](CrownFace face) { return face == on || face == also_on; };
  CrownSpans spans;
  const Stretch over_flat = is_on(CrownFace::flat) ? Stretch{} : above(from_mm, unit_way, upright, flat_mm_);
  if (over_flat.empty())
    spans.add(-far_mm, far_mm, CrownFace::flat);
  else if (over_flat.lo_mm > -far_mm)
    spans.add(-far_mm, over_flat.lo_mm, CrownFace::flat);
  else if (over_flat.hi_mm < far_mm)
    spans.add(over_flat.hi_mm, far_mm, CrownFace::flat);
  if (ball_ && !over_flat.empty())
    if (const Stretch in = both(in_ball(from_mm, unit_way, ball_->centre_mm, ball_->radius_mm), over_flat); !in.empty())
      spans.add(in.lo_mm, in.hi_mm, CrownFace::dome);
  if (!is_on(CrownFace::bore)) {
    const Stretch in = in_cylinder(from_mm, unit_way, {}, upright, half_bore_mm_);
    if (in.empty()) return {};
    spans.keep(in.lo_mm, in.hi_mm, CrownFace::bore);
  }
  const auto cut = [&](Stretch round, Stretch over, CrownFace wall) {
    const Stretch gone = both(round, over);
    if (!gone.empty()) spans.cut(gone.lo_mm, gone.hi_mm, over.lo_mm >= round.lo_mm ? floor_of(wall) : wall);
  };
  for (const CrownWall& wall : walls_) {
    if (wall.face == CrownFace::bore || is_on(wall.face) || is_on(floor_of(wall.face))) continue;
    cut(in_cylinder(from_mm, unit_way, wall.foot_mm, wall.up, wall.radius_mm),
        above(from_mm, unit_way, wall.up, glm::dot(wall.foot_mm, wall.up)), wall.face);
  }
  return spans;
}

} // namespace phasewright
