#include "viewer/readings.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::size_t most_readings = 24;

} // namespace

double new_reading_deg(const View& view) {
  return view.reading.crank_deg.value_or(std::round(wrap_720(view.crank_deg) * 10.0) / 10.0);
}

std::string reading_fault(const Workbench& bench, const View& view) {
  if (view.turning == Turning::backward)
    return fmt::format("turned back: turn forward {} before reading", deg_text(rounded_up(view.turn_forward_deg, 0.1)));
  if (bench.document().readings.size() >= most_readings)
    return fmt::format("{} readings are all there is room for", most_readings);
  const std::optional<ClearanceModel>& model = bench.fitted().model;
  if (!model || !model->has(view.reading.valve)) return {};
  const double drawn_mm =
      model->at(view.reading.valve, new_reading_deg(view)) - model->fit(view.reading.valve).correction_mm;
  if (drawn_mm <= felt_mm) return {};
  return fmt::format("too far to feel: by the drawing {} lie between {} valve and piston there",
                     length_text(drawn_mm, view.units), to_word(view.reading.valve));
}

bool can_add_reading(const Workbench& bench, const View& view) {
  return view.reading.clearance_mm > 0.0 && reading_fault(bench, view).empty();
}

void add_reading(const Workbench& bench, const View& view, Actions& actions) {
  if (!can_add_reading(bench, view)) return;
  std::vector<ClearanceReading> next = bench.document().readings;
  next.push_back({view.reading.valve, new_reading_deg(view), view.reading.clearance_mm});
  actions.readings = std::move(next);
  actions.what = "reading added";
  actions.field = "reading.new.gap";
  actions.clears_reading = true;
}

void remove_reading(const Workbench& bench, std::size_t index, Actions& actions) {
  std::vector<ClearanceReading> next = bench.document().readings;
  if (index >= next.size()) return;
  next.erase(next.begin() + static_cast<std::ptrdiff_t>(index));
  actions.readings = std::move(next);
  actions.what = "reading taken away";
}

} // namespace phasewright::viewer
