// Text laid out by pango. Only this floor's own files see it.
#pragma once

#include "paper/page.hpp"

#include <pango/pangocairo.h>

#include <memory>
#include <string>

namespace phasewright::paper {

// Pango lays text out in points; the page is in millimetres.
inline constexpr double mm_per_pt = 25.4 / 72.0;

struct Unreference {
  void operator()(gpointer object) const { g_object_unref(object); }
};
using Layout = std::unique_ptr<PangoLayout, Unreference>;

// `width_mm` 0 = one line. Measured and drawn in the same way on every kind of paper: nothing is fitted to pixels, and
// the words are laid out alike whatever language the machine speaks. Bytes that are not UTF-8 are shown as U+FFFD.
[[nodiscard]] Layout make_layout(const std::string& words, const TextStyle& style, double width_mm);

} // namespace phasewright::paper
