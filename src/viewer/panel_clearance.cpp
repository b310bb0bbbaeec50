// Clearance: piston to valve about the overlap, against its limits.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"
#include "viewer/plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr double reach_deg = 60.0; // either side of the overlap TDC

void limit_line(Ui& ui, const PlotFrame& plot, double limit_mm, ImU32 colour, LineStyle style) {
  if (limit_mm > plot.high) return;
  const float y = std::round(plot.y(limit_mm)) + 0.5f;
  draw_curve(*ui.list, {{plot.left, y}, {plot.right, y}}, with_alpha(colour, 0.55f), 1.0f, style, ui.scale);
}

void clearance_curves(Frame& frame, const PlotFrame& plot, const Curves& curves, bool pale) {
  Ui& ui = frame.ui;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const bool inlet = kind == ValveKind::inlet;
    const ImU32 colour = inlet ? ui.colours.inlet : ui.colours.exhaust;
    for (const auto& piece : curve_pieces(plot, curves.clearance_mm[static_cast<std::size_t>(kind)]))
      draw_curve(*ui.list, piece, pale ? with_alpha(colour, 0.4f) : colour, (pale ? 1.2f : 2.0f) * ui.scale,
                 inlet ? LineStyle::solid : LineStyle::dashed, ui.scale);
  }
}

void plot_grid(Ui& ui, const PlotFrame& plot, Units units) {
  for (double deg = -reach_deg; deg <= reach_deg; deg += 30.0) {
    const float x = std::round(plot.x(deg)) + 0.5f;
    ui.list->AddLine({x, plot.top}, {x, plot.bottom}, ui.colours.grid);
    const std::string words = deg == 0.0 ? "TDC" : fmt::format("{:.0f}° {}", std::fabs(deg), deg < 0.0 ? "B" : "A");
    text_middle(ui, {x, plot.bottom + ui.px(3)}, ui.fonts.note, ui.colours.quiet, words);
  }
  for (double mm = 0.0; mm <= plot.high; mm += 2.0) {
    const float y = std::round(plot.y(mm)) + 0.5f;
    ui.list->AddLine({plot.left, y}, {plot.right, y}, ui.colours.grid);
    if (mm == 0.0) continue; // the corner belongs to the degrees
    text_right(ui, {plot.left - ui.px(5), y - ui.fonts.note->FontSize / 2.0f}, ui.fonts.note, ui.colours.quiet,
               units == Units::mm ? figure(mm, 0) : figure(mm / 0.0254, 0));
  }
}

float clearance_plot(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  PlotFrame plot{.left = at.x + ui.px(28),
                 .right = at.x + width - ui.px(12),
                 .top = at.y + ui.px(18),
                 .bottom = at.y + ui.px(150),
                 .low_deg = -reach_deg,
                 .high_deg = reach_deg,
                 .high = 8.0};
  text(ui, {at.x, at.y}, ui.fonts.note, ui.colours.quiet,
       frame.view.units == Units::mm ? "mm, valve to piston" : "thou, valve to piston");
  text_right(ui, {plot.right, at.y}, ui.fonts.note, ui.colours.quiet, "thin lines: limits");
  plot_grid(ui, plot, frame.view.units);
  const Target& target = frame.bench.build().target;
  ui.list->PushClipRect({plot.left, plot.top}, {plot.right, plot.bottom}, true);
  limit_line(ui, plot, target.min_clearance_inlet_mm, ui.colours.inlet, LineStyle::solid);
  limit_line(ui, plot, target.min_clearance_exhaust_mm, ui.colours.exhaust, LineStyle::dashed);
  const bool both = frame.view.shown == Shown::both && frame.bench.planned_differs();
  if (both) clearance_curves(frame, plot, frame.bench.fitted().curves, true);
  clearance_curves(frame, plot, shown_state(frame.bench, frame.view.shown).curves, false);
  const double from_tdc = wrap_720(frame.view.crank_deg + 360.0) - 360.0;
  if (std::fabs(from_tdc) <= reach_deg) {
    const float x = std::round(plot.x(from_tdc)) + 0.5f;
    ui.list->AddLine({x, plot.top}, {x, plot.bottom}, ui.colours.ink, std::max(1.0f, ui.scale));
  }
  ui.list->PopClipRect();
  return plot.bottom + ui.px(20) - at.y;
}

