// Clearance against phase: how much each degree takes, and how far the camshaft could go before a limit.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

using Bands = std::array<PhaseBand, 2>;

constexpr double overlap_reach_deg = 60.0; // either side of the overlap TDC

void limit_line(Ui& ui, const PlotFrame& plot, double limit_mm, ValveKind kind) {
  if (limit_mm > plot.high) return;
  const float y = std::round(plot.y(limit_mm)) + 0.5f;
  draw_curve(*ui.list, {{plot.left, y}, {plot.right, y}}, with_alpha(kind_colour(ui, kind), 0.6f), 1.0f,
             kind_style(kind), ui.scale);
}

void height_grid(Ui& ui, const PlotFrame& plot, Units units) {
  const double unit_mm = units == Units::mm ? 1.0 : 0.0254;
  for (const double tick : round_ticks(plot.low / unit_mm, plot.high / unit_mm, 5)) {
    const float y = std::round(plot.y(tick * unit_mm)) + 0.5f;
    ui.list->AddLine({plot.left, y}, {plot.right, y}, ui.colours.grid);
    const float half = ui.fonts.note->FontSize / 2.0f;
    if (y + half > plot.bottom + 1.0f && tick == 0.0) continue; // the corner belongs to the degrees
    text_right(ui, {plot.left - ui.px(5), y - half}, ui.fonts.note, ui.colours.quiet, figure(tick, 0));
  }
}

void degree_line(Ui& ui, const PlotFrame& plot, double deg, const std::string& words) {
  const float x = std::round(plot.x(deg)) + 0.5f;
  ui.list->AddLine({x, plot.top}, {x, plot.bottom}, ui.colours.grid);
  const float half = text_size(ui.fonts.note, words).x / 2.0f;
  const float left = std::clamp(x - half, plot.left - ui.px(24), plot.right + ui.px(10) - 2.0f * half);
  text(ui, {left, plot.bottom + ui.px(3)}, ui.fonts.note, ui.colours.quiet, words);
}

PlotFrame phase_frame(const Frame& frame, ImVec2 at, float width, const Bands& bands) {
  PlotFrame plot{.left = at.x + frame.ui.px(28),
                 .right = at.x + width - frame.ui.px(12),
                 .top = at.y + frame.ui.px(18),
                 .bottom = at.y + frame.ui.px(168),
                 .low_deg = -phase_reach_deg,
                 .high_deg = phase_reach_deg,
                 .high = 1.0,
                 .low = 0.0};
  for (const PhaseBand& band : bands)
    for (std::size_t i = 0; i < band.least_mm.size(); ++i) {
      plot.high = std::max(plot.high, band.least_mm[i] + band.half_mm[i]);
      plot.low = std::min(plot.low, std::max(-2.0, band.least_mm[i] - band.half_mm[i]));
    }
  for (const ValveKind kind : valve_kinds)
    plot.high = std::max(plot.high, axial_limit_mm(frame.bench.build().target, kind) * 1.1);
  plot.high = std::min(plot.high * 1.04, 12.0);
  return plot;
}

void phase_band(Ui& ui, const PlotFrame& plot, const PhaseBand& band, ValveKind kind) {
  std::vector<ImVec2> upper;
  std::vector<ImVec2> lower;
  std::vector<ImVec2> middle;
  for (std::size_t i = 0; i < band.extra_deg.size(); ++i) {
    const float x = plot.x(band.extra_deg[i]);
    upper.push_back({x, plot.y(band.least_mm[i] + band.half_mm[i])});
    lower.push_back({x, plot.y(band.least_mm[i] - band.half_mm[i])});
    middle.push_back({x, plot.y(band.least_mm[i])});
  }
  draw_band(*ui.list, upper, lower, with_alpha(kind_colour(ui, kind), 0.18f));
  draw_curve(*ui.list, middle, kind_colour(ui, kind), 2.0f * ui.scale, kind_style(kind), ui.scale);
  std::vector<ImVec2> worn;
  for (std::size_t i = 0; i < band.worn_mm.size(); ++i)
    worn.push_back({plot.x(band.extra_deg[i]), plot.y(band.worn_mm[i])});
  if (!worn.empty())
    draw_curve(*ui.list, worn, with_alpha(kind_colour(ui, kind), 0.8f), std::max(1.0f, ui.scale), kind_style(kind),
               ui.scale);
}

