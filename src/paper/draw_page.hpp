// A page drawn by cairo. Only this floor's own files see it.
#pragma once

#include "paper/page.hpp"

#include <cairo.h>

namespace phasewright::paper {

// `cairo` must be in the page's millimetres. Throws std::runtime_error when cairo gives up, as it does out of memory.
void draw_page(cairo_t* cairo, const Page& page);

// Throws what cairo says is wrong, if anything.
void expect_sound(cairo_status_t status);

} // namespace phasewright::paper
