// Least and greatest over a tooth of what repeats with every tooth.
#pragma once

#include "mechanics/extent.hpp"

#include <boost/math/tools/minima.hpp>

#include <cmath>

namespace phasewright {

// Of a continuous function with the period `tooth`: looked for at even steps, then refined to about 1e-12 of a step.
// Not refined past another hollow within a step.
template <class Function>
[[nodiscard]] Extent over_tooth(const Function& function, double tooth) {
  constexpr int looks = 48;
  constexpr int minima_bits = 40;
  double least_at = 0.0;
  double greatest_at = 0.0;
  Extent found;
  found.least = found.greatest = function(0.0);
  for (int i = 1; i < looks; ++i) {
    const double at = tooth * i / looks;
    const double value = function(at);
    if (value < found.least) found.least = value, least_at = at;
    if (value > found.greatest) found.greatest = value, greatest_at = at;
  }
  const double step = tooth / looks;
  using boost::math::tools::brent_find_minima;
  const auto low = brent_find_minima(function, least_at - step, least_at + step, minima_bits);
  const auto high =
      brent_find_minima([&](double at) { return -function(at); }, greatest_at - step, greatest_at + step, minima_bits);
  found.least = std::fmin(found.least, low.second);
  found.greatest = std::fmax(found.greatest, -high.second);
  return found;
}

} // namespace phasewright
