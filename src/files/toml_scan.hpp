// A look over a TOML text before it is parsed, for what would cost a parser much memory or a deep stack.
#pragma once

#include "parts/problem.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace phasewright {

// Nesting, dots in a key and number of values within limits.hpp? Right for every text that is TOML, and for one that is
// not up to the place where the parser will stop.
[[nodiscard]] std::optional<Problem> scan_toml(std::string_view text, const std::string& file);

} // namespace phasewright
