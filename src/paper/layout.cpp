#include "paper/layout.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright::paper {

namespace {

using Context = std::unique_ptr<PangoContext, Unreference>;

Context make_context() {
  Context context(pango_font_map_create_context(pango_cairo_font_map_get_default()));
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(context.get(), options);
  cairo_font_options_destroy(options);
  constexpr double points_per_inch = 72.0;
  pango_cairo_context_set_resolution(context.get(), points_per_inch);
  pango_context_set_round_glyph_positions(context.get(), FALSE);
  pango_context_set_language(context.get(), pango_language_from_string("en"));
  return context;
}

PangoAlignment to_pango(TextAlign align) {
  switch (align) {
  case TextAlign::centre:
    return PANGO_ALIGN_CENTER;
  case TextAlign::right:
    return PANGO_ALIGN_RIGHT;
  case TextAlign::left:
    break;
  }
  return PANGO_ALIGN_LEFT;
}

} // namespace

Layout make_layout(const std::string& words, const TextStyle& style, double width_mm) {
  assert(style.size_pt > 0.0 && width_mm >= 0.0);
  const Context context = make_context();
  Layout layout(pango_layout_new(context.get()));
  PangoFontDescription* font = pango_font_description_from_string("DejaVu Sans");
  pango_font_description_set_weight(font, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_size(font, std::max(1, static_cast<int>(std::lround(style.size_pt * PANGO_SCALE))));
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  char* const valid = g_utf8_make_valid(words.data(), static_cast<gssize>(words.size()));
  pango_layout_set_text(layout.get(), valid, -1);
  g_free(valid);
  if (width_mm > 0.0) {
    pango_layout_set_width(layout.get(), static_cast<int>(std::floor(width_mm / mm_per_pt * PANGO_SCALE)));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(layout.get(), to_pango(style.align));
  } else {
    pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
  }
  return layout;
}

} // namespace phasewright::paper
