#include "paper/draw_page.hpp"

#include "geometry/angle.hpp"
#include "paper/layout.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <cstring>
#include <stdexcept>

namespace phasewright::paper {

namespace {

void add_step(cairo_t* cairo, const MoveTo& step) {
  cairo_move_to(cairo, step.to_mm.x, step.to_mm.y);
}

void add_step(cairo_t* cairo, const LineTo& step) {
  cairo_line_to(cairo, step.to_mm.x, step.to_mm.y);
}

void add_step(cairo_t* cairo, const ArcTo& step) {
  // Cairo counts from the right, clockwise where y is down.
  const double from_rad = radians(step.from_clock_deg - 90.0);
  const double to_rad = radians(step.to_clock_deg - 90.0);
  const auto arc = to_rad >= from_rad ? cairo_arc : cairo_arc_negative;
  arc(cairo, step.centre_mm.x, step.centre_mm.y, step.radius_mm, from_rad, to_rad);
}

void add_step(cairo_t* cairo, const ClosePath& /*step*/) {
  cairo_close_path(cairo);
}

void set_ink(cairo_t* cairo, const Ink& ink) {
  cairo_set_source_rgb(cairo, ink.red, ink.green, ink.blue);
}

void set_pen(cairo_t* cairo, const Pen& pen) {
  set_ink(cairo, pen.ink);
  cairo_set_line_width(cairo, pen.width_mm);
  cairo_set_line_cap(cairo, pen.end == LineEnd::round ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
  cairo_set_line_join(cairo, pen.end == LineEnd::round ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
  cairo_set_dash(cairo, pen.dashes_mm.data(), static_cast<int>(pen.dashes_mm.size()), 0.0);
}

void draw(cairo_t* cairo, const Shape& shape) {
  cairo_new_path(cairo);
  for (const PathStep& step : shape.path) std::visit([cairo](const auto& held) { add_step(cairo, held); }, step);
  if (shape.fill) {
    set_ink(cairo, *shape.fill);
    cairo_fill_preserve(cairo);
  }
  if (shape.pen) {
    set_pen(cairo, *shape.pen);
    cairo_stroke_preserve(cairo);
  }
  cairo_new_path(cairo);
}

void draw(cairo_t* cairo, const Text& text) {
  const Layout layout = make_layout(text.words, text.style, text.width_mm);
  cairo_save(cairo);
  cairo_translate(cairo, text.at_mm.x, text.at_mm.y);
  cairo_rotate(cairo, radians(text.turned_deg));
  cairo_translate(cairo, text.shift_mm.x, text.shift_mm.y);
  cairo_scale(cairo, mm_per_pt, mm_per_pt);
  set_ink(cairo, text.style.ink);
  cairo_move_to(cairo, 0.0, 0.0);
  pango_cairo_show_layout(cairo, layout.get());
  cairo_restore(cairo);
}

// Cairo keeps a pixel in four bytes, in the machine's own order.
void copy_rows(const Pixels& pixels, cairo_surface_t* image) {
  cairo_surface_flush(image);
  unsigned char* const rows = cairo_image_surface_get_data(image);
  const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(image));
  const auto width = static_cast<std::size_t>(pixels.width);
  for (std::size_t y = 0; y < static_cast<std::size_t>(pixels.height); ++y)
    for (std::size_t x = 0; x < width; ++x) {
      const std::uint8_t* const rgb = &pixels.rgb[3 * (y * width + x)];
      const std::uint32_t pixel =
          (std::uint32_t{rgb[0]} << 16U) | (std::uint32_t{rgb[1]} << 8U) | std::uint32_t{rgb[2]};
      std::memcpy(rows + y * stride + 4 * x, &pixel, sizeof pixel);
    }
  cairo_surface_mark_dirty(image);
}

void draw(cairo_t* cairo, const Picture& picture) {
  cairo_surface_t* const image =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.pixels.width, picture.pixels.height);
  expect_sound(cairo_surface_status(image));
  copy_rows(picture.pixels, image);
  cairo_save(cairo);
  cairo_translate(cairo, picture.box.left_mm, picture.box.top_mm);
  cairo_scale(cairo, picture.box.width_mm / picture.pixels.width, picture.box.height_mm / picture.pixels.height);
  cairo_set_source_surface(cairo, image, 0.0, 0.0);
  // At its edges as well, nothing is mixed with what is beyond.
  cairo_pattern_set_extend(cairo_get_source(cairo), CAIRO_EXTEND_PAD);
  cairo_rectangle(cairo, 0.0, 0.0, picture.pixels.width, picture.pixels.height);
  cairo_fill(cairo);
  cairo_restore(cairo);
  cairo_surface_destroy(image);
}

} // namespace

void draw_page(cairo_t* cairo, const Page& page) {
  for (const Element& element : page.elements) std::visit([cairo](const auto& held) { draw(cairo, held); }, element);
  expect_sound(cairo_status(cairo));
}

void expect_sound(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS)
    throw std::runtime_error(fmt::format("the page cannot be drawn: {}", cairo_status_to_string(status)));
}

} // namespace phasewright::paper