// The curve's name at the end of it that lies farther from the other's, on the side away from the other where there is
// room, and clear of its own.
void band_name(Ui& ui, const PlotFrame& plot, const Bands& bands, ValveKind kind) {
  const PhaseBand& band = bands[static_cast<std::size_t>(kind)];
  const PhaseBand& other = bands[1 - static_cast<std::size_t>(kind)];
  if (band.least_mm.empty()) return;
  const bool alone = other.least_mm.empty();
  const double at_left = alone ? 1.0 : band.least_mm.front() - other.least_mm.front();
  const double at_right = alone ? 0.0 : band.least_mm.back() - other.least_mm.back();
  const bool left = std::fabs(at_left) >= std::fabs(at_right);
  const float width = text_size(ui.fonts.bold, to_word(kind)).x;
  const float height = ui.fonts.bold->FontSize;
  const float x = left ? plot.left + ui.px(6) : plot.right - width - ui.px(6);
  float highest = plot.bottom;
  float lowest = plot.top;
  for (std::size_t i = 0; i < band.extra_deg.size(); ++i) {
    const float at_x = plot.x(band.extra_deg[i]);
    if (at_x < x - ui.px(4) || at_x > x + width + ui.px(4)) continue;
    highest = std::min(highest, plot.y(band.least_mm[i] + band.half_mm[i]));
    lowest = std::max(lowest, plot.y(band.least_mm[i] - band.half_mm[i]));
  }
  const float over = highest - height - ui.px(3);
  const float under = lowest + ui.px(2);
  const bool wants_over = (left ? at_left : at_right) >= 0.0;
  const bool fits = wants_over ? over >= plot.top : under + height <= plot.bottom;
  const float y = wants_over == fits ? over : under;
  text(ui, {x, std::clamp(y, plot.top + 1.0f, plot.bottom - height - 1.0f)}, ui.fonts.bold, kind_colour(ui, kind),
       to_word(kind));
}

void hint_at_pointer(Frame& frame, const PlotFrame& plot, const Bands& bands) {
  Ui& ui = frame.ui;
  if (!ImGui::IsWindowHovered() || !ImGui::IsMouseHoveringRect({plot.left, plot.top}, {plot.right, plot.bottom}))
    return;
  const double deg = std::round(plot.deg(ImGui::GetIO().MousePos.x) / phase_step_deg) * phase_step_deg;
  const auto at = static_cast<std::size_t>(std::lround((deg + phase_reach_deg) / phase_step_deg));
  std::vector<std::string> rows;
  for (const ValveKind kind : valve_kinds) {
    const PhaseBand& band = bands[static_cast<std::size_t>(kind)];
    if (at < band.least_mm.size())
      rows.push_back(fmt::format("{} {} ±{}", to_word(kind), length_text(band.least_mm[at], frame.view.units),
                                 length_figure(band.half_mm[at], frame.view.units)));
  }
  ui.list->AddLine({plot.x(deg), plot.top}, {plot.x(deg), plot.bottom}, with_alpha(ui.colours.accent, 0.6f));
  hint_under_pointer(
      ui,
      deg == 0.0 ? std::string("as it stands")
                 : fmt::format("{} {}", deg_text(std::fabs(deg)), deg > 0.0 ? "more advanced" : "more retarded"),
      rows);
}

