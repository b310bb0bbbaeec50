#include "support/paper_checks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

namespace phasewright::testing {

namespace {

using paper::Element;
using paper::Shape;
using paper::Text;

// Least and greatest of the points along a direction.
std::array<double, 2> reach(std::span<const glm::dvec2> points, glm::dvec2 along) {
  std::array<double, 2> ends{std::numeric_limits<double>::max(), std::numeric_limits<double>::lowest()};
  for (const glm::dvec2 point : points) {
    const double at = point.x * along.x + point.y * along.y;
    ends = {std::min(ends[0], at), std::max(ends[1], at)};
  }
  return ends;
}

bool apart_along(std::span<const glm::dvec2> a, std::span<const glm::dvec2> b, glm::dvec2 along) {
  constexpr double touching_mm = 0.01;
  const double length = std::hypot(along.x, along.y);
  if (length < 1e-9) return false;
  const auto [a_least, a_most] = reach(a, along / length);
  const auto [b_least, b_most] = reach(b, along / length);
  return a_most <= b_least + touching_mm || b_most <= a_least + touching_mm;
}

// Two convex outlines are clear of each other when they are so along one of their sides' normals.
bool meet(std::span<const glm::dvec2> a, std::span<const glm::dvec2> b) {
  for (const auto outline : {a, b})
    for (std::size_t i = 0; i < outline.size(); ++i) {
      const glm::dvec2 side = outline[(i + 1) % outline.size()] - outline[i];
      if (apart_along(a, b, {-side.y, side.x})) return false;
    }
  return true;
}

// A piece of a line as an outline, as wide as it is drawn.
std::array<glm::dvec2, 4> drawn_piece(const std::array<glm::dvec2, 2>& piece, double width_mm) {
  const glm::dvec2 along = piece[1] - piece[0];
  const double length = std::hypot(along.x, along.y);
  const glm::dvec2 across = length > 1e-9 ? glm::dvec2{-along.y, along.x} * (width_mm / 2.0 / length) : glm::dvec2{};
  return {piece[0] + across, piece[1] + across, piece[1] - across, piece[0] - across};
}

std::string place_words(std::span<const glm::dvec2> points) {
  return fmt::format("({:.1f}, {:.1f})", points[0].x, points[0].y);
}

void judge_edges(const paper::Page& page, std::span<const glm::dvec2> points, double margin_mm, const std::string& what,
                 std::vector<std::string>& faults) {
  constexpr double rounding_mm = 1e-6;
  const double border_mm = margin_mm - rounding_mm;
  const bool within = std::ranges::all_of(points, [&](glm::dvec2 at) {
    return at.x >= border_mm && at.y >= border_mm && at.x <= page.size_mm.x - border_mm &&
           at.y <= page.size_mm.y - border_mm;
  });
  if (!within) faults.push_back(fmt::format("{} at {} leaves the page", what, place_words(points)));
}

void judge_texts(const std::vector<const Text*>& texts, std::vector<std::string>& faults) {
  for (std::size_t i = 0; i < texts.size(); ++i)
    for (std::size_t k = 0; k < i; ++k)
      if (meet(texts[i]->corners_mm, texts[k]->corners_mm))
        faults.push_back(fmt::format("\"{}\" lies over \"{}\" at {}", texts[i]->words, texts[k]->words,
                                     place_words(texts[i]->corners_mm)));
}

void judge_line(const Shape& shape, const std::vector<const Text*>& texts, std::vector<std::string>& faults) {
  if (!shape.pen) return;
  for (const auto& piece : pieces_of(shape.path)) {
    const std::array<glm::dvec2, 4> drawn = drawn_piece(piece, shape.pen->width_mm);
    for (const Text* text : texts)
      if (meet(drawn, text->corners_mm))
        faults.push_back(fmt::format("a line at {} runs through \"{}\"", place_words(piece), text->words));
  }
}

} // namespace

std::vector<std::string> page_faults(const paper::Page& page, double margin_mm) {
  std::vector<std::string> faults;
  std::vector<const Text*> texts;
  for (const Element& element : page.elements)
    if (const Text* text = std::get_if<Text>(&element)) {
      texts.push_back(text);
      judge_edges(page, text->corners_mm, margin_mm, "\"" + text->words + "\"", faults);
    }
  judge_texts(texts, faults);
  for (const Element& element : page.elements) {
    if (const Shape* shape = std::get_if<Shape>(&element)) {
      judge_line(*shape, texts, faults);
      for (const auto& piece : pieces_of(shape->path)) judge_edges(page, piece, margin_mm, "a line", faults);
    }
    if (const auto* picture = std::get_if<paper::Picture>(&element)) {
      const paper::Box& box = picture->box;
      const std::array<glm::dvec2, 2> ends{{{box.left_mm, box.top_mm}, {box.right_mm(), box.bottom_mm()}}};
      judge_edges(page, ends, margin_mm, "a picture", faults);
    }
  }
  return faults;
}

std::vector<std::string> texts_of(const paper::Page& page) {
  std::vector<std::string> words;
  for (const Element& element : page.elements)
    if (const Text* text = std::get_if<Text>(&element)) words.push_back(text->words);
  return words;
}

std::vector<std::array<glm::dvec2, 2>> pieces_of(const paper::Path& path) {
  std::vector<std::array<glm::dvec2, 2>> pieces;
  glm::dvec2 at{};
  glm::dvec2 began{};
  bool somewhere = false;
  const auto line_to = [&](glm::dvec2 to) {
    if (somewhere) pieces.push_back({at, to});
    if (!somewhere) began = to;
    at = to;
    somewhere = true;
  };
  for (const paper::PathStep& step : path) {
    if (const auto* move = std::get_if<paper::MoveTo>(&step)) {
      at = began = move->to_mm;
      somewhere = true;
    } else if (const auto* line = std::get_if<paper::LineTo>(&step)) {
      line_to(line->to_mm);
    } else if (const auto* arc = std::get_if<paper::ArcTo>(&step)) {
      const double step_deg = 2.0 * std::acos(1.0 - std::min(0.5, 0.02 / arc->radius_mm)) * 180.0 / std::acos(-1.0);
      const int steps = 1 + static_cast<int>(std::fabs(arc->to_clock_deg - arc->from_clock_deg) / step_deg);
      for (int i = 0; i <= steps; ++i)
        line_to(paper::clock_point_mm(
            arc->centre_mm, std::lerp(arc->from_clock_deg, arc->to_clock_deg, double(i) / steps), arc->radius_mm));
    } else {
      line_to(began);
    }
  }
  return pieces;
}

} // namespace phasewright::testing
