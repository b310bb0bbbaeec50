// The closed gap of one kind of valve from clearances read on the bench.
#pragma once

#include "mechanics/clearance.hpp"
#include "mechanics/uncertainty.hpp"

#include <span>

namespace phasewright {

// One reading as the fit wants it (unit: mm).
struct SingleGap {
  double correction_mm = 0; // what it alone would add to the drawn gap
  double u_mm = 0;          // its own standard uncertainty, more than 0
  // What one standard uncertainty of the wheel's zero makes of it, with its sign: an error that all readings share, and
  // that readings at both sides of the least gap tell apart.
  double shared_mm = 0;
};

// A correction of the drawn gap beyond this is wild (unit: mm). Some six dimensions make up a gap (deck, compression
// height, rod, stroke, seat, head gasket); all out by their limit the same way they come to six limits. Ten, and never
// less than 2 mm, which a faced head, a thicker gasket and sunk seats together may take: beyond it a wrong angle, sign
// or unit in a reading is likelier than the drawing. Common practice, no source.
[[nodiscard]] double wild_over_mm(double dimension_limit_mm);

// Weighted least squares for one unknown: each reading weighs by 1/u^2, its own and the shared part together. What each
// has of its own averages out, what they share does not (JCGM 100:2008, 5.2.2). They scatter more than their
// uncertainties explain when the weighted sum of squares passes the 95 % point of chi-squared; u is then widened by the
// Birge ratio (R. T. Birge, Physical Review 40 (1932) 207; from memory). No readings: `unread_u_mm`.
[[nodiscard]] GapFit fit_gap(std::span<const SingleGap> readings, double unread_u_mm);

} // namespace phasewright