float phase_plot(Frame& frame, ImVec2 at, float width, const State& state) {
  Ui& ui = frame.ui;
  const Target& target = frame.bench.build().target;
  const Bands& bands = state.bands();
  const PlotFrame plot = phase_frame(frame, at, width, bands);
  record_item(ui, "clearance.plot", {plot.left, plot.top, plot.right, plot.bottom});
  text(ui, {at.x, at.y}, ui.fonts.note, ui.colours.quiet,
       frame.view.units == Units::mm ? "mm, least over the cycle" : "thou, least over the cycle");
  text_right(ui, {plot.right, at.y}, ui.fonts.note, ui.colours.quiet, "thin lines: limits");
  height_grid(ui, plot, frame.view.units);
  for (double deg = -phase_reach_deg; deg <= phase_reach_deg; deg += 10.0)
    degree_line(ui, plot, deg, deg == 0.0 ? "as it stands" : signed_deg_text(deg, 0));
  ui.list->PushClipRect({plot.left, plot.top}, {plot.right, plot.bottom}, true);
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    const PhaseBand& band = bands[static_cast<std::size_t>(kind)];
    if (band.least_mm.empty()) continue;
    limit_line(ui, plot, axial_limit_mm(target, kind), kind);
    phase_band(ui, plot, band, kind);
  }
  const float x = std::round(plot.x(0.0)) + 0.5f;
  ui.list->AddLine({x, plot.top}, {x, plot.bottom}, ui.colours.ink, std::max(1.0f, ui.scale));
  for (const ValveKind kind : valve_kinds)
    if (const auto& least = least_of(state.standing.now, kind)) {
      ui.list->AddCircleFilled({x, plot.y(least->least_mm)}, ui.px(4), ui.colours.panel, 16);
      ui.list->AddCircle({x, plot.y(least->least_mm)}, ui.px(4), kind_colour(ui, kind), 16,
                         std::max(1.5f, 2.0f * ui.scale));
    }
  for (const ValveKind kind : valve_kinds) band_name(ui, plot, bands, kind);
  ui.list->PopClipRect();
  hint_at_pointer(frame, plot, bands);
  return plot.bottom + ui.px(19) - at.y;
}

// "Each degree of advance takes 0.11 mm off the inlet clearance."
std::string slope_words(ValveKind kind, const ClearanceQuality& quality, Units units) {
  constexpr double flat_mm = 0.005;
  const double slope = quality.slope_mm_per_deg;
  if (std::fabs(slope) < flat_mm) return fmt::format("Phase hardly matters to the {} clearance here.", to_word(kind));
  const std::string by = units == Units::mm ? length_text(std::fabs(slope), units)
                                            : fmt::format("{} thou", figure(std::fabs(slope) / 0.0254, 1));
  return slope < 0.0 ? fmt::format("Each degree of advance takes {} off the {} clearance.", by, to_word(kind))
                     : fmt::format("Each degree of advance gives the {} clearance {} more.", to_word(kind), by);
}

bool under_limit(const Clearances& clearances, ValveKind kind, const Target& target) {
  const auto& least = least_of(clearances, kind);
  return least && !clear_enough(least->least_mm, axial_limit_mm(target, kind));
}

// `when`: of which states of the chain the room is the lesser.
std::string room_words(const PhaseRoom& room, const char* when) {
  const auto& advance = room.advance_deg;
  const auto& retard = room.retard_deg;
  if (advance && retard)
    return fmt::format(" Its limit comes after {} more advance or {} more retard{}.", deg_text(*advance),
                       deg_text(std::fabs(*retard)), when);
  if (!advance && !retard) return fmt::format(" No phase within 60° either way reaches its limit{}.", when);
  return fmt::format(" Its limit comes after {} more {}{}; no {} up to 60° reaches it.",
                     deg_text(std::fabs(advance ? *advance : *retard)), advance ? "advance" : "retard", when,
                     advance ? "retard" : "advance");
}

std::string limit_words(const State& state, ValveKind kind, const PhaseRoom& room) {
  if (under_limit(state.standing.now, kind, state.target)) return " It is below its limit as it stands.";
  if (under_limit(state.standing.worn, kind, state.target)) return " It is below its limit once the chain has worn.";
  return room_words(room, state.standing.model_worn ? ", now or worn" : "");
}

