// A lobe table's rows as a smooth curve, and the rows' numbers in words.
#pragma once

#include "geometry/spline.hpp"
#include "parts/engine.hpp"
#include "parts/problem.hpp"

#include <optional>
#include <string>

namespace phasewright {

// The table's own rows say which are wrong when read from a file; here only what would break the spline is refused.
[[nodiscard]] std::optional<Problem> table_fault(const LobeTable& table, const std::string& key);

// Lift over cam angle in radians. Rows of no lift beyond the lobe's ends say where the base circle is, not how the
// flank runs: the spline begins and ends with the last of them, flat. Rounding is taken out first, as far as the last
// digit allows: a hundredth of a millimetre, at rows a degree apart, is a hundred in the second derivative, which the
// lobe's curvature goes by. Only of a table without table_fault.
[[nodiscard]] FlatEndedSpline spline_through(const LobeTable& table);

// "row 33": the row nearest to that cam angle, counted from 1.
[[nodiscard]] std::string nearest_row(const LobeTable& table, double cam_deg);

} // namespace phasewright
