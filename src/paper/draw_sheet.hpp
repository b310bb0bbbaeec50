// The build sheet on paper.
#pragma once

#include "paper/page.hpp"
#include "paper/sheet.hpp"

namespace phasewright::paper {

// Two or three pages; as many more as long tables need.
[[nodiscard]] Print draw_sheet(const BuildSheet& sheet, PaperSize size);

} // namespace phasewright::paper
