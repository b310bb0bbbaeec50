#include "paper/warning_box.hpp"

namespace phasewright::paper {

double draw_warning(Canvas& canvas, double top_mm, const std::string& words) {
  if (words.empty()) return top_mm;
  constexpr double border_mm = 10.0;
  constexpr double padding_mm = 1.6;
  constexpr double below_mm = 1.8;
  const double width_mm = canvas.size_mm().x - 2.0 * border_mm;
  const double end_mm = canvas.paragraph({border_mm + padding_mm, top_mm + padding_mm}, width_mm - 2.0 * padding_mm,
                                         words, {.size_pt = 9, .bold = true, .ink = inks::warning}) +
                        padding_mm;
  canvas.rectangle({border_mm, top_mm, width_mm, end_mm - top_mm}, Pen{.width_mm = 0.6, .ink = inks::warning});
  return end_mm + below_mm;
}

} // namespace phasewright::paper
