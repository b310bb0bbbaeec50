#include "paper/key_drawing.hpp"

namespace phasewright::paper {

void draw_key_end(Canvas& canvas, const Box& box, const KeyPicture& key) {
  canvas.circle(box.middle_mm(), box.width_mm * 0.3, Pen{.width_mm = 0.3});
  canvas.text(box.middle_mm(), key.shaft, {.size_pt = 8, .align = TextAlign::centre});
}

} // namespace phasewright::paper
