// The build sheet as one web page.
#pragma once

#include "paper/sheet.hpp"

#include <string>

namespace phasewright::paper {

// Whole in itself: drawings within it, nothing fetched, no script. By day and by night, for a phone and for a printer.
[[nodiscard]] std::string sheet_html(const BuildSheet& sheet);

} // namespace phasewright::paper
