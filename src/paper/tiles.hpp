// A drawing larger than the page, cut into sheets that overlap.
#pragma once

#include "paper/page.hpp"

#include <string>
#include <vector>

namespace phasewright::paper {

inline constexpr double tile_overlap_mm = 20.0;

struct TileGrid {
  int columns = 1;
  int rows = 1;
  glm::dvec2 window_mm{}; // how much of the drawing stands on each sheet

  [[nodiscard]] int count() const { return columns * rows; }
};

// The fewest sheets for a drawing of that size when each has room for `room_mm`; all show as much of it as each other.
// The room must be more than the overlap.
[[nodiscard]] TileGrid tile_grid(glm::dvec2 drawing_mm, glm::dvec2 room_mm);

// Columns and rows from 0.
[[nodiscard]] std::string tile_name(int column, int row);                 // "A1": A is the left column, 1 the top row
[[nodiscard]] Box tile_window(const TileGrid& grid, int column, int row); // in the drawing
// Where the middle of the overlap between two columns, or rows, lies: columns - 1, or rows - 1, of them.
[[nodiscard]] std::vector<double> joints_across_mm(const TileGrid& grid);
[[nodiscard]] std::vector<double> joints_down_mm(const TileGrid& grid);

// What of the drawing lies in the window, moved so that the window's top left corner comes to `to_mm`. Lines are cut at
// its edges; text and filled areas are taken whole or, where they would be cut, left to the next sheet, which has them
// when they are no larger than the overlap.
void add_window(const Page& drawing, const Box& window, glm::dvec2 to_mm, Page& page);

} // namespace phasewright::paper
