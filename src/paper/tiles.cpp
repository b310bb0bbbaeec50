#include "paper/tiles.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright::paper {

namespace {

int tiles_along(double drawing_mm, double room_mm) {
  assert(room_mm > tile_overlap_mm);
  constexpr double rounding_mm = 1e-6;
  return std::max(
      1, static_cast<int>(std::ceil((drawing_mm - tile_overlap_mm - rounding_mm) / (room_mm - tile_overlap_mm))));
}

// So many windows with their overlaps are as long as the drawing.
double window_along_mm(double drawing_mm, int tiles) {
  return (drawing_mm + (tiles - 1) * tile_overlap_mm) / tiles;
}

std::vector<double> joints_mm(double window_mm, int tiles) {
  std::vector<double> joints;
  for (int i = 1; i < tiles; ++i) joints.push_back(i * (window_mm - tile_overlap_mm) + tile_overlap_mm / 2.0);
  return joints;
}

bool holds(const Box& box, glm::dvec2 at) {
  constexpr double rounding_mm = 1e-9;
  return at.x >= box.left_mm - rounding_mm && at.x <= box.right_mm() + rounding_mm &&
         at.y >= box.top_mm - rounding_mm && at.y <= box.bottom_mm() + rounding_mm;
}

// The part of a straight line in the box, by Liang and Barsky's way of cutting; nothing when there is none.
std::optional<std::array<glm::dvec2, 2>> cut_line(const Box& box, glm::dvec2 from, glm::dvec2 to) {
  const glm::dvec2 along = to - from;
  double enters = 0.0;
  double leaves = 1.0;
  const std::array<std::array<double, 2>, 4> edges{{{-along.x, from.x - box.left_mm},
                                                    {along.x, box.right_mm() - from.x},
                                                    {-along.y, from.y - box.top_mm},
                                                    {along.y, box.bottom_mm() - from.y}}};
  for (const auto& [toward, room] : edges) {
    if (toward == 0.0 && room < 0.0) return std::nullopt;
    if (toward < 0.0) enters = std::max(enters, room / toward);
    if (toward > 0.0) leaves = std::min(leaves, room / toward);
  }
  if (enters >= leaves) return std::nullopt;
  return std::array{from + enters * along, from + leaves * along};
}

// Clock angles within the arc's own, in order, at which it may enter or leave the box; its ends with them.
std::vector<double> crossings_deg(const Box& box, const ArcTo& arc) {
  const auto [least, most] = std::minmax(arc.from_clock_deg, arc.to_clock_deg);
  std::vector<double> found{least, most};
  const auto add = [&, low = least, high = most](double clock_deg) {
    for (double deg = low + wrap_360(clock_deg - low); deg < high; deg += 360.0) found.push_back(deg);
  };
  for (const double x_mm : {box.left_mm, box.right_mm()}) {
    const double share = (x_mm - arc.centre_mm.x) / arc.radius_mm;
    if (std::fabs(share) > 1.0) continue;
    add(degrees(std::asin(share)));
    add(180.0 - degrees(std::asin(share)));
  }
  for (const double y_mm : {box.top_mm, box.bottom_mm()}) {
    const double share = (arc.centre_mm.y - y_mm) / arc.radius_mm;
    if (std::fabs(share) > 1.0) continue;
    add(degrees(std::acos(share)));
    add(-degrees(std::acos(share)));
  }
  std::ranges::sort(found);
  return found;
}

// The drawing's lines are straight pieces and arcs each by itself: a path of a move and lines, or of one arc.
void add_cut(const Shape& shape, const Box& window, glm::dvec2 shift, Page& page) {
  const auto add = [&](Path path) { page.elements.emplace_back(Shape{std::move(path), shape.pen, std::nullopt}); };
  glm::dvec2 at{};
  for (const PathStep& step : shape.path) {
    if (const auto* move = std::get_if<MoveTo>(&step)) at = move->to_mm;
    if (const auto* line = std::get_if<LineTo>(&step)) {
      if (const auto piece = cut_line(window, at, line->to_mm))
        add({MoveTo{(*piece)[0] + shift}, LineTo{(*piece)[1] + shift}});
      at = line->to_mm;
    }
    if (const auto* arc = std::get_if<ArcTo>(&step)) {
      const std::vector<double> ends = crossings_deg(window, *arc);
      for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
        const double middle_deg = (ends[i] + ends[i + 1]) / 2.0;
        if (ends[i] < ends[i + 1] && holds(window, clock_point_mm(arc->centre_mm, middle_deg, arc->radius_mm)))
          add({ArcTo{arc->centre_mm + shift, arc->radius_mm, ends[i], ends[i + 1]}});
      }
    }
  }
}

