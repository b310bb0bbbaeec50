#include "paper/text.hpp"

#include "paper/layout.hpp"

#include <algorithm>
#include <cassert>

namespace phasewright::paper {

namespace {

double to_mm(int pango_units) {
  return static_cast<double>(pango_units) / PANGO_SCALE * mm_per_pt;
}

bool fits(const TextSize& size, glm::dvec2 box_mm) {
  constexpr double rounding_mm = 1e-6;
  return size.width_mm <= box_mm.x + rounding_mm && size.height_mm <= box_mm.y + rounding_mm;
}

} // namespace

TextSize measure_text(const std::string& words, const TextStyle& style, double width_mm) {
  const Layout layout = make_layout(words, style, width_mm);
  PangoRectangle ink;
  PangoRectangle logical;
  pango_layout_get_extents(layout.get(), &ink, &logical);
  TextSize size;
  size.width_mm = to_mm(logical.width);
  size.height_mm = to_mm(logical.height);
  size.baseline_mm = to_mm(pango_layout_get_baseline(layout.get()));
  size.ink = {to_mm(ink.x), to_mm(ink.y), to_mm(ink.width), to_mm(ink.height)};
  size.lines = pango_layout_get_line_count(layout.get());
  size.unknown_characters = pango_layout_get_unknown_glyphs_count(layout.get());
  return size;
}

FittedText fit_text(const std::string& words, const TextStyle& style, glm::dvec2 box_mm, double least_pt) {
  assert(box_mm.x > 0.0 && box_mm.y > 0.0);
  constexpr double step = 0.96;
  FittedText fitted{style, true, measure_text(words, style)};
  while (!fits(fitted.size, box_mm) && fitted.style.size_pt * step >= least_pt) {
    fitted.style.size_pt *= step;
    fitted.size = measure_text(words, fitted.style);
  }
  if (fits(fitted.size, box_mm)) return fitted;
  fitted.style.size_pt = style.size_pt;
  fitted.one_line = false;
  fitted.size = measure_text(words, fitted.style, box_mm.x);
  constexpr double least_of_all_pt = 0.5; // no box on a sheet is so small that a title does not fit it then
  while (!fits(fitted.size, box_mm) && fitted.style.size_pt > least_of_all_pt) {
    fitted.style.size_pt *= step;
    fitted.size = measure_text(words, fitted.style, box_mm.x);
  }
  return fitted;
}

} // namespace phasewright::paper
