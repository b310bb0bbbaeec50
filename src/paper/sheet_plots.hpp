// The sheet's drawings of valve events: as a ring about the dead centres, and as lift curves.
#pragma once

#include "paper/canvas.hpp"
#include "paper/sheet.hpp"

namespace phasewright::paper {

// Each fills its box. The last of the sheet's states is drawn strong, one before it pale.
void draw_event_ring(Canvas& canvas, const Box& box, const BuildSheet& sheet);
void draw_lift_curves(Canvas& canvas, const Box& box, const BuildSheet& sheet);

} // namespace phasewright::paper
