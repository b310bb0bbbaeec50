#include "mechanics/crown_corners.hpp"

#include "geometry/angle.hpp"
#include "mechanics/crown_shape.hpp"

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <glm/geometric.hpp>

#include <cmath>
#include <cstdint>
#include <functional>

namespace phasewright {

namespace {

constexpr int looks = 360;

// Turns at which `figure(rad)` changes its sign, also where it does so twice between two looks.
void add_crossings(std::vector<double>& turns_rad, const std::function<double(double)>& figure) {
  const auto at_rad = [](int look) { return turn_rad * look / looks; };
  const auto add_between = [&](double from_rad, double to_rad) {
    const double from = figure(from_rad);
    const double to = figure(to_rad);
    if ((from < 0.0) == (to < 0.0) || !std::isfinite(from) || !std::isfinite(to)) return;
    std::uintmax_t steps = 60;
    const auto [low, high] = boost::math::tools::toms748_solve(figure, from_rad, to_rad, from, to,
                                                               boost::math::tools::eps_tolerance<double>(46), steps);
    turns_rad.push_back((low + high) / 2.0);
  };
  for (int look = 0; look < looks; ++look) {
    const double before = figure(at_rad(look - 1));
    const double here = figure(at_rad(look));
    const double after = figure(at_rad(look + 1));
    add_between(at_rad(look), at_rad(look + 1));
    const double side = here < 0.0 ? -1.0 : 1.0;
    // Nearest to a change of sign here, and on the same side before and after.
    if (!(side * here <= side * before && side * here <= side * after && side * before > 0.0 && side * after > 0.0))
      continue;
    const double turned_rad = boost::math::tools::brent_find_minima([&](double rad) { return side * figure(rad); },
                                                                    at_rad(look - 1), at_rad(look + 1), 40)
                                  .first;
    if (side * figure(turned_rad) >= 0.0) continue;
    add_between(at_rad(look - 1), turned_rad);
    add_between(turned_rad, at_rad(look + 1));
  }
}

// How far a point is outside a wall's cylinder.
double outside_mm(const CrownWall& wall, glm::dvec3 point_mm) {
  const glm::dvec3 from_foot = point_mm - wall.foot_mm;
  return glm::length(from_foot - glm::dot(from_foot, wall.up) * wall.up) - wall.radius_mm;
}

double over_floor_mm(const CrownWall& wall, glm::dvec3 point_mm) {
  return glm::dot(point_mm - wall.foot_mm, wall.up);
}

} // namespace

std::vector<double> corner_turns_rad(const CrownSolid& crown, const CrownWall& wall) {
  std::vector<double> turns_rad;
  const auto foot_mm = [&wall](double rad) { return wall.at_mm(unit_vector(rad)); };
  // Where the line from that foot reaches a height.
  const auto level_point = [&](double rad, double z_mm) {
    const glm::dvec3 foot = foot_mm(rad);
    return foot + (z_mm - foot.z) / wall.up.z * wall.up;
  };
  for (const CrownWall& other : crown.walls()) {
    if (other.face == wall.face) continue;
    if (wall.face != CrownFace::bore)
      add_crossings(turns_rad, [&](double rad) { return outside_mm(other, foot_mm(rad)); });
    add_crossings(turns_rad, [&](double rad) { return outside_mm(other, level_point(rad, crown.flat_mm())); });
    if (crown.top_mm() > crown.flat_mm())
      add_crossings(turns_rad, [&](double rad) { return outside_mm(other, level_point(rad, crown.top_mm())); });
    if (other.face == CrownFace::bore) continue;
    add_crossings(turns_rad, [&](double rad) {
      const glm::dvec3 foot = foot_mm(rad);
      return outside_mm(other, foot - over_floor_mm(other, foot) / glm::dot(wall.up, other.up) * wall.up);
    });
    if (wall.face != CrownFace::bore)
      add_crossings(turns_rad, [&](double rad) { return over_floor_mm(other, foot_mm(rad)); });
  }
  return turns_rad;
}

std::vector<double> corner_turns_rad(const CrownSolid& crown, const CrownRing& ring) {
  std::vector<double> turns_rad;
  const auto point_mm = [&ring](double rad) { return ring.at_mm(unit_vector(rad)); };
  for (const CrownWall& wall : crown.walls()) {
    add_crossings(turns_rad, [&](double rad) { return outside_mm(wall, point_mm(rad)); });
    if (wall.face != CrownFace::bore)
      add_crossings(turns_rad, [&](double rad) { return over_floor_mm(wall, point_mm(rad)); });
  }
  add_crossings(turns_rad, [&](double rad) { return point_mm(rad).z; }); // where the dome ends
  return turns_rad;
}

} // namespace phasewright
