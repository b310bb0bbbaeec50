// How each lobe moves its follower: lift, velocity, acceleration and jerk against cam angle, one under another.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

// How one of the four is written: small figures in thousandths of a mm.
struct Quantity {
  const char* word;
  const char* unit;
  const char* thou_unit;
  double times;      // what the unit is of mm
  double thou_times; // of 0.0254 mm
  int decimals;
};

constexpr double per_thou = 1.0 / 0.0254;
constexpr std::array<Quantity, motions> quantities{{{"lift", "mm", "thou", 1.0, per_thou, 2},
                                                    {"velocity", "mm/°", "thou/°", 1.0, per_thou, 3},
                                                    {"acceleration", "µm/°²", "thou/°²", 1000.0, per_thou, 2},
                                                    {"jerk", "µm/°³", "thou/°³", 1000.0, per_thou, 3}}};

double times_of(const Quantity& quantity, Units units) {
  return units == Units::mm ? quantity.times : quantity.thou_times;
}
int decimals_of(const Quantity& quantity, Units units) {
  if (units == Units::mm) return quantity.decimals;
  return quantity.decimals == 2 && quantity.times == 1.0 ? 0 : quantity.decimals;
}

// What all four plots share.
struct Shared {
  float left;
  float right;
  double low_deg;
  double high_deg;
  std::array<std::optional<double>, 2> now_deg; // each lobe's angle past its nose; nothing outside the plots
};

Shared shared_of(const Frame& frame, ImVec2 at, float width) {
  double reach_deg = 10.0;
  for (const ValveKind kind : valve_kinds)
    if (const LobeCurve* curve = frame.bench.lobe_curve(kind))
      reach_deg = std::max({reach_deg, -curve->cam_deg.front(), curve->cam_deg.back()});
  reach_deg = std::ceil(reach_deg / 10.0) * 10.0;
  Shared shared{at.x + frame.ui.px(38), at.x + width - frame.ui.px(2), -reach_deg, reach_deg, {}};
  const State& state = shown_state(frame.bench, frame.view.shown);
  for (const ValvePose& valve : state.mechanism.pose(frame.view.crank_deg, frame.view.turning).valves)
    if (!only_wheel_deg(frame) && valve.cylinder == frame.view.cylinder &&
        std::fabs(valve.lobe_from_nose_deg) <= reach_deg)
      shared.now_deg[static_cast<std::size_t>(valve.valve)] = valve.lobe_from_nose_deg;
  return shared;
}

PlotFrame plot_of(const Frame& frame, const Shared& shared, std::size_t motion, double times, float top, float height) {
  PlotFrame plot{.left = shared.left,
                 .right = shared.right,
                 .top = top,
                 .bottom = top + height,
                 .low_deg = shared.low_deg,
                 .high_deg = shared.high_deg,
                 .high = 0.0,
                 .low = 0.0};
  for (const ValveKind kind : valve_kinds)
    if (const LobeCurve* curve = frame.bench.lobe_curve(kind)) {
      plot.high = std::max(plot.high, std::ranges::max(curve->value[motion]) * times);
      plot.low = std::min(plot.low, std::ranges::min(curve->value[motion]) * times);
    }
  const double room = std::max(plot.high - plot.low, 1e-9) * 0.06;
  plot.high += room;
  if (plot.low < 0.0) plot.low -= room;
  return plot;
}

void plot_grid(Ui& ui, const PlotFrame& plot) {
  for (const double deg : round_ticks(plot.low_deg, plot.high_deg, 8)) {
    const float x = std::round(plot.x(deg)) + 0.5f;
    ui.list->AddLine({x, plot.top}, {x, plot.bottom}, deg == 0.0 ? ui.colours.line : ui.colours.grid);
  }
  const std::vector<double> ticks = round_ticks(plot.low, plot.high, 4);
  const double step = ticks.size() > 1 ? ticks[1] - ticks[0] : 1.0;
  const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
  for (const double value : ticks) {
    const float y = std::round(plot.y(value)) + 0.5f;
    ui.list->AddLine({plot.left, y}, {plot.right, y}, value == 0.0 ? ui.colours.line : ui.colours.grid);
    const float half = ui.fonts.note->FontSize / 2.0f;
    if (y - half < plot.top - ui.px(3) || y + half > plot.bottom + ui.px(3)) continue;
    text_right(ui, {plot.left - ui.px(4), y - half}, ui.fonts.note, ui.colours.quiet, figure(value, decimals));
  }
}

void curve_of(Ui& ui, const PlotFrame& plot, const LobeCurve& curve, std::size_t motion, double times, ValveKind kind) {
  std::vector<ImVec2> points;
  for (std::size_t i = 0; i < curve.cam_deg.size(); ++i)
    points.push_back({plot.x(curve.cam_deg[i]), plot.y(curve.value[motion][i] * times)});
  draw_curve(*ui.list, points, kind_colour(ui, kind), 1.6f * ui.scale, kind_style(kind), ui.scale);
}

