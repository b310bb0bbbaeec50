// Lift readings that do not lie on the smooth curve through their neighbours: mis-read or mis-typed.
#pragma once

#include <cstddef>
#include <vector>

namespace phasewright {

struct StrayReading {
  std::size_t row = 0; // from 0
  double off_mm = 0;   // above (+) or below (-) the curve through its neighbours
};

// Rows that stand off by more than can come from the lobe's own shape, in their order; at most 20 of them.
//
// A row's estimate is the value at its place of the polynomial of seventh degree through its four neighbours on either
// side, whatever their steps. For even steps the difference is the eighth difference over 70: a single bad row shows in
// full, and what a smooth lobe leaves is small, because even a step of its second or fourth derivative spreads over
// many rows. Before the first row and after the last the lobe lies on the base circle.
//
// A row stands off when the difference is more than 0.05 mm (rounding to 0.01 mm leaves at most 0.018 mm; the corner
// where a ramp begins up to 0.012 mm for each degree of step), more than 0.0075 mm for each square degree of the widest
// step near it (what the ends of a short, high lobe leave), and, with 40 rows or more, more than six times the
// middle difference of the whole table (an unsteady hand). So 0.05 mm at steps of 1 and 2 degrees, 0.19 mm at 5, 0.75
// mm at 10. A bad row is surely found from somewhat more than that: 0.08 mm, 0.3 mm at 5 degrees (measured on lobes
// rounded to 0.01 mm; the tests hold it). The worst row is put right by its estimate before the next is looked for,
// since it draws its neighbours' estimates with it. With fewer than 12 rows off the base circle nothing can be told,
// and nothing is said.
[[nodiscard]] std::vector<StrayReading> stray_readings(const std::vector<double>& cam_deg,
                                                       const std::vector<double>& lift_mm);

} // namespace phasewright
