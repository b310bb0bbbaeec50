#include "paper/check_line.hpp"

#include <fmt/format.h>

namespace phasewright::paper {

void draw_check_line(Canvas& canvas, double left_mm, double top_mm, const std::string& before) {
  constexpr double end_mm = 2.0; // half of the lines across its ends
  constexpr double border_mm = 10.0;
  const double line_mm = top_mm + end_mm + 0.5;
  const Pen pen{.width_mm = 0.2};
  canvas.line({left_mm, line_mm}, {left_mm + check_line_mm, line_mm}, pen);
  for (const double at_mm : {left_mm, left_mm + check_line_mm})
    canvas.line({at_mm, line_mm - end_mm}, {at_mm, line_mm + end_mm}, pen);
  canvas.text({left_mm + check_line_mm / 2.0, line_mm + 3.2}, fmt::format("{:.1f} mm", check_line_mm),
              {.size_pt = 7, .bold = true, .align = TextAlign::centre});
  const double words_mm = left_mm + check_line_mm + 4.0;
  canvas.fitted({words_mm, top_mm - 0.5, canvas.size_mm().x - border_mm - words_mm, check_line_height_mm},
                "Measure this line before " + before +
                    ": from end to end it must be 100 mm. If it is not, print again at 100 % (\"actual size\"), not "
                    "fitted to the page.",
                {.size_pt = 7}, 7.0);
}

} // namespace phasewright::paper