// What the curves are at the pointer.
void hint_at_pointer(Frame& frame, const PlotFrame& plot, std::size_t motion) {
  Ui& ui = frame.ui;
  if (!ImGui::IsWindowHovered() || !ImGui::IsMouseHoveringRect({plot.left, plot.top}, {plot.right, plot.bottom}))
    return;
  const Quantity& quantity = quantities[motion];
  const Units units = frame.view.units;
  const double deg = std::round(plot.deg(ImGui::GetIO().MousePos.x) * 2.0) / 2.0;
  std::vector<std::string> rows;
  for (const ValveKind kind : valve_kinds)
    if (const ValveMotion* moved = frame.bench.fitted().mechanism.motion(kind))
      rows.push_back(
          fmt::format("{} {} {}", to_word(kind),
                      figure(motion_at(*moved, deg)[motion] * times_of(quantity, units), decimals_of(quantity, units)),
                      units == Units::mm ? quantity.unit : quantity.thou_unit));
  ui.list->AddLine({plot.x(deg), plot.top}, {plot.x(deg), plot.bottom}, with_alpha(ui.colours.accent, 0.6f));
  hint_under_pointer(ui, fmt::format("{} cam, {}", signed_deg_text(deg), quantity.word), rows);
}

// What it is, and each kind's figure where the lobe stands now.
void plot_head(Frame& frame, const Shared& shared, std::size_t motion, float y) {
  Ui& ui = frame.ui;
  const Quantity& quantity = quantities[motion];
  const Units units = frame.view.units;
  const float left = shared.left - ui.px(38);
  const float word = text(ui, {left, y}, ui.fonts.bold, ui.colours.ink, quantity.word);
  text(ui, {left + word + ui.px(6), y + ui.px(2)}, ui.fonts.note, ui.colours.quiet,
       units == Units::mm ? quantity.unit : quantity.thou_unit);
  float right = shared.right;
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    const ValveMotion* moved = frame.bench.fitted().mechanism.motion(kind);
    const auto& now = shared.now_deg[static_cast<std::size_t>(kind)];
    if (moved == nullptr || !now) continue;
    const std::string words =
        fmt::format("{} {}", to_word(kind),
                    figure(motion_at(*moved, *now)[motion] * times_of(quantity, units), decimals_of(quantity, units)));
    right -= text_right(ui, {right, y + ui.px(2)}, ui.fonts.note, kind_colour(ui, kind), words) + ui.px(10);
  }
}

float one_plot(Frame& frame, const Shared& shared, std::size_t motion, float y) {
  Ui& ui = frame.ui;
  plot_head(frame, shared, motion, y);
  const double times = times_of(quantities[motion], frame.view.units);
  const PlotFrame plot = plot_of(frame, shared, motion, times, y + ui.px(19), ui.px(66));
  record_item(ui, std::string("lobes.") + quantities[motion].word, {plot.left, plot.top, plot.right, plot.bottom});
  plot_grid(ui, plot);
  ui.list->PushClipRect({plot.left, plot.top - 1.0f}, {plot.right, plot.bottom + 1.0f}, true);
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    if (const LobeCurve* curve = frame.bench.lobe_curve(kind)) curve_of(ui, plot, *curve, motion, times, kind);
    const auto& now = shared.now_deg[static_cast<std::size_t>(kind)];
    if (!now) continue;
    const float x = std::round(plot.x(*now)) + 0.5f;
    draw_curve(*ui.list, {{x, plot.top}, {x, plot.bottom}}, kind_colour(ui, kind), std::max(1.0f, ui.scale),
               kind_style(kind), ui.scale);
  }
  ui.list->PopClipRect();
  hint_at_pointer(frame, plot, motion);
  return plot.bottom;
}

std::string sharpest_words(const Frame& frame, ValveKind kind, const ValveMotion& motion) {
  const LobeContour& contour = motion.contour();
  const double at_deg = degrees(contour.least_convex_at_rad());
  // The contour says one place of the least radius; a lobe that is the same both ways has another.
  const bool both = std::fabs(contour.contact(-contour.least_convex_at_rad()).curvature_mm -
                              contour.least_convex_radius_mm()) < 0.005;
  const std::string where =
      std::fabs(at_deg) < 0.5 ? "at its nose"
      : both                  ? fmt::format("{} either side", deg_text(std::fabs(at_deg), 0))
             : fmt::format("{} {} its nose", deg_text(std::fabs(at_deg), 0), at_deg < 0.0 ? "before" : "past");
  return fmt::format("The {} lobe is sharpest {}: radius {}.", to_word(kind), where,
                     length_text(contour.least_convex_radius_mm(), frame.view.units));
}

} // namespace

float lobe_plots(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  float y = at.y;
  if (const auto kind = sharp_lobe(frame.bench))
    y += verdict_box(ui, {at.x, y}, width, Verdict::warning,
                     fmt::format("A sharp {} lobe would not last.", to_word(*kind)),
                     {"Less than a millimetre of radius is too sharp: common practice, no source."}) +
         ui.px(6);
  for (const ValveKind kind : valve_kinds)
    if (const ValveMotion* motion = frame.bench.fitted().mechanism.motion(kind))
      y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet, sharpest_words(frame, kind, *motion));
  y += ui.px(4);
  const Shared shared = shared_of(frame, at, width);
  for (std::size_t motion = 0; motion < motions; ++motion) y = one_plot(frame, shared, motion, y) + ui.px(6);
  y -= ui.px(3);
  for (const double deg : round_ticks(shared.low_deg, shared.high_deg, 8)) {
    const std::string words = signed_deg_text(deg, 0);
    const float half = text_size(ui.fonts.note, words).x / 2.0f;
    const float x = shared.left + (shared.right - shared.left) *
                                      static_cast<float>((deg - shared.low_deg) / (shared.high_deg - shared.low_deg));
    text(ui, {std::min(x - half, shared.right - 2.0f * half), y}, ui.fonts.note, ui.colours.quiet, words);
  }
  y += ui.px(17);
  y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet,
                 "Of the tappet, by cam degrees past the lobe’s nose. Upright lines: where No. 1’s lobes stand now.");
  return y;
}

} // namespace phasewright::viewer
