// A sprocket as its builder measures it: the sizes ISO 606 gives it for a chain and a number of teeth.
//
// Sources: ISO 606:2015, 5.3.2 (diameters), 5.4.2 (gap), 5.5.2 (tip), 5.6.2 (rim), 5.7 and 5.8 (run-out); the turned
// outside diameter is ANSI B29.1's. From memory, not read: the greatest shroud diameter, both run-outs and the tooth
// widths other than 0.95 b1. The measurement over pins is derived; its caliper twin is a chain maker's engineering
// page.
#pragma once

#include "geometry/tooth_form.hpp"
#include "parts/engine.hpp"

namespace phasewright {

// Least and greatest size (unit: mm).
struct SizeRange {
  double least_mm = 0;
  double greatest_mm = 0;
};

struct SprocketSizes {
  int teeth = 0;
  // The gap may have any form between these two.
  ToothForm smallest_gap;
  ToothForm largest_gap;

  double pitch_diameter_mm = 0;    // d
  SizeRange tip_diameter_mm;       // d_a
  double root_diameter_mm = 0;     // d_f = d - d1, nominal. ToothForm's outline lies a little lower, at d - 2 r_i, and
                                   // so measures less over pins and between gaps, by 0.01 d1 on the smallest gap
  double turned_diameter_mm = 0;   // outside diameter of a blank by ANSI B29.1; not always within d_a of ISO 606
  SizeRange tooth_height_mm;       // h_a, the tip above the pitch polygon, whose corners are the rollers' centres
  double measuring_pin_mm = 0;     // d_R = d1, diameter of the pins laid into opposite gaps; +0.01/0
  double over_pins_mm = 0;         // M_R; with odd teeth over the two gaps nearest opposite
  double caliper_mm = 0;           // between the bottoms of the same two gaps
  double tooth_width_mm = 0;       // b_f1, its greatest size
  double width_over_rows_mm = 0;   // b_fn = (n - 1) pt + b_f1
  SizeRange side_relief_mm;        // b_a, off each side at the tip
  double least_side_radius_mm = 0; // r_x
  double shroud_limit_mm = 0;      // d_g: a hub or shroud beside the teeth larger than this meets the plates
  double radial_run_out_mm = 0;    // greatest total reading against the root circle
  double axial_run_out_mm = 0;     // greatest total reading against the tooth faces
};

// Teeth 6 to 200; chain dimensions within the ranges of Chain.
[[nodiscard]] SprocketSizes sprocket_sizes(const Chain& chain, int teeth);

// How far the new chain can move sideways on its sprocket, from stop to stop: its least inner width b1 less the
// greatest tooth width b_f1 (unit: mm). Centred, it has half of this to each side. Rows of one chain move together:
// they and the teeth stand the same transverse pitch apart, so that one row's play is the whole chain's, and the
// narrower teeth that ISO 606 gives to two and three rows allow for faults of that pitch. What was cut narrower or is
// worn has more.
[[nodiscard]] double side_play_mm(const Chain& chain);

} // namespace phasewright
