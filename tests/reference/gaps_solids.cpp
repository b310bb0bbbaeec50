#include "reference/gaps_solids.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

namespace phasewright::testing {

namespace {

constexpr double turn = 2.0 * std::numbers::pi;
constexpr int sides = 360; // of every circle: a chord of a 40 mm circle is off by 0.0008 mm

double dot(glm::dvec3 a, glm::dvec3 b) {
  return a.x * b.x + a.y * b.y + a.z * b.z;
}

double length(glm::dvec3 v) {
  return std::sqrt(dot(v, v));
}

glm::dvec3 cross(glm::dvec3 a, glm::dvec3 b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

double along_mm(const PistonSolid::Pocket& pocket, glm::dvec3 point) {
  return dot(point - pocket.floor, pocket.way);
}

double aside_mm(const PistonSolid::Pocket& pocket, glm::dvec3 point) {
  return length(cross(point - pocket.floor, pocket.way));
}

// Positive within the pocket.
double within_pocket_mm(const PistonSolid::Pocket& pocket, glm::dvec3 point) {
  return std::fmin(pocket.radius_mm - aside_mm(pocket, point), along_mm(pocket, point));
}

int pocket_faces_near(const PistonSolid::Pocket& pocket, glm::dvec3 point, double near_mm) {
  return (std::fabs(pocket.radius_mm - aside_mm(pocket, point)) < near_mm ? 1 : 0) +
         (std::fabs(along_mm(pocket, point)) < near_mm ? 1 : 0);
}

struct At {
  double s = 0;
  double t = 0;
  glm::dvec3 point{};
};

// One face of the piston: a place for every s and t in 0 to 1, kept where `cut` is not positive. `cut` changes by no
// more than the way gone; `faces_near` counts the faces it is made of that pass near a point.
class Face {
public:
  std::function<glm::dvec3(double, double)> place;
  std::function<double(glm::dvec3)> cut;
  std::function<int(glm::dvec3, double)> faces_near;

  void add_to(Soup& soup, int across, int along) const {
    for (int i = 0; i < across; ++i)
      for (int k = 0; k < along; ++k) {
        const double s0 = double(i) / across, s1 = double(i + 1) / across;
        const double t0 = double(k) / along, t1 = double(k + 1) / along;
        add(soup, at(s0, t0), at(s1, t0), at(s1, t1));
        add(soup, at(s0, t0), at(s1, t1), at(s0, t1));
      }
  }

private:
  [[nodiscard]] At at(double s, double t) const { return {s, t, place(s, t)}; }

  void add(Soup& soup, const At& a, const At& b, const At& c) const {
    const glm::dvec3 middle = (a.point + b.point + c.point) / 3.0;
    const double reach_mm =
        1.01 * std::max({length(a.point - middle), length(b.point - middle), length(c.point - middle)});
    const double value = cut(middle);
    if (value > reach_mm) return;
    if (value < -reach_mm) {
      soup.push_back({a.point, b.point, c.point});
      return;
    }
    // Where two faces cut at once there is a corner, and a straight cut would round it.
    const double fine_mm = faces_near(middle, reach_mm) > 1 ? 0.006 : 0.4;
    const double ab = length(a.point - b.point), bc = length(b.point - c.point), ca = length(c.point - a.point);
    if (std::max({ab, bc, ca}) < fine_mm) return clip(soup, {a, b, c});
    if (ab >= bc && ab >= ca) return halve(soup, a, b, c);
    if (bc >= ca) return halve(soup, b, c, a);
    halve(soup, c, a, b);
  }

  void halve(Soup& soup, const At& a, const At& b, const At& c) const {
    const At middle = at(0.5 * (a.s + b.s), 0.5 * (a.t + b.t));
    add(soup, a, middle, c);
    add(soup, middle, b, c);
  }

  void clip(Soup& soup, const std::array<At, 3>& corners) const {
    std::vector<glm::dvec3> kept;
    for (std::size_t i = 0; i < 3; ++i) {
      const At &from = corners[i], &to = corners[(i + 1) % 3];
      const bool keep_from = cut(from.point) <= 0.0, keep_to = cut(to.point) <= 0.0;
      if (keep_from) kept.push_back(from.point);
      if (keep_from != keep_to) kept.push_back(edge(keep_from ? from : to, keep_from ? to : from));
    }
    for (std::size_t i = 2; i < kept.size(); ++i) soup.push_back({kept[0], kept[i - 1], kept[i]});
  }

  // The last kept point on the way from one that is to one that is not.
  [[nodiscard]] glm::dvec3 edge(At in, At out) const {
    for (int step = 0; step < 30; ++step) {
      const At middle = at(0.5 * (in.s + out.s), 0.5 * (in.t + out.t));
      (cut(middle.point) <= 0.0 ? in : out) = middle;
    }
    return in.point;
  }
};

} // namespace

glm::dvec3 stem_way(const Valve& valve) {
  const double lean = valve.inclination_deg * std::numbers::pi / 180.0;
  return {0.0, std::sin(lean), std::cos(lean)};
}

glm::dvec3 face_middle_mm(const Valve& valve, double lift_mm) {
  return glm::dvec3{valve.offset_mm.x, valve.offset_mm.y, valve.closed_height_mm} - lift_mm * stem_way(valve);
}

Soup head_surface(const Valve& valve) {
  const glm::dvec3 up = stem_way(valve), x{1.0, 0.0, 0.0}, y = cross(up, x);
  const double radius_mm = valve.head_mm / 2.0;
  Soup soup;
  for (int i = 0; i < sides; ++i) {
    const auto rim = [&](int k) {
      const double rad = turn * (k % sides) / sides;
      return radius_mm * (std::cos(rad) * x + std::sin(rad) * y);
    };
    const glm::dvec3 a = rim(i), b = rim(i + 1), edge = valve.margin_mm * up;
    const glm::dvec3 tip = (valve.margin_mm + radius_mm) * up;
    soup.push_back({glm::dvec3{}, b, a});
    soup.push_back({a, b, b + edge});
    soup.push_back({a, b + edge, a + edge});
    soup.push_back({a + edge, b + edge, tip});
  }
  return soup;
}

PistonSolid::PistonSolid(const Engine& engine)
    : bore_radius_mm_(engine.block.bore_mm / 2.0), crown_(engine.block.crown) {
  if (crown_.shape == CrownShape::domed) // height and half chord of a ball's cap
    ball_radius_mm_ = (crown_.radius_mm * crown_.radius_mm / crown_.height_mm + crown_.height_mm) / 2.0;
  for (const std::optional<Valve>& valve : {engine.inlet_valve, engine.exhaust_valve}) {
    if (!valve || !(valve->pocket.radius_mm > 0.0)) continue;
    // At TDC the crown's flat stands `deck_mm` below the block face.
    const glm::dvec3 way = stem_way(*valve);
    const glm::dvec3 closed = face_middle_mm(*valve, 0.0) + glm::dvec3{0.0, 0.0, engine.block.deck_mm};
    const glm::dvec3 on_flat = closed - closed.z / way.z * way;
    pockets_.push_back({on_flat - valve->pocket.depth_mm * way, way, valve->pocket.radius_mm});
  }
}

double PistonSolid::outside_body_mm(glm::dvec3 point) const {
  const double from_axis_mm = std::hypot(point.x, point.y);
  double over_mm = point.z;
  if (crown_.shape == CrownShape::dished)
    over_mm = std::fmax(over_mm, std::fmin(crown_.radius_mm - from_axis_mm, point.z + crown_.height_mm));
  if (crown_.shape == CrownShape::domed)
    over_mm =
        std::fmin(over_mm, length(point - glm::dvec3{0.0, 0.0, crown_.height_mm - ball_radius_mm_}) - ball_radius_mm_);
  return std::fmax(over_mm, from_axis_mm - bore_radius_mm_);
}

int PistonSolid::body_faces_near(glm::dvec3 point, double near_mm) const {
  const double from_axis_mm = std::hypot(point.x, point.y);
  int count = 0;
  const auto note = [&](double off_mm) { count += std::fabs(off_mm) < near_mm ? 1 : 0; };
  note(point.z);
  note(from_axis_mm - bore_radius_mm_);
  if (crown_.shape == CrownShape::dished) {
    note(crown_.radius_mm - from_axis_mm);
    note(point.z + crown_.height_mm);
  }
  if (crown_.shape == CrownShape::domed)
    note(length(point - glm::dvec3{0.0, 0.0, crown_.height_mm - ball_radius_mm_}) - ball_radius_mm_);
  return count;
}

double PistonSolid::outside_mm(glm::dvec3 point) const {
  double outside = outside_body_mm(point);
  for (const Pocket& pocket : pockets_) outside = std::fmax(outside, within_pocket_mm(pocket, point));
  return outside;
}

double PistonSolid::share_in_pocket(const Valve& valve, std::size_t pocket, glm::dvec3 face) const {
  const glm::dvec3 up = stem_way(valve), x{1.0, 0.0, 0.0}, y = cross(up, x);
  constexpr int looks = 72;
  int within = 0;
  for (int i = 0; i < looks; ++i) {
    const double rad = turn * i / looks;
    const glm::dvec3 rim = face + valve.head_mm / 2.0 * (std::cos(rad) * x + std::sin(rad) * y);
    if (within_pocket_mm(pockets_.at(pocket), rim) > 0.0 && outside_body_mm(rim) < 0.0) ++within;
  }
  return static_cast<double>(within) / looks;
}

// Flats begin as squares and are cut to their round edge: slivers about a middle would be halved without end.
Soup PistonSolid::surface() const {
  Soup soup;
  const auto ring = [](double radius_mm, double s, double z_mm) {
    return glm::dvec3{radius_mm * std::cos(turn * s), radius_mm * std::sin(turn * s), z_mm};
  };
  Face face;
  double inner_mm = 0.0, outer_mm = bore_radius_mm_;
  face.cut = [&](glm::dvec3 point) {
    const double from_axis_mm = std::hypot(point.x, point.y);
    double cut = std::fmax(from_axis_mm - outer_mm, inner_mm > 0.0 ? inner_mm - from_axis_mm : -1e9);
    for (const Pocket& pocket : pockets_) cut = std::fmax(cut, within_pocket_mm(pocket, point));
    return cut;
  };
  face.faces_near = [&](glm::dvec3 point, double near_mm) {
    const double from_axis_mm = std::hypot(point.x, point.y);
    int count = std::fabs(from_axis_mm - outer_mm) < near_mm || std::fabs(from_axis_mm - inner_mm) < near_mm ? 1 : 0;
    for (const Pocket& pocket : pockets_) count += pocket_faces_near(pocket, point, near_mm);
    return count;
  };
  double z_mm = 0.0;
  const auto square = [&](double s, double t) {
    return glm::dvec3{outer_mm * (2.0 * s - 1.0), outer_mm * (2.0 * t - 1.0), z_mm};
  };
  if (crown_.shape != CrownShape::flat) inner_mm = crown_.radius_mm;
  if (inner_mm < outer_mm) {
    face.place = square;
    face.add_to(soup, 12, 12);
  }
  outer_mm = 1e3; // the rest end where their parameters do
  inner_mm = 0.0;
  face.place = [&](double s, double t) { return ring(bore_radius_mm_, s, -60.0 * t); };
  face.add_to(soup, sides, 4);
  if (crown_.shape == CrownShape::dished) {
    face.place = [&](double s, double t) { return ring(crown_.radius_mm, s, -t * crown_.height_mm); };
    face.add_to(soup, sides, 1);
    outer_mm = crown_.radius_mm;
    z_mm = -crown_.height_mm;
    face.place = square;
    face.add_to(soup, 12, 12);
  }
  if (crown_.shape == CrownShape::domed) {
    const double edge_rad = std::atan2(crown_.radius_mm, ball_radius_mm_ - crown_.height_mm);
    face.place = [&, edge_rad](double s, double t) {
      return ring(ball_radius_mm_ * std::sin(t * edge_rad), s,
                  crown_.height_mm - ball_radius_mm_ * (1.0 - std::cos(t * edge_rad)));
    };
    face.add_to(soup, 480, 80);
  }
  for (std::size_t own = 0; own < pockets_.size(); ++own) add_pocket(soup, own);
  return soup;
}

void PistonSolid::add_pocket(Soup& soup, std::size_t own) const {
  const Pocket& pocket = pockets_[own];
  bool floor = true;
  Face face;
  face.cut = [&](glm::dvec3 point) {
    double cut = outside_body_mm(point);
    if (floor) cut = std::fmax(cut, aside_mm(pocket, point) - pocket.radius_mm);
    for (std::size_t i = 0; i < pockets_.size(); ++i)
      if (i != own) cut = std::fmax(cut, within_pocket_mm(pockets_[i], point));
    return cut;
  };
  face.faces_near = [&](glm::dvec3 point, double near_mm) {
    int count = body_faces_near(point, near_mm);
    if (floor && std::fabs(aside_mm(pocket, point) - pocket.radius_mm) < near_mm) ++count;
    for (std::size_t i = 0; i < pockets_.size(); ++i)
      if (i != own) count += pocket_faces_near(pockets_[i], point, near_mm);
    return count;
  };
  const glm::dvec3 x{1.0, 0.0, 0.0}, y = cross(pocket.way, x);
  face.place = [&](double s, double t) {
    return pocket.floor + pocket.radius_mm * ((2.0 * s - 1.0) * x + (2.0 * t - 1.0) * y);
  };
  face.add_to(soup, 8, 8);
  floor = false;
  face.place = [&](double s, double t) {
    return pocket.floor + pocket.radius_mm * (std::cos(turn * s) * x + std::sin(turn * s) * y) + 90.0 * t * pocket.way;
  };
  face.add_to(soup, sides, 4);
}

} // namespace phasewright::testing
