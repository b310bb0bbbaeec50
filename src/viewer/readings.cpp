#include "viewer/readings.hpp"

#include "geometry/angle.hpp"

#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::size_t most_readings = 24;

} // namespace

double new_reading_deg(const View& view) {
  return view.reading.crank_deg.value_or(std::round(wrap_720(view.crank_deg) * 10.0) / 10.0);
}

bool can_add_reading(const Workbench& bench, const View& view) {
  return view.reading.clearance_mm > 0.0 && bench.document().readings.size() < most_readings;
}

void add_reading(const Workbench& bench, View& view, Actions& actions) {
  if (!can_add_reading(bench, view)) return;
  std::vector<ClearanceReading> next = bench.document().readings;
  next.push_back({view.reading.valve, new_reading_deg(view), view.reading.clearance_mm});
  actions.readings = std::move(next);
  actions.what = "reading added";
  actions.field = "reading.new";
  view.reading = NewReading{.valve = view.reading.valve};
}

void remove_reading(const Workbench& bench, std::size_t index, Actions& actions) {
  std::vector<ClearanceReading> next = bench.document().readings;
  if (index >= next.size()) return;
  next.erase(next.begin() + static_cast<std::ptrdiff_t>(index));
  actions.readings = std::move(next);
  actions.what = "reading taken away";
}

} // namespace phasewright::viewer
