#include "viewer/cylinder_shown.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::viewer {

double own_delay_deg(const Workbench& bench, const View& view) {
  return cylinder_delay_deg(bench.engine().block, view.cylinder);
}

double own_crank_deg(const Workbench& bench, const View& view) {
  return view.crank_deg - own_delay_deg(bench, view);
}

std::string of_cylinder(const View& view) {
  return view.cylinder == 1 ? std::string() : fmt::format("No. {}, ", view.cylinder);
}

void next_cylinder(const Workbench& bench, View& view, int by, Actions& actions) {
  const std::vector<int>& order = bench.engine().block.firing_order;
  const auto count = static_cast<int>(order.size());
  if (count == 0) return;
  const auto now = static_cast<int>(std::ranges::find(order, view.cylinder) - order.begin());
  view.cylinder = order[static_cast<std::size_t>((now + by + count) % count)];
  actions.fit_again = true;
}

} // namespace phasewright::viewer
