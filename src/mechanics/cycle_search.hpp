// The least of a figure over the cycle, where looking is dear.
#pragma once

#include "geometry/angle.hpp"

#include <boost/math/tools/minima.hpp>

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

namespace phasewright {

struct CycleLeast {
  double mm = 0;
  double at_crank_deg = 0; // 0 to 720
};

// Looks at every step of the cycle, from both TDCs outward, but where it is told that the figure cannot be below the
// least found so far; then goes down into every valley that might hold the least.
class CycleSearch {
public:
  static constexpr double step_deg = 3.0;
  static constexpr std::size_t steps = 240;
  static constexpr double not_seen_mm = 1e300; // also what a figure may be where it is nothing

  [[nodiscard]] static constexpr double at_deg(std::size_t step) { return static_cast<double>(step) * step_deg; }
  [[nodiscard]] static constexpr std::size_t before(std::size_t step) { return (step + steps - 1) % steps; }
  [[nodiscard]] static constexpr std::size_t after(std::size_t step) { return (step + 1) % steps; }

  // `figure(crank_deg)`: -3 to 723. `at_least(step)`: what it is not below there. `may_fall(step)`: how much lower than
  // at that step it may be before the next one either way.
  template <class Figure, class AtLeast, class MayFall>
  [[nodiscard]] static CycleLeast find(Figure figure, AtLeast at_least, MayFall may_fall);
};

template <class Figure, class AtLeast, class MayFall>
CycleLeast CycleSearch::find(Figure figure, AtLeast at_least, MayFall may_fall) {
  std::vector<double> seen_mm(steps, not_seen_mm);
  CycleLeast best{not_seen_mm, 0.0};
  const auto visit = [&](std::size_t step) {
    if (at_least(step) >= best.mm) return;
    seen_mm[step] = figure(at_deg(step));
    if (seen_mm[step] < best.mm) best = {seen_mm[step], at_deg(step)};
  };
  constexpr std::size_t half = steps / 2;
  visit(0);
  visit(half);
  for (std::size_t out = 1; out <= half / 2; ++out) {
    visit(out);
    visit(steps - out);
    if (out == half / 2) break; // where the two halves meet
    visit(half + out);
    visit(half - out);
  }
  for (std::size_t step = 0; step < steps; ++step) {
    const auto [less_mm, more_mm] = std::minmax(seen_mm[before(step)], seen_mm[after(step)]);
    const double here_mm = seen_mm[step];
    if (here_mm == not_seen_mm || here_mm > less_mm || (here_mm == less_mm && here_mm == more_mm)) continue;
    // A valley is not deeper than its steeper side carried on.
    if (here_mm - may_fall(step) >= best.mm || (more_mm < not_seen_mm && 2.0 * here_mm - more_mm >= best.mm)) continue;
    const auto [at, mm] =
        boost::math::tools::brent_find_minima([&](double crank_deg) { return std::fmin(figure(crank_deg), 1e9); },
                                              at_deg(step) - step_deg, at_deg(step) + step_deg, 30);
    if (mm < best.mm) best = {mm, wrap_720(at)};
  }
  return best;
}

} // namespace phasewright
