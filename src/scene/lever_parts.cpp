// Rockers and fingers.
#include "geometry/angle.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr int fine = 48; // points of half a round that bears on something: chords within microns of it

// Small rounds are drawn whole, of large ones a segment with a body behind it.
bool whole(const LeverRound& round) {
  return round.radius_mm <= 8.0;
}

// The body stands back from the face, so that only the face bears.
constexpr double back_mm = 1.2;

double body_radius_mm(const LeverRound& round) {
  return whole(round) ? round.radius_mm - back_mm : 5.0;
}

glm::dvec2 body_middle_mm(const LeverRound& round) {
  if (whole(round)) return round.middle_mm;
  return round.middle_mm +
         (round.radius_mm - body_radius_mm(round) - back_mm) * unit_vector((round.from_rad + round.to_rad) / 2.0);
}

// The part of a large round over which it bears, and a little to either side.
Outline segment(const LeverRound& round) {
  constexpr double thick_mm = 4.0;
  const double beyond_rad = 2.5 / round.radius_mm;
  const double from_rad = round.from_rad - beyond_rad;
  const double to_rad = round.to_rad + beyond_rad;
  Outline outline;
  for (int i = 0; i <= fine; ++i)
    outline.push_back(round.middle_mm + round.radius_mm * unit_vector(std::lerp(from_rad, to_rad, double(i) / fine)));
  for (int i = fine; i >= 0; --i)
    outline.push_back(round.middle_mm +
                      (round.radius_mm - thick_mm) * unit_vector(std::lerp(from_rad, to_rad, double(i) / fine)));
  return outline;
}

Outline face_outline(const LeverRound& round) {
  return whole(round) ? circle(round.middle_mm, round.radius_mm, 2 * fine) : segment(round);
}

// An arm from the pivot to the body of a round, and the round's bearing face.
void add_arm(const LeverRound& round, double pivot_radius_mm, double half_mm, Mesh& mesh) {
  append(mesh, extrude(rounded_hull({0, 0}, pivot_radius_mm, body_middle_mm(round), body_radius_mm(round), 12), {},
                       -half_mm, half_mm, 0.6));
  append(mesh, extrude(face_outline(round), {}, -half_mm - 0.1, half_mm + 0.1));
}

Mesh rocker(const LeverLayout& lever, double half_mm) {
  constexpr double boss_mm = 8.5;
  Mesh mesh = extrude(circle({0, 0}, boss_mm, 36), {}, -half_mm, half_mm, 0.8);
  add_arm(lever.end, 0.72 * boss_mm, 0.62 * half_mm, mesh);
  append(mesh, extrude(rounded_hull({0, 0}, 0.72 * boss_mm, lever.push.middle_mm, 5.0, 12), {}, -0.62 * half_mm,
                       0.62 * half_mm, 0.8));
  return mesh;
}

// Two side plates past the lobe, its pad between them, and across them the cup on the pivot and the round on the tip.
Mesh finger(const LeverLayout& lever, double lobe_half_mm) {
  constexpr double cup_mm = 6.0;
  constexpr double plate_mm = 2.6;
  const double inside_mm = lobe_half_mm + 0.7;
  const double outside_mm = inside_mm + plate_mm;
  Mesh mesh;
  append(mesh, extrude(circle({0, 0}, cup_mm, 36), {}, -outside_mm, outside_mm, 0.6));
  append(mesh, extrude(circle(lever.end.middle_mm, lever.end.radius_mm, 2 * fine), {}, -outside_mm, outside_mm, 0.4));
  const double pad_mm = lever.roller ? 0.55 * lever.push.radius_mm : body_radius_mm(lever.push);
  const glm::dvec2 pad = lever.roller ? lever.push.middle_mm : body_middle_mm(lever.push);
  for (const double side : {-1.0, 1.0}) {
    const double low_mm = side < 0.0 ? -outside_mm : inside_mm;
    append(mesh, extrude(rounded_hull({0, 0}, 0.8 * cup_mm, pad, pad_mm, 12), {}, low_mm, low_mm + plate_mm, 0.4));
    append(mesh, extrude(rounded_hull(lever.end.middle_mm, 0.8 * lever.end.radius_mm, pad, pad_mm, 12), {}, low_mm,
                         low_mm + plate_mm, 0.4));
  }
  if (lever.roller)
    append(mesh, solid_cylinder(0.4 * lever.push.radius_mm, -outside_mm - 0.5, outside_mm + 0.5, 20, 0.3),
           moved({lever.push.middle_mm, 0.0}));
  else
    append(mesh, extrude(face_outline(lever.push), {}, -inside_mm - 0.2, inside_mm + 0.2));
  return mesh;
}

// Along z from the ball's middle toward where the post is held.
Mesh ball_post() {
  constexpr double ball_mm = 4.6;
  constexpr double post_mm = 4.0;
  Outline profile;
  for (int i = 0; i <= 8; ++i) {
    const double rad = -pi / 2.0 + radians(130.0) * i / 8;
    profile.push_back({ball_mm * std::cos(rad), ball_mm * std::sin(rad)});
  }
  profile.front().x = 0.0;
  profile.insert(profile.end(),
                 {{0.7 * post_mm, 5.0}, {0.7 * post_mm, 8.0}, {post_mm, 9.0}, {post_mm, 26.0}, {0, 26.0}});
  return revolve(profile, 28);
}

} // namespace

void add_lever_meshes(ValveLayout& valve, std::vector<Mesh>& meshes) {
  const LeverLayout& lever = *valve.lever;
  if (valve.train == Train::pushrod) {
    valve.rocker = add_mesh(meshes, rocker(lever, 1.2 * valve.lobe_half_mm));
    valve.pivot = add_mesh(meshes, solid_cylinder(5.0, -2.2 * valve.lobe_half_mm, 2.2 * valve.lobe_half_mm, 24, 0.6));
    return;
  }
  valve.rocker = add_mesh(meshes, finger(lever, valve.lobe_half_mm));
  valve.pivot = add_mesh(meshes, ball_post());
  if (lever.roller)
    valve.roller =
        add_mesh(meshes, solid_cylinder(lever.push.radius_mm, -valve.lobe_half_mm, valve.lobe_half_mm, 128, 0.4));
}

} // namespace phasewright