// Of an area: it must have no arcs but whole circles.
bool lies_in(const Box& window, const Path& path) {
  return std::ranges::all_of(path, [&window](const PathStep& step) {
    if (const auto* move = std::get_if<MoveTo>(&step)) return holds(window, move->to_mm);
    if (const auto* line = std::get_if<LineTo>(&step)) return holds(window, line->to_mm);
    if (const auto* arc = std::get_if<ArcTo>(&step))
      return holds(window, arc->centre_mm - arc->radius_mm) && holds(window, arc->centre_mm + arc->radius_mm);
    return true;
  });
}

void move_path(Path& path, glm::dvec2 shift) {
  for (PathStep& step : path) {
    if (auto* move = std::get_if<MoveTo>(&step)) move->to_mm += shift;
    if (auto* line = std::get_if<LineTo>(&step)) line->to_mm += shift;
    if (auto* arc = std::get_if<ArcTo>(&step)) arc->centre_mm += shift;
  }
}

} // namespace

TileGrid tile_grid(glm::dvec2 drawing_mm, glm::dvec2 room_mm) {
  TileGrid grid;
  grid.columns = tiles_along(drawing_mm.x, room_mm.x);
  grid.rows = tiles_along(drawing_mm.y, room_mm.y);
  grid.window_mm = {window_along_mm(drawing_mm.x, grid.columns), window_along_mm(drawing_mm.y, grid.rows)};
  return grid;
}

std::string tile_name(int column, int row) {
  return fmt::format("{}{}", static_cast<char>('A' + column), row + 1);
}

Box tile_window(const TileGrid& grid, int column, int row) {
  return {column * (grid.window_mm.x - tile_overlap_mm), row * (grid.window_mm.y - tile_overlap_mm), grid.window_mm.x,
          grid.window_mm.y};
}

std::vector<double> joints_across_mm(const TileGrid& grid) {
  return joints_mm(grid.window_mm.x, grid.columns);
}

std::vector<double> joints_down_mm(const TileGrid& grid) {
  return joints_mm(grid.window_mm.y, grid.rows);
}

void add_window(const Page& drawing, const Box& window, glm::dvec2 to_mm, Page& page) {
  const glm::dvec2 shift = to_mm - glm::dvec2{window.left_mm, window.top_mm};
  for (const Element& element : drawing.elements) {
    if (const auto* text = std::get_if<Text>(&element)) {
      if (!std::ranges::all_of(text->corners_mm, [&](glm::dvec2 corner) { return holds(window, corner); })) continue;
      Text moved = *text;
      moved.at_mm += shift;
      for (glm::dvec2& corner : moved.corners_mm) corner += shift;
      page.elements.emplace_back(std::move(moved));
    } else if (const auto* shape = std::get_if<Shape>(&element)) {
      if (!shape->fill) {
        add_cut(*shape, window, shift, page);
      } else if (lies_in(window, shape->path)) {
        Shape moved = *shape;
        move_path(moved.path, shift);
        page.elements.emplace_back(std::move(moved));
      }
    }
  }
}

} // namespace phasewright::paper
