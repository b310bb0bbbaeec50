#include "paper/page.hpp"

#include "geometry/angle.hpp"

#include <cassert>
#include <utility>

namespace phasewright::paper {

glm::dvec2 page_size_mm(PaperSize size, Orientation orientation) {
  // ISO 216, and 8.5 x 11 inches.
  glm::dvec2 mm = size == PaperSize::a4 ? glm::dvec2{210.0, 297.0} : glm::dvec2{215.9, 279.4};
  if (orientation == Orientation::landscape) std::swap(mm.x, mm.y);
  return mm;
}

const char* to_word(PaperSize size) {
  return size == PaperSize::a4 ? "a4" : "letter";
}

const char* to_name(PaperSize size) {
  return size == PaperSize::a4 ? "A4" : "Letter";
}

std::optional<PaperSize> parse_paper_size(std::string_view word) {
  for (const PaperSize size : {PaperSize::a4, PaperSize::letter})
    if (word == to_word(size)) return size;
  return std::nullopt;
}

Box inset(const Box& box, double border_mm) {
  assert(2.0 * border_mm <= box.width_mm && 2.0 * border_mm <= box.height_mm);
  return {box.left_mm + border_mm, box.top_mm + border_mm, box.width_mm - 2.0 * border_mm,
          box.height_mm - 2.0 * border_mm};
}

glm::dvec2 clock_point_mm(glm::dvec2 centre_mm, double clock_deg, double radius_mm) {
  return {centre_mm.x + radius_mm * sin_deg(clock_deg), centre_mm.y - radius_mm * cos_deg(clock_deg)};
}

Pen inlet_pen(double width_mm) {
  return {.width_mm = width_mm, .ink = inks::inlet, .dashes_mm = {}, .end = LineEnd::flat};
}

Pen exhaust_pen(double width_mm) {
  return {.width_mm = width_mm, .ink = inks::exhaust, .dashes_mm = {2.2, 1.0}, .end = LineEnd::flat};
}

} // namespace phasewright::paper
