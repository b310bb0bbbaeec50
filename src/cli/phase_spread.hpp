// What phase to expect before anything is fitted, for a person and for a script.
#pragma once

#include "bench/spread.hpp"
#include "cli/json.hpp"

#include <string>
#include <vector>

namespace phasewright::cli {

[[nodiscard]] std::string spread_page(const Engine& engine, const Build& build, const std::vector<Spread>& spreads);

// By camshaft.
[[nodiscard]] Json spread_json(const Engine& engine, const std::vector<Spread>& spreads);

} // namespace phasewright::cli
