// What may be right but should be looked at, said with every answer.
#pragma once

#include "files/files.hpp"

#include <string>
#include <vector>

namespace phasewright::cli {

// Of the files, as Opened has them, and of the lobes: a line each, no full stop.
[[nodiscard]] std::vector<std::string> cautions_over(const Opened& opened);

} // namespace phasewright::cli
