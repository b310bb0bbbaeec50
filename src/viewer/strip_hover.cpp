// What the strip's curves come to under the pointer.
#include "scene/model.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

std::string lift_words(double mm, Units units) {
  constexpr double shut_mm = 0.005; // what two decimals would call 0.00
  return mm < shut_mm ? std::string("shut") : "open " + length_text(mm, units);
}

} // namespace

void strip_hover(Frame& frame, const PlotFrame& plot) {
  Ui& ui = frame.ui;
  const ImVec2 pointer = ImGui::GetIO().MousePos;
  if (pointer.x < plot.left || pointer.x > plot.right) return;
  const State& solid = shown_state(frame.bench, frame.view.shown);
  const bool both = frame.view.shown == Shown::both && frame.bench.planned_differs();
  const auto deg = static_cast<std::size_t>(std::clamp(std::lround(plot.deg(pointer.x)), 0L, 720L));
  const auto at = [deg](const std::vector<float>& curve) { return curve[std::min(deg, curve.size() - 1)]; };
  const Units units = frame.view.units;
  // Lifts and piston as the mechanics have them for this cylinder.
  const double crank_deg = static_cast<double>(deg) + own_delay_deg(frame.bench, frame.view);
  const int cylinder = frame.view.cylinder;
  const auto lift = [&](const State& state, ValveKind kind) {
    return lift_words(state.mechanism.valve_lift_mm(kind, cylinder, crank_deg), units);
  };
  std::vector<std::string> rows;
  for (const ValveKind kind : valve_kinds) {
    const auto k = static_cast<std::size_t>(kind);
    if (solid.mechanism.motion(kind) == nullptr) continue;
    std::string row = fmt::format("{} {}", to_word(kind), lift(solid, kind));
    if (both) row += fmt::format(", now {}", lift(frame.bench.fitted(), kind));
    rows.push_back(std::move(row));
    if (solid.curves.clearance_mm[k].empty()) continue;
    const auto gap_mm = static_cast<double>(at(solid.curves.clearance_mm[k]));
    if (gap_mm < greatest_gap_mm)
      rows.push_back(fmt::format("{} to piston {}", to_word(kind), length_text(gap_mm, units)));
  }
  rows.push_back(
      fmt::format("piston {} down", length_text(solid.mechanism.piston_drop_mm(cylinder, crank_deg), units)));
  const float x = std::round(plot.x(static_cast<double>(deg))) + 0.5f;
  ui.list->AddLine({x, plot.top}, {x, plot.bottom}, with_alpha(ui.colours.ink, 0.35f), std::max(1.0f, ui.scale));
  hint_under_pointer(ui, fmt::format("{}{}°, {}", of_cylinder(frame.view), deg, crank_words(static_cast<double>(deg))),
                     rows);
}

} // namespace phasewright::viewer
