#include "scene/camera.hpp"

#include "geometry/angle.hpp"

#include <glm/geometric.hpp>
#include <glm/vec4.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

constexpr double degrees_per_px = 0.35;   // orbit
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

double half_tangent(const Camera& camera) { return std::tan(radians(camera.field_deg) / 2.0); }

double distance_mm(const Camera& camera) { return camera.height_mm / (2.0 * half_tangent(camera)); }

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

glm::dvec3 Camera::eye_mm() const { return target_mm + distance_mm(*this) * axes_of(*this).back; }

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
    return {{1.0 / (aspect * half_mm), 0, 0, 0}, {0, 1.0 / half_mm, 0, 0}, {0, 0, -2.0 / (far_mm - near_mm), 0},
            {0, 0, -(far_mm + near_mm) / (far_mm - near_mm), 1}};
  }
  const double near_mm = std::max(0.08 * away_mm, away_mm - engine_mm);
  const double far_mm = away_mm + engine_mm;
  const double t = half_tangent(*this);
  return {{1.0 / (aspect * t), 0, 0, 0}, {0, 1.0 / t, 0, 0}, {0, 0, -(far_mm + near_mm) / (far_mm - near_mm), -1},
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

Camera frame_box(const Box& box, Camera as, glm::dvec2 size_px, double margin_px) {
  const Axes axes = axes_of(as);
  const glm::dvec3 middle_mm = (box.low_mm + box.high_mm) / 2.0;
  const glm::dvec2 free_px = glm::max(size_px - glm::dvec2(2.0 * margin_px), size_px * 0.25);
  // Tangents of the half angles that the free part of the picture spans, or half sizes for one unit of height.
  const double t_up = half_tangent(as) * free_px.y / size_px.y;
  const double t_right = half_tangent(as) * free_px.x / size_px.y;
  struct Span {
    double low = 1e300;
    double high = -1e300;
  };
  // In perspective each corner asks for a distance from the eye to the target; a corner nearer to the eye by w asks for
  // w more. The pair of opposite sides together also says where the target has to lie between them.
  Span across_low, across_high;
  Span up_low, up_high;
  const auto widen = [](Span& span, double value) {
    span.low = std::min(span.low, value);
    span.high = std::max(span.high, value);
  };
  for (int corner = 0; corner < 8; ++corner) {
    const glm::dvec3 at{(corner & 1) != 0 ? box.high_mm.x : box.low_mm.x, (corner & 2) != 0 ? box.high_mm.y : box.low_mm.y,
                        (corner & 4) != 0 ? box.high_mm.z : box.low_mm.z};
    const glm::dvec3 from_middle = at - middle_mm;
    const double nearer = as.parallel ? 0.0 : glm::dot(from_middle, axes.back);
    const double x = glm::dot(from_middle, axes.right);
    const double y = glm::dot(from_middle, axes.up);
    widen(across_low, x - t_right * nearer);
    widen(across_high, x + t_right * nearer);
    widen(up_low, y - t_up * nearer);
    widen(up_high, y + t_up * nearer);
  }
  const double away_mm =
      std::max((across_high.high - across_low.low) / (2.0 * t_right), (up_high.high - up_low.low) / (2.0 * t_up));
  as.target_mm = middle_mm + (across_high.high + across_low.low) / 2.0 * axes.right + (up_high.high + up_low.low) / 2.0 * axes.up;
  as.height_mm = std::clamp(2.0 * away_mm * half_tangent(as), least_height_mm, greatest_height_mm);
  return as;
}

Camera frame_view(const SceneModel& model, NamedView view, glm::dvec2 size_px, double margin_px, const CloseUp& of) {
  Camera camera;
  switch (view) {
  case NamedView::end:
    camera.field_deg = 12.0;
    return frame_box(model.drive_box(), camera, size_px, margin_px);
  case NamedView::side:
    camera.yaw_deg = 90.0;
    camera.field_deg = 12.0;
    return frame_box(model.drive_box(), camera, size_px, margin_px);
  case NamedView::key:
    camera.yaw_deg = 10.0;
    camera.pitch_deg = 8.0;
    return frame_box(model.key_box(of.key_at_cam), camera, size_px, margin_px);
  case NamedView::valve: {
    const ViewDirection from = model.valve_view();
    camera.yaw_deg = from.yaw_deg;
    camera.pitch_deg = from.pitch_deg;
    return frame_box(model.valve_box(of.cylinder), camera, size_px, margin_px);
  }
  case NamedView::whole:
    camera.yaw_deg = 38.0;
    camera.pitch_deg = 16.0;
    return frame_box(model.whole_box(), camera, size_px, margin_px);
  }
  return camera;
}

} // namespace phasewright
