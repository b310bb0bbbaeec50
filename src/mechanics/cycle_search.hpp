// The least of a figure over the cycle, where looking is dear.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

namespace phasewright {

struct CycleLeast {
  double mm = 0;
  double at_crank_deg = 0; // 0 to 720
};

// Looks at every step of the cycle unless it is told that the figure cannot be below the least found so far, from both
// TDCs outward, then goes down into every valley that might hold the least.
class CycleSearch {
public:
  static constexpr double step_deg = 3.0;
  static constexpr std::size_t steps = 240;

  // Crank angle of a step, 0 to 717.
  [[nodiscard]] static constexpr double at_deg(std::size_t step) { return static_cast<double>(step) * step_deg; }

  // `look(step)`: the figure there. `at_least(step)`: a bound that it is not below, cheap. `figure(crank_deg)`: the
  // figure anywhere, for the way down; crank angles -3 to 723.
  template <class Look, class AtLeast, class Figure>
  [[nodiscard]] static CycleLeast find(Look look, AtLeast at_least, Figure figure);

private:
  static CycleLeast go_down(const std::function<double(double)>& figure, double middle_deg, double middle_mm);
};

template <class Look, class AtLeast, class Figure>
CycleLeast CycleSearch::find(Look look, AtLeast at_least, Figure figure) {
  constexpr double not_looked_mm = 1e300;
  std::vector<double> seen_mm(steps, not_looked_mm);
  CycleLeast best{not_looked_mm, 0.0};
  const auto visit = [&](std::size_t step) {
    if (at_least(step) >= best.mm) return;
    seen_mm[step] = look(step);
    if (seen_mm[step] < best.mm) best = {seen_mm[step], at_deg(step)};
  };
  constexpr std::size_t half = steps / 2;
  visit(0);
  visit(half);
  for (std::size_t out = 1; out <= half / 2; ++out) {
    visit(out);
    visit(steps - out);
    if (out == half / 2) break; // where the two TDCs' halves meet
    visit(half + out);
    visit(half - out);
  }
  for (std::size_t step = 0; step < steps; ++step) {
    const double before_mm = seen_mm[(step + steps - 1) % steps];
    const double here_mm = seen_mm[step];
    const double after_mm = seen_mm[(step + 1) % steps];
    if (here_mm == not_looked_mm || here_mm > before_mm || here_mm > after_mm) continue;
    // Between its neighbours a valley is not deeper than the steeper side carried on.
    const double rise_mm = (before_mm < after_mm ? before_mm : after_mm) - here_mm;
    const double steep_mm = before_mm == not_looked_mm || after_mm == not_looked_mm
                                ? not_looked_mm
                                : (before_mm > after_mm ? before_mm : after_mm) - here_mm;
    if (rise_mm == 0.0 && steep_mm == 0.0) continue; // level ground
    if (steep_mm != not_looked_mm && here_mm - steep_mm >= best.mm) continue;
    const CycleLeast valley = go_down(figure, at_deg(step), here_mm);
    if (valley.mm < best.mm) best = valley;
  }
  return best;
}

} // namespace phasewright
