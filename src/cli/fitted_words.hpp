// What is fitted, as pages say it.
#pragma once

#include "parts/build.hpp"

#include <string>

namespace phasewright::cli {

// What is fitted of one of the causes of PhasePart, of that camshaft; empty for what this engine has not got.
[[nodiscard]] std::string cause_words(const std::string& cause, const Engine& engine, const Fitted& fitted,
                                      const std::string& camshaft);

} // namespace phasewright::cli
