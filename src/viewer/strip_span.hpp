// Which part of the cycle the strip shows.
#pragma once

#include "viewer/view.hpp"

namespace phasewright::viewer {

// Whole degrees, so that curves sampled at each of them begin at the strip's edge.
struct StripSpan {
  double low_deg = 0;
  double high_deg = 720;

  [[nodiscard]] bool holds(double deg) const { return deg >= low_deg && deg <= high_deg; }
};

[[nodiscard]] StripSpan strip_span(const View& view);
// How many times as large as the whole cycle; 1 to 12.
[[nodiscard]] double strip_times(const View& view);

// One step closer or (negative) farther, so that `about_deg` stays where it is.
void zoom_strip(View& view, int closer, double about_deg);
[[nodiscard]] bool can_zoom_strip(const View& view, int closer);

// Moves on by a leaf when the crank, counted as the strip counts, has left what is shown. Not while the strip is held,
// or it would run away from the pointer.
void follow_crank(View& view, double own_deg);

} // namespace phasewright::viewer
