// A second way to how near a head stands to a crown: points tried at random, their membership asked of the solids'
// plain definition. Shares nothing with the code it judges.
#pragma once

#include "parts/engine.hpp"

#include <glm/geometric.hpp>
#include <glm/vec3.hpp>

#include <algorithm>
#include <cmath>
#include <random>

namespace phasewright::testing {

struct SampledValve {
  glm::dvec3 up;
  glm::dvec3 face;
  double radius;
  double margin;

  SampledValve(const Valve& valve, double deck_mm, double lift_mm, double drop_mm)
      : up(std::sin(valve.inclination_deg * 0.017453292519943295), 0.0,
           std::cos(valve.inclination_deg * 0.017453292519943295)),
        face(glm::dvec3(valve.offset_mm.y, valve.offset_mm.x, valve.closed_height_mm + deck_mm + drop_mm) -
             lift_mm * up),
        radius(valve.head_mm / 2.0), margin(valve.margin_mm) {}

  // Distance to the outline, a polygon in the plane through the axis: face, edge, cone.
  [[nodiscard]] double distance(glm::dvec3 p) const {
    const double h = glm::dot(p - face, up);
    const double r = glm::length(p - face - h * up);
    if (h >= 0.0 && r <= radius && r <= radius + margin - h) return 0.0;
    const double corners[5][2] = {{0.0, 0.0}, {radius, 0.0}, {radius, margin}, {0.0, margin + radius}, {0.0, 0.0}};
    double least = 1e300;
    for (int i = 0; i < 3; ++i) {
      const double ex = corners[i + 1][0] - corners[i][0], ey = corners[i + 1][1] - corners[i][1];
      const double t =
          std::clamp(((r - corners[i][0]) * ex + (h - corners[i][1]) * ey) / (ex * ex + ey * ey), 0.0, 1.0);
      least = std::min(least, std::hypot(r - corners[i][0] - t * ex, h - corners[i][1] - t * ey));
    }
    return least;
  }
};

// Whether a point belongs to the crown; the flat at z = 0.
inline bool in_crown(const Engine& engine, glm::dvec3 p) {
  const Block& block = engine.block;
  const double r = std::hypot(p.x, p.y);
  if (r > block.bore_mm / 2.0) return false;
  bool in = p.z <= 0.0;
  if (block.crown.shape == CrownShape::dished && r < block.crown.radius_mm) in = p.z <= -block.crown.height_mm;
  if (block.crown.shape == CrownShape::domed && p.z > 0.0) {
    const double ball =
        (std::pow(block.crown.radius_mm, 2) + std::pow(block.crown.height_mm, 2)) / (2.0 * block.crown.height_mm);
    in = std::hypot(r, p.z - block.crown.height_mm + ball) <= ball;
  }
  for (const auto& valve : {engine.inlet_valve, engine.exhaust_valve}) {
    if (!in || !valve || !(valve->pocket.radius_mm > 0.0)) continue;
    const SampledValve shut(*valve, block.deck_mm, 0.0, 0.0);
    // From where the axis passes the flat, the pocket's depth down the axis.
    const glm::dvec3 floor = shut.face - (shut.face.z / shut.up.z + valve->pocket.depth_mm) * shut.up;
    const double h = glm::dot(p - floor, shut.up);
    if (h > 0.0 && glm::length(p - floor - h * shut.up) < valve->pocket.radius_mm) in = false;
  }
  return in;
}

// The least distance found; never less than the true one but for rounding.
inline double sampled_distance(const Engine& engine, const SampledValve& head, std::mt19937& random, int tries) {
  std::uniform_real_distribution<double> one(-1.0, 1.0);
  const double half_bore = engine.block.bore_mm / 2.0;
  double best = 1e300;
  for (int start = 0; start < 16; ++start) {
    glm::dvec3 at{};
    double here = 1e300;
    // Few tries for a start, so that starts fall into different valleys.
    for (int i = 0; i < 1 + start * tries / 16; ++i) {
      const glm::dvec3 p(half_bore * one(random), half_bore * one(random), 10.0 * one(random) - 2.0);
      if (head.distance(p) < here && in_crown(engine, p)) here = head.distance(p), at = p;
    }
    double step = 4.0;
    for (int i = 0, missed = 0; i < 60 * tries && step > 1e-7; ++i) {
      const glm::dvec3 p = at + step * glm::dvec3(one(random), one(random), one(random));
      if (head.distance(p) < here && in_crown(engine, p)) {
        here = head.distance(p), at = p, missed = 0;
        step *= 1.5;
      } else if (++missed > 400) {
        step *= 0.6, missed = 0;
      }
      if (here == 0.0) return 0.0;
    }
    best = std::min(best, here);
  }
  return best;
}

// How far the head can be pushed before the first of its face's points is in the crown.
inline double sampled_axial(const Engine& engine, const SampledValve& head, std::mt19937& random, int tries) {
  std::uniform_real_distribution<double> one(-1.0, 1.0);
  const glm::dvec3 across(head.up.z, 0.0, -head.up.x);
  // From far above down in steps to the first point of the crown, then halved.
  const auto reach = [&](double u, double v) {
    if (u * u + v * v > head.radius * head.radius) return 1e300;
    const glm::dvec3 from = head.face + u * across + glm::dvec3(0.0, v, 0.0);
    double out = -60.0;
    constexpr double step = 0.05;
    double in = out;
    while (!in_crown(engine, from - in * head.up)) {
      out = in;
      in += step;
      if (in > 150.0) return 1e300;
    }
    for (int i = 0; i < 40; ++i) {
      const double middle = (out + in) / 2.0;
      (in_crown(engine, from - middle * head.up) ? in : out) = middle;
    }
    return in;
  };
  double best = 1e300;
  for (int start = 0; start < 4; ++start) {
    double u = 0.0, v = 0.0, here = 1e300;
    for (int i = 0; i < tries; ++i) {
      // The rim more often than its share: most of what leads is there.
      double a = head.radius * one(random), b = head.radius * one(random);
      if (i % 2 == 0) {
        const double r = std::hypot(a, b) / head.radius * (1.0 + 1e-12);
        if (r > 0.0) a /= r, b /= r;
      }
      if (const double mm = reach(a, b); mm < here) here = mm, u = a, v = b;
    }
    double step = 1.0;
    for (int i = 0, missed = 0; i < 60 * tries && step > 1e-7; ++i) {
      double a = u + step * one(random), b = v + step * one(random);
      if (const double r = std::hypot(a, b) / head.radius * (1.0 + 1e-12); r > 1.0) a /= r, b /= r;
      if (const double mm = reach(a, b); mm < here) {
        here = mm, u = a, v = b, missed = 0;
        step *= 1.5;
      } else if (++missed > 25) {
        step *= 0.6, missed = 0;
      }
    }
    best = std::min(best, here);
  }
  return best;
}

} // namespace phasewright::testing
