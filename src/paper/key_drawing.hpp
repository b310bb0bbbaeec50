// How a half-round key stands in its shaft and sprocket, seen from the timing end.
#pragma once

#include "bench/plan_words.hpp"
#include "paper/canvas.hpp"

namespace phasewright::paper {

void draw_key_end(Canvas& canvas, const Box& box, const KeyPicture& key);

} // namespace phasewright::paper
