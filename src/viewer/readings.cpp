#include "viewer/readings.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::size_t most_readings = 24;

} // namespace

// As the file counts it, from No. 1's overlap TDC, whatever cylinder is shown.
std::optional<double> new_reading_deg(const View& view) {
  if (view.reading.crank_deg || view.crank_hidden) return view.reading.crank_deg;
  return std::round(wrap_720(view.crank_deg) * 10.0) / 10.0;
}

std::string reading_fault(const Workbench& bench, const View& view) {
  if (view.turning == Turning::backward)
    return fmt::format("turned back: turn forward {} before reading", deg_text(rounded_up(view.turn_forward_deg, 0.1)));
  if (bench.document().measured.clearance.size() >= most_readings)
    return fmt::format("{} readings are all there is room for", most_readings);
  const std::optional<ClearanceModel>& model = bench.fitted().standing.model;
  const std::optional<double> crank_deg = new_reading_deg(view);
  if (!model || !model->has(view.reading.valve) || !crank_deg) return {};
  const double drawn_mm = model->at(view.reading.valve, *crank_deg) - model->fit(view.reading.valve).correction_mm;
  if (drawn_mm <= felt_mm) return {};
  return fmt::format("too far to feel: by the drawing {} lie between {} valve and piston there",
                     length_text(drawn_mm, view.units), to_word(view.reading.valve));
}

bool can_add_reading(const Workbench& bench, const View& view) {
  return view.reading.clearance_mm > 0.0 && new_reading_deg(view) && reading_fault(bench, view).empty();
}

void add_reading(const Workbench& bench, const View& view, Actions& actions) {
  if (!can_add_reading(bench, view)) return;
  Measured next = bench.document().measured;
  next.clearance.push_back({view.reading.valve, *new_reading_deg(view), view.reading.clearance_mm});
  actions.measured = std::move(next);
  actions.what = "reading added";
  actions.field = "reading.new.gap";
  actions.clears = Actions::Clears::reading;
}

void remove_reading(const Workbench& bench, std::size_t index, Actions& actions) {
  Measured next = bench.document().measured;
  if (index >= next.clearance.size()) return;
  next.clearance.erase(next.clearance.begin() + static_cast<std::ptrdiff_t>(index));
  actions.measured = std::move(next);
  actions.what = "reading taken away";
}

bool can_add_lobe(const Workbench& bench, const View& view) {
  const NewLobe& lobe = view.lobe;
  return lobe.lift_mm && lobe.opens_deg && lobe.closes_deg && bench.document().measured.lobe.size() < most_readings;
}

void add_lobe(const Workbench& bench, const View& view, Actions& actions) {
  if (!can_add_lobe(bench, view)) return;
  const NewLobe& lobe = view.lobe;
  Measured next = bench.document().measured;
  next.lobe.push_back({lobe.valve, lobe.cylinder, *lobe.lift_mm, lobe.at, *lobe.opens_deg, *lobe.closes_deg});
  actions.measured = std::move(next);
  actions.what = "lobe reading added";
  actions.field = "lobe.new.closes";
  actions.clears = Actions::Clears::lobe;
}

void remove_lobe(const Workbench& bench, std::size_t index, Actions& actions) {
  Measured next = bench.document().measured;
  if (index >= next.lobe.size()) return;
  next.lobe.erase(next.lobe.begin() + static_cast<std::ptrdiff_t>(index));
  actions.measured = std::move(next);
  actions.what = "lobe reading taken away";
}

} // namespace phasewright::viewer
