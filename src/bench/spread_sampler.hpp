// Draws a great many builds from a model and says how their phases lie: the propagation of distributions of
// JCGM 101:2008, clause 7, for rectangular variables.
#pragma once

#include "bench/spread.hpp"
#include "bench/spread_model.hpp"

namespace phasewright {

// Builds are drawn in blocks of this many, each from a generator of its own.
inline constexpr std::size_t spread_block = 512;

// Everything of Spread but `camshaft` and `parts`. Percentiles are order statistics of the drawn phases, not read off
// bins: of M phases in rising order that of rank M p / 100, rounded up. `options` within the ranges of SpreadOptions.
[[nodiscard]] Spread sample_spread(const SpreadModel& model, const SpreadOptions& options);

} // namespace phasewright
