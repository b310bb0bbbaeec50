// The cylinder whose valves, piston and cycle are shown, and how it counts the crank.
#pragma once

#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

#include <string>

namespace phasewright::viewer {

// By how many crank degrees it comes after No. 1; 0 to 720.
[[nodiscard]] double own_delay_deg(const Workbench& bench, const View& view);
// How far the crank is past that cylinder's own overlap TDC; any finite angle.
[[nodiscard]] double own_crank_deg(const Workbench& bench, const View& view);
// "No. 3, " before a figure that counts from its own dead centres; nothing for No. 1, from which all else counts.
[[nodiscard]] std::string of_cylinder(const View& view);

// The one that fires `by` after it.
void next_cylinder(const Workbench& bench, View& view, int by, Actions& actions);

} // namespace phasewright::viewer
