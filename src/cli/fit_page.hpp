// What the pages of alignment, end float and keys have in common.
#pragma once

#include "cli/commands.hpp"

#include <string>
#include <vector>

namespace phasewright::cli {

// A page: faults first, each on a line "OUT OF LIMITS: ..."; then the body, the advice, each piece a paragraph line,
// and whose word comes first. Faults also decide the exit code, and stand in the JSON as `within_limits`,
// `out_of_limits`.
[[nodiscard]] Answer fit_answer(const std::vector<std::string>& faults, const std::string& body,
                                const std::vector<std::string>& advice, Json json);

[[nodiscard]] Json words_json(const std::vector<std::string>& words);
[[nodiscard]] Json figures_json(const std::vector<double>& figures);

} // namespace phasewright::cli
