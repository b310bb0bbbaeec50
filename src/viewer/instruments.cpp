#include "viewer/instruments.hpp"

#include "bench/end_float.hpp"
#include "geometry/angle.hpp"

#include <algorithm>

namespace phasewright::viewer {

namespace {

void read_wheel(const Workbench& bench, SceneInstruments& on) {
  const Found<DegreeRead>& found = *bench.findings().degree;
  if (!found) return;
  on.wheel_zero_deg = -found->wheel.tdc_correction_deg;
  const auto pair = std::ranges::find(found->wheel.pairs, false, &WheelZero::Pair::left_out);
  if (pair == found->wheel.pairs.end()) return;
  const auto [before_deg, after_deg] = bench.document().measured.stop_deg[pair->reading];
  on.stop_deg = wrap_360(after_deg - before_deg) / 2.0; // the wheel may have gone through 360 between them
}

} // namespace

bool has_instruments(Step step) {
  return step == Step::alignment || step == Step::end_float || step == Step::readings;
}

SceneInstruments instruments_on(const Workbench& bench, const View& view) {
  SceneInstruments on;
  if (!view.instruments || view.apart > 0.0 || view.subject == NamedView::key) return on;
  switch (view.step) {
  case Step::alignment:
    on.straight_edge = true;
    on.gap = bench.document().measured.gap;
    break;
  case Step::end_float:
    on.dial_at_end = true;
    if (const Found<EndFloat>& found = *bench.findings().end_float; found) on.end_float_mm = found->float_mm;
    break;
  case Step::readings:
    on.wheel = on.stop = on.dial_at_valve = true;
    read_wheel(bench, on);
    break;
  default:
    break;
  }
  return on;
}

} // namespace phasewright::viewer
