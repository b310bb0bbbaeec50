// What the strip's curves come to under the pointer.
#include "scene/model.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

std::string lift_words(float mm, Units units) {
  constexpr float shut_mm = 0.005f; // what two decimals would call 0.00
  return mm < shut_mm ? std::string("shut") : "open " + length_text(static_cast<double>(mm), units);
}

} // namespace

void strip_hover(Frame& frame, const PlotFrame& plot) {
  Ui& ui = frame.ui;
  const ImVec2 pointer = ImGui::GetIO().MousePos;
  if (pointer.x < plot.left || pointer.x > plot.right) return;
  const State& solid = shown_state(frame.bench, frame.view.shown);
  const bool both = frame.view.shown == Shown::both && frame.bench.planned_differs();
  const std::vector<float>& drop_mm = frame.bench.piston_drop_mm();
  const auto deg = static_cast<std::size_t>(std::clamp(std::lround(plot.deg(pointer.x)), 0L, 720L));
  const auto at = [deg](const std::vector<float>& curve) { return curve[std::min(deg, curve.size() - 1)]; };
  const Units units = frame.view.units;
  std::vector<std::string> rows;
  for (const ValveKind kind : valve_kinds) {
    const auto k = static_cast<std::size_t>(kind);
    if (solid.curves.lift_mm[k].empty()) continue;
    std::string row = fmt::format("{} {}", to_word(kind), lift_words(at(solid.curves.lift_mm[k]), units));
    if (both && !frame.bench.fitted().curves.lift_mm[k].empty())
      row += fmt::format(", now {}", lift_words(at(frame.bench.fitted().curves.lift_mm[k]), units));
    rows.push_back(std::move(row));
    if (solid.curves.clearance_mm[k].empty()) continue;
    const auto gap_mm = static_cast<double>(at(solid.curves.clearance_mm[k]));
    if (gap_mm < greatest_gap_mm)
      rows.push_back(fmt::format("{} to piston {}", to_word(kind), length_text(gap_mm, units)));
  }
  if (!drop_mm.empty())
    rows.push_back(fmt::format("piston {} down", length_text(static_cast<double>(at(drop_mm)), units)));
  const float x = std::round(plot.x(static_cast<double>(deg))) + 0.5f;
  ui.list->AddLine({x, plot.top}, {x, plot.bottom}, with_alpha(ui.colours.ink, 0.35f), std::max(1.0f, ui.scale));
  hint_under_pointer(ui, fmt::format("{}°, {}", deg, crank_words(static_cast<double>(deg))), rows);
}

} // namespace phasewright::viewer
