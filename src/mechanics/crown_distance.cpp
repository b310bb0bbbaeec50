// Least distance between a head and a crown. The head is convex, so the crown is nearest to it inside one of its faces,
// where a formula tells the point, or on an edge; every outward edge of the crown is the end of straight lines in one
// of its round walls, or a ridge, or a ring.
#include "mechanics/crown_shape.hpp"
#include "mechanics/line_cuts.hpp"

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr glm::dvec3 along_crank{0.0, 1.0, 0.0};

struct Box {
  glm::dvec3 lo_mm{};
  glm::dvec3 hi_mm{};
};

Box box_of(const ValveSolid& head) {
  return {{head.farthest({-1.0, 0.0, 0.0}).x, head.face_mm().y - head.radius_mm(), head.farthest({0.0, 0.0, -1.0}).z},
          {head.farthest({1.0, 0.0, 0.0}).x, head.face_mm().y + head.radius_mm(), head.farthest({0.0, 0.0, 1.0}).z}};
}

double box_distance_mm(const Box& box, const CrownWall& wall) {
  const glm::dvec3 apart = glm::max(glm::max(wall.box_lo_mm - box.hi_mm, box.lo_mm - wall.box_hi_mm), glm::dvec3(0.0));
  return glm::length(apart);
}

double spans_distance_mm(const ValveSolid& head, const CrownSpans& spans, glm::dvec3 from_mm, glm::dvec3 way) {
  double least_mm = nothing_mm;
  for (const CrownSpans::Span& span : spans)
    least_mm = std::min(least_mm, head.distance_mm(from_mm, way, span.lo_mm, span.hi_mm));
  return least_mm;
}

// To the faces of the crown that are flat or part of a ball, where their nearest point is not cut away.
double faces_distance_mm(const CrownSolid& crown, const ValveSolid& head) {
  double least_mm = nothing_mm;
  for (const CrownFlat& flat : crown.flats()) {
    const glm::dvec3 lowest = head.farthest(-flat.up);
    const double over_mm = glm::dot(lowest, flat.up) - flat.level_mm;
    if (over_mm <= 0.0 && crown.holds(lowest)) return 0.0;
    const glm::dvec3 point = lowest - over_mm * flat.up;
    if (crown.holds(point, flat.face)) least_mm = std::min(least_mm, over_mm >= 0.0 ? over_mm : head.near(point).mm);
  }
  if (crown.ball()) {
    const Nearness middle = head.near(crown.ball()->centre_mm);
    const double over_mm = middle.mm - crown.ball()->radius_mm;
    const glm::dvec3 point = crown.ball()->centre_mm - crown.ball()->radius_mm * middle.away;
    if (point.z > 0.0 && crown.holds(point)) least_mm = std::min(least_mm, std::max(0.0, over_mm));
  }
  return least_mm;
}

} // namespace

double CrownGap::Shape::distance_mm(const ValveSolid& head) const {
  double least_mm = faces_distance_mm(crown, head);
  const Box box = box_of(head);
  // Nothing of the crown is above its top.
  if (least_mm <= std::max(0.0, box.lo_mm.z - crown.top_mm())) return least_mm;
  for (const CrownRidge& ridge : ridges)
    least_mm =
        std::min(least_mm, spans_distance_mm(head, crown.along(ridge.on_mm, along_crank, ridge.face, ridge.other),
                                             ridge.on_mm, along_crank));
  for (std::size_t i = 0; i < crown.walls().size(); ++i) {
    const CrownWall& wall = crown.walls()[i];
    if (box_distance_mm(box, wall) >= least_mm) continue;
    least_mm = least_around(wall_looks[i], least_mm, may_fall_mm(wall.radius_mm), [&](glm::dvec2 turn) {
      const glm::dvec3 foot = wall.at_mm(turn);
      CrownSpans spans = crown.along(foot, wall.up, wall.face);
      spans.keep(-wall.depth_mm, Stretch::far_mm);
      return spans_distance_mm(head, spans, foot, wall.up);
    });
  }
  for (std::size_t i = 0; i < rings.size(); ++i) {
    const CrownRing& ring = rings[i];
    least_mm = least_around(ring_looks[i], least_mm, may_fall_mm(ring.radius_mm), [&](glm::dvec2 turn) {
      const glm::dvec3 point = ring.at_mm(turn);
      return crown.holds(point, ring.floor) ? head.near(point).mm : nothing_mm;
    });
  }
  return least_mm;
}

} // namespace phasewright