void overlap_curves(Frame& frame, const PlotFrame& plot, const Curves& curves, bool pale) {
  Ui& ui = frame.ui;
  for (const ValveKind kind : valve_kinds) {
    const ImU32 colour = kind_colour(ui, kind);
    for (const auto& piece : curve_pieces(plot, curves.clearance_mm[static_cast<std::size_t>(kind)]))
      draw_curve(*ui.list, piece, pale ? with_alpha(colour, 0.4f) : colour, (pale ? 1.2f : 2.0f) * ui.scale,
                 kind_style(kind), ui.scale);
  }
}

} // namespace

float overlap_plot(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const PlotFrame plot{.left = at.x + ui.px(28),
                       .right = at.x + width - ui.px(12),
                       .top = at.y + ui.px(18),
                       .bottom = at.y + ui.px(130),
                       .low_deg = -overlap_reach_deg,
                       .high_deg = overlap_reach_deg,
                       .high = 8.0};
  text(ui, {at.x, at.y}, ui.fonts.note, ui.colours.quiet,
       frame.view.units == Units::mm ? "mm, valve to piston" : "thou, valve to piston");
  text_right(ui, {plot.right, at.y}, ui.fonts.note, ui.colours.quiet, "thin lines: limits");
  height_grid(ui, plot, frame.view.units);
  for (double deg = -overlap_reach_deg; deg <= overlap_reach_deg; deg += 30.0)
    degree_line(ui, plot, deg, deg == 0.0 ? "TDC" : fmt::format("{:.0f}° {}", std::fabs(deg), deg < 0.0 ? "B" : "A"));
  ui.list->PushClipRect({plot.left, plot.top}, {plot.right, plot.bottom}, true);
  for (const ValveKind kind : valve_kinds) limit_line(ui, plot, axial_limit_mm(frame.bench.build().target, kind), kind);
  if (frame.view.shown == Shown::both && frame.bench.planned_differs())
    overlap_curves(frame, plot, frame.bench.fitted().curves, true);
  overlap_curves(frame, plot, shown_state(frame.bench, frame.view.shown).curves, false);
  const double from_tdc = wrap_720(own_crank_deg(frame.bench, frame.view) + 360.0) - 360.0;
  if (std::fabs(from_tdc) <= overlap_reach_deg && !only_wheel_deg(frame)) {
    const float x = std::round(plot.x(from_tdc)) + 0.5f;
    ui.list->AddLine({x, plot.top}, {x, plot.bottom}, ui.colours.ink, std::max(1.0f, ui.scale));
  }
  ui.list->PopClipRect();
  return plot.bottom + ui.px(19) - at.y;
}

float phase_page(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const State& state = shown_state(frame.bench, frame.view.shown);
  const ClearanceDetail& detail = state.detail();
  float y = at.y;
  y += section_head(frame, {at.x, y}, "If the camshaft stood elsewhere");
  y += phase_plot(frame, {at.x, y}, width, state);
  y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet,
                 "Crank degrees, + = advanced. Along the valve’s axis. Bands: ±, k = 2, chain as it is. Thin "
                 "curves: the chain worn.") +
       ui.px(4);
  for (const ValveKind kind : valve_kinds) {
    const auto& quality = detail.quality[static_cast<std::size_t>(kind)];
    const auto& least = least_of(state.standing.now, kind);
    if (!quality || !least) continue;
    y += paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.ink,
                   slope_words(kind, *quality, frame.view.units) +
                       limit_words(state, kind, detail.room[static_cast<std::size_t>(kind)])) +
         ui.px(3);
  }
  y += ui.px(4);
  y += section_head(frame, {at.x, y}, "About the overlap");
  return y + overlap_plot(frame, {at.x, y}, width);
}

} // namespace phasewright::viewer
