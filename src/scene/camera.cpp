#include "scene/camera.hpp"

#include "geometry/angle.hpp"

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec4.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace phasewright {

namespace {

constexpr double degrees_per_px = 0.35; // orbit
constexpr double steepest_deg = 89.0;
constexpr double zoom_per_step = 1.15;
constexpr double least_height_mm = 1.0;
constexpr double greatest_height_mm = 20000.0;

// The camera's own directions in the world.
struct Axes {
  glm::dvec3 right;
  glm::dvec3 up;
  glm::dvec3 back; // from what it looks at toward the eye
};

Axes axes_of(const Camera& camera) {
  const double cy = cos_deg(camera.yaw_deg);
  const double sy = sin_deg(camera.yaw_deg);
  const double cp = cos_deg(camera.pitch_deg);
  const double sp = sin_deg(camera.pitch_deg);
  return {{cy, 0.0, -sy}, {-sy * sp, cp, -cy * sp}, {sy * cp, sp, cy * cp}};
}

double half_tangent(const Camera& camera) {
  return std::tan(radians(camera.field_deg) / 2.0);
}

double distance_mm(const Camera& camera) {
  return camera.height_mm / (2.0 * half_tangent(camera));
}

struct ViewWord {
  NamedView view;
  const char* word;
};
constexpr std::array view_words{ViewWord{NamedView::end, "end"}, ViewWord{NamedView::side, "side"},
                                ViewWord{NamedView::key, "key"}, ViewWord{NamedView::valve, "valve"},
                                ViewWord{NamedView::whole, "whole"}};

} // namespace

std::optional<NamedView> parse_view(std::string_view word) {
  for (const ViewWord& known : view_words)
    if (word == known.word) return known.view;
  return std::nullopt;
}

const char* to_word(NamedView view) {
  for (const ViewWord& known : view_words)
    if (view == known.view) return known.word;
  return "";
}

glm::dvec3 Camera::eye_mm() const {
  return target_mm + distance_mm(*this) * axes_of(*this).back;
}

glm::dmat4 Camera::view() const {
  const Axes axes = axes_of(*this);
  return {{axes.right.x, axes.up.x, axes.back.x, 0.0},
          {axes.right.y, axes.up.y, axes.back.y, 0.0},
          {axes.right.z, axes.up.z, axes.back.z, 0.0},
          {0.0, 0.0, 0.0, 1.0}};
}

glm::dmat4 Camera::projection(double aspect) const {
  const double away_mm = distance_mm(*this);
  // Room for an engine in front of and behind the target.
  constexpr double engine_mm = 3000.0;
  if (parallel) {
    const double half_mm = height_mm / 2.0;
    const double near_mm = away_mm - engine_mm;
    const double far_mm = away_mm + engine_mm;
    return {{1.0 / (aspect * half_mm), 0, 0, 0},
            {0, 1.0 / half_mm, 0, 0},
            {0, 0, -2.0 / (far_mm - near_mm), 0},
            {0, 0, -(far_mm + near_mm) / (far_mm - near_mm), 1}};
  }
  const double near_mm = std::max(0.08 * away_mm, away_mm - engine_mm);
  const double far_mm = away_mm + engine_mm;
  const double t = half_tangent(*this);
  return {{1.0 / (aspect * t), 0, 0, 0},
          {0, 1.0 / t, 0, 0},
          {0, 0, -(far_mm + near_mm) / (far_mm - near_mm), -1},
          {0, 0, -2.0 * far_mm * near_mm / (far_mm - near_mm), 0}};
}

std::optional<glm::dvec2> Camera::project(glm::dvec3 world_mm, glm::dvec2 size_px) const {
  const Axes axes = axes_of(*this);
  const glm::dvec3 from_target = world_mm - target_mm;
  const double away_mm = distance_mm(*this) - glm::dot(from_target, axes.back);
  double half_mm = height_mm / 2.0;
  if (!parallel) {
    if (!(away_mm > 1e-6)) return std::nullopt;
    half_mm = away_mm * half_tangent(*this);
  }
  const double px_per_mm = size_px.y / (2.0 * half_mm);
  return glm::dvec2{size_px.x / 2.0 + px_per_mm * glm::dot(from_target, axes.right),
                    size_px.y / 2.0 - px_per_mm * glm::dot(from_target, axes.up)};
}

glm::dvec3 Camera::unproject(glm::dvec2 pixel, glm::dvec2 size_px, glm::dvec3 through_mm) const {
  const Axes axes = axes_of(*this);
  const double toward_mm = glm::dot(through_mm - target_mm, axes.back);
  const double half_mm = parallel ? height_mm / 2.0 : (distance_mm(*this) - toward_mm) * half_tangent(*this);
  const double mm_per_px = 2.0 * half_mm / size_px.y;
  return target_mm + toward_mm * axes.back + (pixel.x - size_px.x / 2.0) * mm_per_px * axes.right -
         (pixel.y - size_px.y / 2.0) * mm_per_px * axes.up;
}

void Camera::orbit(double dx_px, double dy_px) {
  yaw_deg = wrap_180(yaw_deg - degrees_per_px * dx_px);
  pitch_deg = std::clamp(pitch_deg + degrees_per_px * dy_px, -steepest_deg, steepest_deg);
}

void Camera::pan(glm::dvec2 by_px, glm::dvec2 size_px) {
  const Axes axes = axes_of(*this);
  const double mm_per_px = height_mm / size_px.y;
  target_mm += mm_per_px * (by_px.y * axes.up - by_px.x * axes.right);
}

void Camera::zoom(double steps, glm::dvec2 at_px, glm::dvec2 size_px) {
  const glm::dvec3 held_mm = unproject(at_px, size_px, target_mm);
  const double wanted_mm = std::clamp(height_mm * std::pow(zoom_per_step, -steps), least_height_mm, greatest_height_mm);
  target_mm = held_mm + (target_mm - held_mm) * (wanted_mm / height_mm);
  height_mm = wanted_mm;
}

Camera frame_points(std::span<const glm::dvec3> points_mm, Camera as, glm::dvec2 size_px, double margin_px) {
  if (points_mm.empty()) return as;
  const Axes axes = axes_of(as);
  glm::dvec3 low_mm = points_mm[0];
  glm::dvec3 high_mm = points_mm[0];
  for (const glm::dvec3 point : points_mm) {
    low_mm = glm::min(low_mm, point);
    high_mm = glm::max(high_mm, point);
  }
  const glm::dvec3 middle_mm = (low_mm + high_mm) / 2.0;
  const glm::dvec2 free_px = glm::max(size_px - glm::dvec2(2.0 * margin_px), size_px * 0.25);
  // Tangents of the half angles that the free part of the picture spans.
  const double t_up = half_tangent(as) * free_px.y / size_px.y;
  const double t_right = half_tangent(as) * free_px.x / size_px.y;
  // In perspective a point nearer to the eye by w asks for w more distance. The extremes of either side together say
  // how far away the eye has to be, and where between the sides it looks.
  double left = 1e300, right = -1e300, below = 1e300, above = -1e300;
  for (const glm::dvec3 point : points_mm) {
    const glm::dvec3 from_middle = point - middle_mm;
    const double nearer = as.parallel ? 0.0 : glm::dot(from_middle, axes.back);
    const double x = glm::dot(from_middle, axes.right);
    const double y = glm::dot(from_middle, axes.up);
    left = std::min(left, x - t_right * nearer);
    right = std::max(right, x + t_right * nearer);
    below = std::min(below, y - t_up * nearer);
    above = std::max(above, y + t_up * nearer);
  }
  const double away_mm = std::max((right - left) / (2.0 * t_right), (above - below) / (2.0 * t_up));
  as.target_mm = middle_mm + (left + right) / 2.0 * axes.right + (below + above) / 2.0 * axes.up;
  as.height_mm = std::clamp(2.0 * away_mm * half_tangent(as), least_height_mm, greatest_height_mm);
  return as;
}

Camera frame_box(const Box& box, Camera as, glm::dvec2 size_px, double margin_px) {
  std::array<glm::dvec3, 8> corners{};
  for (unsigned i = 0; i < corners.size(); ++i)
    corners[i] = {(i & 1u) != 0 ? box.high_mm.x : box.low_mm.x, (i & 2u) != 0 ? box.high_mm.y : box.low_mm.y,
                  (i & 4u) != 0 ? box.high_mm.z : box.low_mm.z};
  return frame_points(corners, as, size_px, margin_px);
}

namespace {

// The drive as large as the whole engine about it leaves it, but not under this share of what it could be.
constexpr double least_drive_share = 0.58;

// What there is of the engine, with its instruments.
std::vector<glm::dvec3> points_of(const SceneModel& model, const CloseUp& of) {
  std::vector<glm::dvec3> points = model.whole_points(of.apart);
  for (const glm::dvec3 point : model.instrument_points(of.instruments, of.camshaft, of.cylinder))
    points.push_back(point);
  return points;
}

Box drive_with_instruments(const SceneModel& model, const CloseUp& of) {
  Box box = model.drive_box(of.apart);
  SceneInstruments about_it = of.instruments;
  about_it.dial_at_valve = about_it.stop = false;
  for (const glm::dvec3 point : model.instrument_points(about_it, of.camshaft, of.cylinder)) {
    box.low_mm = glm::min(box.low_mm, point);
    box.high_mm = glm::max(box.high_mm, point);
  }
  return box;
}

Camera frame_end(const SceneModel& model, Camera as, glm::dvec2 size_px, double margin_px, const CloseUp& of) {
  const Camera drive = frame_box(drive_with_instruments(model, of), as, size_px, margin_px);
  Camera whole = frame_points(points_of(model, of), as, size_px, margin_px);
  const double most_mm = drive.height_mm / least_drive_share;
  if (whole.height_mm <= most_mm) return whole;
  // On the way from the one to the other, so that all of the drive stays within.
  const double share = (most_mm - drive.height_mm) / (whole.height_mm - drive.height_mm);
  whole.target_mm = glm::mix(drive.target_mm, whole.target_mm, share);
  whole.height_mm = most_mm;
  return whole;
}

// The drive edge on with all that stands above and below it; the cylinders behind run out of the picture. With an
// instrument across its faces or on a shaft's end, what that reads is to be seen, and nothing but the drive matters.
Camera frame_side(const SceneModel& model, Camera as, glm::dvec2 size_px, double margin_px, const CloseUp& of) {
  const Box drive = drive_with_instruments(model, of);
  const bool close = of.instruments.straight_edge || of.instruments.dial_at_end;
  std::vector<glm::dvec3> points = close ? std::vector<glm::dvec3>() : points_of(model, of);
  for (glm::dvec3& point : points) point.z = std::clamp(point.z, drive.low_mm.z, drive.high_mm.z);
  for (const double x_mm : {drive.low_mm.x, drive.high_mm.x}) // the nearest of it, which perspective shows largest
    for (const double y_mm : {drive.low_mm.y, drive.high_mm.y})
      for (const double z_mm : {drive.low_mm.z, drive.high_mm.z}) points.emplace_back(x_mm, y_mm, z_mm);
  return frame_points(points, as, size_px, margin_px);
}

} // namespace

Camera frame_view(const SceneModel& model, NamedView view, glm::dvec2 size_px, double margin_px, const CloseUp& of) {
  Camera camera;
  switch (view) {
  case NamedView::end:
    camera.field_deg = 12.0;
    return frame_end(model, camera, size_px, margin_px, of);
  case NamedView::side:
    camera.yaw_deg = 90.0;
    camera.field_deg = 12.0;
    return frame_side(model, camera, size_px, margin_px, of);
  case NamedView::key:
    camera.yaw_deg = 10.0;
    camera.pitch_deg = 8.0;
    if (of.from) {
      camera.yaw_deg = of.from->yaw_deg;
      camera.pitch_deg = of.from->pitch_deg;
    }
    return frame_box(model.key_box(of.camshaft, of.apart), camera, size_px, margin_px);
  case NamedView::valve: {
    const ViewDirection from = model.valve_view();
    camera.yaw_deg = from.yaw_deg;
    camera.pitch_deg = from.pitch_deg;
    camera.field_deg = 14.0;
    std::vector<glm::dvec3> points = model.valve_points(of.cylinder);
    SceneInstruments at_valves;
    at_valves.dial_at_valve = of.instruments.dial_at_valve;
    at_valves.stop = of.instruments.stop && of.cylinder == 1;
    for (const glm::dvec3 point : model.instrument_points(at_valves, of.camshaft, of.cylinder)) points.push_back(point);
    return frame_points(points, camera, size_px, margin_px);
  }
  case NamedView::whole:
    camera.yaw_deg = 38.0;
    camera.pitch_deg = 16.0;
    return frame_points(points_of(model, of), camera, size_px, margin_px);
  }
  return camera;
}

} // namespace phasewright
