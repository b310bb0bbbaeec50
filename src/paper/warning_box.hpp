// What nobody may overlook, at the top of every page that shows it.
#pragma once

#include "paper/canvas.hpp"

namespace phasewright::paper {

// A box as wide as the page between borders of 10 mm; gives where the next may begin (y). Nothing is drawn, nor room
// taken, for no words.
double draw_warning(Canvas& canvas, double top_mm, const std::string& words);

} // namespace phasewright::paper
