// The smoothest figures that readings of limited fineness allow.
#pragma once

#include <span>
#include <vector>

namespace phasewright {

// `y` with the noise of its last digit taken out, so that second derivatives may be taken: of all figures whose mean
// square distance from `y` is `u` squared, about those with the least third divided differences (Whittaker 1923 with
// the third difference; how far to go: Reinsch 1967, "Smoothing by spline functions"; from memory). No figure moves by
// more than `most`; the first and the last stay, and beyond them the figures go on level, as FlatEndedSpline has it.
// `x` strictly rising; fewer than 5 points, or u or most of 0, leave `y` as it is.
[[nodiscard]] std::vector<double> smoothed(std::span<const double> x, std::span<const double> y, double u, double most);

} // namespace phasewright
