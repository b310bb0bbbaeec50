#include "paper/canvas.hpp"

#include "geometry/angle.hpp"

#include <cassert>
#include <cmath>
#include <utility>

namespace phasewright::paper {

namespace {

// As the page turns it: clockwise, y down.
glm::dvec2 turned(glm::dvec2 v, double clockwise_deg) {
  const double c = cos_deg(clockwise_deg);
  const double s = sin_deg(clockwise_deg);
  return {c * v.x - s * v.y, s * v.x + c * v.y};
}

double aligned_mm(TextAlign align, double width_mm) {
  switch (align) {
  case TextAlign::centre:
    return -width_mm / 2.0;
  case TextAlign::right:
    return -width_mm;
  case TextAlign::left:
    break;
  }
  return 0.0;
}

// How far below a line's top the point stands that it is placed by.
double stands_mm(TextStands stands, const TextStyle& style, const TextSize& size) {
  switch (stands) {
  case TextStands::top:
    return 0.0;
  case TextStands::middle: {
    const TextSize figure = measure_text("0", style);
    return size.baseline_mm - figure.baseline_mm + figure.ink.middle_mm().y;
  }
  case TextStands::baseline:
    break;
  }
  return size.baseline_mm;
}

} // namespace

void Canvas::shape(Shape shape) {
  page_.elements.emplace_back(std::move(shape));
}

void Canvas::line(glm::dvec2 from_mm, glm::dvec2 to_mm, const Pen& pen) {
  shape({{MoveTo{from_mm}, LineTo{to_mm}}, pen, std::nullopt});
}

void Canvas::polyline(std::span<const glm::dvec2> points_mm, const Pen& pen) {
  assert(points_mm.size() >= 2);
  Path path{MoveTo{points_mm.front()}};
  for (const glm::dvec2 point_mm : points_mm.subspan(1)) path.emplace_back(LineTo{point_mm});
  shape({std::move(path), pen, std::nullopt});
}

void Canvas::polygon(std::span<const glm::dvec2> points_mm, std::optional<Pen> pen, std::optional<Ink> fill) {
  assert(points_mm.size() >= 3);
  Path path{MoveTo{points_mm.front()}};
  for (const glm::dvec2 point_mm : points_mm.subspan(1)) path.emplace_back(LineTo{point_mm});
  path.emplace_back(ClosePath{});
  shape({std::move(path), std::move(pen), fill});
}

void Canvas::circle(glm::dvec2 centre_mm, double radius_mm, std::optional<Pen> pen, std::optional<Ink> fill) {
  shape({{ArcTo{centre_mm, radius_mm, 0.0, 360.0}, ClosePath{}}, std::move(pen), fill});
}

void Canvas::arc(glm::dvec2 centre_mm, double radius_mm, double from_clock_deg, double to_clock_deg, const Pen& pen) {
  shape({{ArcTo{centre_mm, radius_mm, from_clock_deg, to_clock_deg}}, pen, std::nullopt});
}

void Canvas::rectangle(const Box& box, std::optional<Pen> pen, std::optional<Ink> fill) {
  const std::array<glm::dvec2, 4> corners_mm{{{box.left_mm, box.top_mm},
                                              {box.right_mm(), box.top_mm},
                                              {box.right_mm(), box.bottom_mm()},
                                              {box.left_mm, box.bottom_mm()}}};
  polygon(corners_mm, std::move(pen), fill);
}

void Canvas::arrow_head(glm::dvec2 tip_mm, double clock_deg, double length_mm, Ink ink) {
  constexpr double half_angle_deg = 12.0;
  const double side_mm = length_mm / cos_deg(half_angle_deg);
  const std::array<glm::dvec2, 3> corners_mm{tip_mm,
                                             clock_point_mm(tip_mm, clock_deg + 180.0 - half_angle_deg, side_mm),
                                             clock_point_mm(tip_mm, clock_deg + 180.0 + half_angle_deg, side_mm)};
  polygon(corners_mm, std::nullopt, ink);
}

void Canvas::dimension_line(glm::dvec2 from_mm, glm::dvec2 to_mm, const Pen& pen) {
  constexpr double head_mm = 2.0;
  const double clock_deg = degrees(std::atan2(to_mm.x - from_mm.x, from_mm.y - to_mm.y));
  line(from_mm, to_mm, pen);
  arrow_head(to_mm, clock_deg, head_mm, pen.ink);
  arrow_head(from_mm, clock_deg + 180.0, head_mm, pen.ink);
}

void Canvas::tick_box(glm::dvec2 top_left_mm, double size_mm, bool ticked) {
  rectangle({top_left_mm.x, top_left_mm.y, size_mm, size_mm}, Pen{.width_mm = 0.25});
  if (!ticked) return;
  const auto at = [&](double x, double y) { return top_left_mm + size_mm * glm::dvec2{x, y}; };
  const std::array<glm::dvec2, 3> tick_mm{at(0.18, 0.52), at(0.42, 0.8), at(0.84, 0.2)};
  polyline(tick_mm, {.width_mm = 0.12 * size_mm, .end = LineEnd::round});
}

void Canvas::picture(const Box& box, Pixels pixels) {
  assert(pixels.width > 0 && pixels.height > 0);
  assert(pixels.rgb.size() == 3 * static_cast<std::size_t>(pixels.width) * static_cast<std::size_t>(pixels.height));
  page_.elements.emplace_back(Picture{box, std::move(pixels)});
}

void Canvas::bookmark(std::string title, double top_mm, int level) {
  page_.bookmarks.push_back({std::move(title), level, top_mm});
}

void Canvas::place(const std::string& words, const TextStyle& style, glm::dvec2 at_mm, glm::dvec2 shift_mm,
                   double turned_deg, double width_mm, const TextSize& size) {
  Text text{words, style, at_mm, shift_mm, turned_deg, width_mm, {}, size.unknown_characters};
  const glm::dvec2 top_left_mm = shift_mm + glm::dvec2{size.ink.left_mm, size.ink.top_mm};
  const glm::dvec2 right_mm{size.ink.width_mm, 0.0};
  const glm::dvec2 down_mm{0.0, size.ink.height_mm};
  text.corners_mm = {at_mm + turned(top_left_mm, turned_deg), at_mm + turned(top_left_mm + right_mm, turned_deg),
                     at_mm + turned(top_left_mm + right_mm + down_mm, turned_deg),
                     at_mm + turned(top_left_mm + down_mm, turned_deg)};
  page_.elements.emplace_back(std::move(text));
}

std::array<glm::dvec2, 4> Canvas::text(glm::dvec2 at_mm, const std::string& words, const TextStyle& style,
                                       double turned_deg, TextStands stands) {
  assert(!words.empty());
  const TextSize size = measure_text(words, style);
  const glm::dvec2 shift_mm{aligned_mm(style.align, size.width_mm), -stands_mm(stands, style, size)};
  place(words, style, at_mm, shift_mm, turned_deg, 0.0, size);
  return std::get<Text>(page_.elements.back()).corners_mm;
}

double Canvas::paragraph(glm::dvec2 top_left_mm, double width_mm, const std::string& words, const TextStyle& style) {
  if (words.empty()) return top_left_mm.y;
  const TextSize size = measure_text(words, style, width_mm);
  place(words, style, top_left_mm, {}, 0.0, width_mm, size);
  return top_left_mm.y + size.height_mm;
}

double Canvas::fitted(const Box& box, const std::string& words, const TextStyle& style, double least_pt) {
  if (words.empty()) return box.top_mm;
  const FittedText fitted = fit_text(words, style, {box.width_mm, box.height_mm}, least_pt);
  // One line is laid out in the box's width as well, for its alignment, and is not broken there as it fits.
  const double slack_mm = fitted.one_line ? 1e-3 : 0.0;
  return paragraph({box.left_mm, box.top_mm}, box.width_mm + slack_mm, words, fitted.style);
}

} // namespace phasewright::paper
