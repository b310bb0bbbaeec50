// The line that shows whether a print came out at true size.
#pragma once

#include "paper/canvas.hpp"

namespace phasewright::paper {

inline constexpr double check_line_mm = 100.0;

// Room it takes in height, its words beside it; as wide as the page between borders of 10 mm.
inline constexpr double check_line_height_mm = 9.0;

// `before`: what it is to be measured before, "cutting". From `top_mm`.
void draw_check_line(Canvas& canvas, double left_mm, double top_mm, const std::string& before);

} // namespace phasewright::paper
