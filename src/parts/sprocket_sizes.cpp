#include "parts/sprocket_sizes.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright {

SprocketSizes sprocket_sizes(const Chain& chain, int teeth) {
  assert(teeth >= 6 && chain.rows >= 1);
  const double p = chain.pitch_mm;
  const auto form = [&](GapForm gap) {
    return tooth_form(p, chain.roller_mm, chain.inner_width_mm, chain.rows, teeth, gap);
  };
  SprocketSizes sizes;
  sizes.teeth = teeth;
  sizes.smallest_gap = form(GapForm::smallest);
  sizes.largest_gap = form(GapForm::largest);
  const ToothForm& tooth = sizes.smallest_gap; // what follows is the same for both

  const double half_tooth_rad = pi / teeth;
  // From the middle to the middle of a pitch polygon's side.
  const double apothem_mm = tooth.pitch_radius_mm * std::cos(half_tooth_rad);
  sizes.pitch_diameter_mm = 2.0 * tooth.pitch_radius_mm;
  sizes.tip_diameter_mm = {2.0 * tooth.least_tip_radius_mm, 2.0 * tooth.greatest_tip_radius_mm};
  sizes.root_diameter_mm = 2.0 * tooth.root_radius_mm;
  sizes.turned_diameter_mm = 2.0 * apothem_mm + 0.6 * p;
  sizes.tooth_height_mm = {tooth.least_tip_radius_mm - apothem_mm, tooth.greatest_tip_radius_mm - apothem_mm};

  // Two gaps of an odd-toothed sprocket lie half a tooth short of opposite.
  const double across_mm = sizes.pitch_diameter_mm * (teeth % 2 == 0 ? 1.0 : std::cos(half_tooth_rad / 2.0));
  sizes.measuring_pin_mm = chain.roller_mm;
  sizes.over_pins_mm = across_mm + sizes.measuring_pin_mm;
  sizes.caliper_mm = across_mm - chain.roller_mm;

  sizes.tooth_width_mm = tooth.width_mm;
  sizes.width_over_rows_mm = (chain.rows - 1) * chain.transverse_pitch_mm + tooth.width_mm;
  sizes.side_relief_mm = {0.10 * p, 0.15 * p};
  sizes.least_side_radius_mm = tooth.side_radius_mm;
  sizes.shroud_limit_mm = 2.0 * apothem_mm - 1.04 * chain.plate_height_mm - 0.76;
  sizes.radial_run_out_mm = std::min(std::max(0.0008 * sizes.root_diameter_mm + 0.08, 0.15), 0.76);
  sizes.axial_run_out_mm = std::min(0.0009 * sizes.root_diameter_mm + 0.08, 1.14);
  return sizes;
}

double side_play_mm(const Chain& chain) {
  return chain.inner_width_mm - tooth_width_mm(chain.pitch_mm, chain.inner_width_mm, chain.rows);
}

} // namespace phasewright