// Clearances as fitted, as planned and with the chain at its limit, beside what is asked.
class LeastTable {
public:
  LeastTable(Frame& frame, ImVec2 at, float width)
      : ui_(frame.ui), units_(frame.view.units), left_(at.x), apart_(std::round((width - frame.ui.px(66)) / 4.0f)),
        y_(at.y) {}

  void head() {
    text(ui_, {left_, y_}, ui_.fonts.note, ui_.colours.quiet, unit_word(units_));
    const char* words[] = {"fitted", "plan", "plan, worn", "limit"};
    for (int i = 0; i < 4; ++i) text_right(ui_, {column(i), y_}, ui_.fonts.note, ui_.colours.quiet, words[i]);
    y_ += ui_.px(16);
  }

  void row(const char* word, ImU32 colour, std::optional<LeastClearance> Clearances::*kind, const State& fitted,
           const State& planned, double limit_mm) {
    text(ui_, {left_, y_}, ui_.fonts.text, colour, word);
    figure_at(0, fitted.clearances.*kind, limit_mm);
    figure_at(1, planned.clearances.*kind, limit_mm);
    figure_at(2, planned.worn.*kind, limit_mm);
    text_right(ui_, {column(3), y_}, ui_.fonts.text, ui_.colours.quiet, length_figure(limit_mm, units_));
    y_ += ui_.px(21);
  }

  [[nodiscard]] float bottom() const { return y_; }

private:
  [[nodiscard]] float column(int index) const { return left_ + ui_.px(66) + apart_ * static_cast<float>(index + 1); }

  void figure_at(int index, const std::optional<LeastClearance>& clearance, double limit_mm) {
    const bool under = clearance && !(clearance->least_mm >= limit_mm);
    text_right(ui_, {column(index), y_}, under ? ui_.fonts.bold : ui_.fonts.text,
               under ? ui_.colours.bad : ui_.colours.ink,
               clearance ? length_figure(clearance->least_mm, units_) + (under ? " !" : "") : "–");
  }

  Ui& ui_;
  Units units_;
  float left_;
  float apart_;
  float y_;
};

// What one kind's clearance and its limit rest on.
std::string source_words(const Build& build, ValveKind kind) {
  const bool measured =
      std::ranges::find(build.measured.clearance, kind, &ClearanceReading::valve) != build.measured.clearance.end();
  const bool inlet = kind == ValveKind::inlet;
  const bool usual = inlet ? build.target.min_clearance_inlet_mm == default_min_clearance_inlet_mm
                           : build.target.min_clearance_exhaust_mm == default_min_clearance_exhaust_mm;
  std::string words =
      fmt::format("The {} clearance is reckoned from {}.", to_word(kind),
                  measured ? "what was measured on the bench" : "the engine file's dimensions, not yet measured");
  if (usual) words += " Its limit is the common one: your maker's goes before it.";
  return words;
}

} // namespace

float clearance_panel(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const Workbench& bench = frame.bench;
  const State& planned = bench.planned();
  const State& shown = shown_state(bench, frame.view.shown);
  float y = at.y + panel_head(frame, at, width, "Clearance", "How near each valve comes to its piston over the cycle.");
  y += clearance_verdict(frame, {at.x, y}, width, shown, &shown == &planned) + ui.px(5);
  y += cautions(frame, {at.x, y}, width) + ui.px(10);
  if (!planned.safe) return y;

  y += section_head(frame, {at.x, y}, "Least over the cycle");
  LeastTable table(frame, {at.x, y}, width);
  const Target& target = bench.build().target;
  table.head();
  if (planned.clearances.inlet)
    table.row("inlet", ui.colours.inlet, &Clearances::inlet, bench.fitted(), planned, target.min_clearance_inlet_mm);
  if (planned.clearances.exhaust)
    table.row("exhaust", ui.colours.exhaust, &Clearances::exhaust, bench.fitted(), planned,
              target.min_clearance_exhaust_mm);
  y = table.bottom() + ui.px(10);

  y += section_head(frame, {at.x, y}, "About the overlap");
  y += clearance_plot(frame, {at.x, y}, width) + ui.px(8);
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (kind == ValveKind::inlet ? planned.clearances.inlet : planned.clearances.exhaust)
      y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet, source_words(bench.build(), kind));
  return y;
}

} // namespace phasewright::viewer
