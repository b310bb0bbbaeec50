// What may not be on a printed page: text that leaves it, lies over other text or has a line drawn through it.
#pragma once

#include "paper/page.hpp"

#include <string>
#include <vector>

namespace phasewright::testing {

// One line a fault. `margin_mm`: how far from the page's edge everything stays, as printers leave a border free.
[[nodiscard]] std::vector<std::string> page_faults(const paper::Page& page, double margin_mm = 5.0);

// The texts of a page, in the order they were drawn.
[[nodiscard]] std::vector<std::string> texts_of(const paper::Page& page);

// A path as straight pieces, arcs in steps of less than 0.02 mm of error; each piece two points.
[[nodiscard]] std::vector<std::array<glm::dvec2, 2>> pieces_of(const paper::Path& path);

} // namespace phasewright::testing
