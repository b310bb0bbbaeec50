// Clearance: what is not safe first, then how near each valve comes to its piston and to the other, now, worn and with
// no lash left.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

// Each clearance as the chain is, with its uncertainty, with the chain at its limit and with the lash taken up, beside
// what is asked.
class LeastTable {
public:
  LeastTable(Frame& frame, ImVec2 at, float width)
      : ui_(frame.ui), units_(frame.view.units), left_(at.x), right_(at.x + width),
        apart_(std::min(frame.ui.px(46), std::round((width - frame.ui.px(92)) / 5.0f))), y_(at.y) {}

  void head() {
    text(ui_, {left_, y_}, ui_.fonts.note, ui_.colours.quiet, unit_word(units_));
    const char* words[] = {"now", "±", "worn", "no lash", "limit"};
    for (int i = 0; i < 5; ++i) text_right(ui_, {column(i), y_}, ui_.fonts.note, ui_.colours.quiet, words[i]);
    y_ += ui_.px(16);
  }

  // Of both valves.
  void group(const char* word) {
    text(ui_, {left_, y_}, ui_.fonts.bold, ui_.colours.ink, word);
    y_ += ui_.px(18);
  }

  // `at_crank_deg`: where its least is. True when it is asked to turn there, which cannot be unless `goes`.
  bool group(ValveKind kind, double at_crank_deg, bool goes) {
    text(ui_, {left_, y_}, ui_.fonts.bold, kind_colour(ui_, kind), to_word(kind));
    const float x = left_ + text_size(ui_.fonts.bold, to_word(kind)).x + ui_.px(8);
    const float middle = std::round(y_ + ui_.fonts.bold->FontSize / 2.0f) + 0.5f;
    draw_curve(*ui_.list, {{x, middle}, {x + ui_.px(24), middle}}, kind_colour(ui_, kind), 2.0f * ui_.scale,
               kind_style(kind), ui_.scale);
    const std::string words = "turn to " + crank_words(at_crank_deg);
    const float wide = text_size(ui_.fonts.text, words).x + ui_.px(16);
    const std::string name = std::string("least.go.") + to_word(kind);
    const bool pressed = button(ui_, name.c_str(), {right_ - wide, y_ - ui_.px(3), right_, y_ + ui_.px(17)}, words,
                                {.enabled = goes, .hint = "turn forward to where this gap is least"});
    y_ += ui_.px(18);
    return pressed;
  }

  // Nothing = not known.
  struct Figures {
    std::optional<double> now;
    std::optional<double> plus_minus;
    std::optional<double> worn;
    std::optional<double> no_lash;
    double limit = 0;
  };

  void row(const char* word, const Figures& figures) {
    text(ui_, {left_, y_}, ui_.fonts.text, ui_.colours.quiet, word);
    figure_at(0, figures.now, figures.limit);
    text_right(ui_, {column(1), y_}, ui_.fonts.text, ui_.colours.quiet,
               figures.plus_minus ? length_figure(*figures.plus_minus, units_) : "–");
    figure_at(2, figures.worn, figures.limit);
    figure_at(3, figures.no_lash, std::nullopt); // shown, not judged
    text_right(ui_, {column(4), y_}, ui_.fonts.text, ui_.colours.quiet, length_figure(figures.limit, units_));
    y_ += ui_.px(19);
  }

  [[nodiscard]] float bottom() const { return y_; }

private:
  [[nodiscard]] float column(int index) const { return right_ - apart_ * static_cast<float>(4 - index); }

  // No limit: not judged.
  void figure_at(int index, std::optional<double> mm, std::optional<double> limit_mm) {
    const bool under = mm && limit_mm && !(*mm >= *limit_mm);
    const ImFont* font = under ? ui_.fonts.bold : ui_.fonts.text;
    const ImU32 colour = under ? ui_.colours.bad : ui_.colours.ink;
    text_right(ui_, {column(index), y_}, font, colour, mm ? length_figure(*mm, units_) : "–");
    // A sign beside the colour, where it takes no room from the figures.
    if (under) text(ui_, {column(index) + ui_.px(1), y_}, font, colour, "!");
  }

  Ui& ui_;
  Units units_;
  float left_;
  float right_;
  float apart_;
  float y_;
};

template <class Of>
std::optional<double> figure_of(const std::optional<LeastClearance>& least, Of of) {
  if (!least) return std::nullopt;
  return (*least).*of;
}

// The next time the crank stands there past the shown cylinder's own overlap TDC, turned forward until nothing hangs
// back.
double forward_to(const Frame& frame, double own_deg) {
  const View& view = frame.view;
  const double crank_deg = own_deg + own_delay_deg(frame.bench, view);
  const double by_deg = wrap_720(crank_deg - view.crank_deg);
  const bool short_of = view.turning == Turning::backward && by_deg < view.turn_forward_deg;
  return view.crank_deg + by_deg + (short_of ? 720.0 : 0.0);
}

float least_table(Frame& frame, ImVec2 at, float width, const State& state) {
  const Target& target = frame.bench.build().target;
  const ClearanceDetail& detail = state.detail();
  LeastTable table(frame, at, width);
  table.head();
  for (const ValveKind kind : valve_kinds) {
    const std::optional<LeastClearance>& now = least_of(state.standing.now, kind);
    if (!now) continue;
    const auto& quality = detail.quality[static_cast<std::size_t>(kind)];
    if (table.group(kind, now->at_crank_deg, !only_wheel_deg(frame)))
      frame.actions.turn_to_deg = forward_to(frame, now->at_crank_deg);
    const auto figures = [&](double LeastClearance::*of, std::optional<double> plus_minus, double limit_mm) {
      return LeastTable::Figures{figure_of(now, of), plus_minus, figure_of(least_of(state.standing.worn, kind), of),
                                 figure_of(least_of(detail.no_lash, kind), of), limit_mm};
    };
    table.row("along its axis", figures(&LeastClearance::least_mm,
                                        quality ? std::optional<double>(coverage * quality->u_mm) : std::nullopt,
                                        axial_limit_mm(target, kind)));
    table.row("any way", figures(&LeastClearance::distance_mm, std::nullopt, any_way_limit_mm(target, kind)));
  }
  const auto apart = [](const Clearances& clearances) -> std::optional<double> {
    if (!clearances.between) return std::nullopt;
    return clearances.between->least_mm;
  };
  if (state.standing.now.between) {
    table.group("valve to valve");
    table.row("any way", {apart(state.standing.now), std::nullopt, apart(state.standing.worn), apart(detail.no_lash),
                          target.min_valve_to_valve_mm});
  }
  return table.bottom() - at.y;
}

// What one kind's clearance and its limit rest on.
std::string source_words(const Build& build, const State& state, ValveKind kind, Units units) {
  const GapFit& fit = state.standing.model->fit(kind);
  const bool inlet = kind == ValveKind::inlet;
  const bool usual = inlet ? build.target.min_clearance_inlet_mm == default_min_clearance_inlet_mm
                           : build.target.min_clearance_exhaust_mm == default_min_clearance_exhaust_mm;
  const std::string by = length_figure(std::fabs(fit.correction_mm), units);
  const std::string drawn = by == length_figure(0.0, units) ? std::string("as drawn")
                                                            : fmt::format("{} {} {} than drawn", by, unit_word(units),
                                                                          fit.correction_mm < 0.0 ? "less" : "more");
  std::string words =
      fit.readings == 0
          ? fmt::format("The {} clearance is reckoned from the engine file's dimensions, not yet measured.",
                        to_word(kind))
          : fmt::format("The {} clearance is reckoned from {} measured on the bench: {}.", to_word(kind),
                        fit.readings == 1 ? "what was" : fmt::format("{} gaps", fit.readings), drawn);
  if (fit.scattered) words += " The readings disagree by more than the instruments explain.";
  if (fit.wild) words += " That is more than a drawing is wrong by: check the readings.";
  if (usual) words += " Its limit is the common one: your maker's goes before it.";
  return words;
}

std::string sideways_words(const State& state, ValveKind kind, Units units) {
  const std::optional<LeastClearance>& least = least_of(state.standing.now, kind);
  if (!least || !least->radial_mm) return {};
  return fmt::format("In its pocket the {} valve’s edge comes within {} of the wall, sideways.", to_word(kind),
                     length_text(*least->radial_mm, units));
}

float least_page(Frame& frame, ImVec2 at, float width, const State& state) {
  Ui& ui = frame.ui;
  const Units units = frame.view.units;
  float y = at.y + section_head(frame, at, "Least over the cycle");
  y += least_table(frame, {at.x, y}, width, state) + ui.px(2);
  y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet,
                 "±: k = 2, of the gap and of the phase. Any way: not along the axis alone, to the nearest "
                 "of the piston. Worn: chain at its wear limit. No lash: none left in the train; not judged.") +
       ui.px(4);
  for (const ValveKind kind : valve_kinds) {
    if (!least_of(state.standing.now, kind)) continue;
    const std::string words = sideways_words(state, kind, units);
    if (!words.empty()) y += paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.ink, words) + ui.px(2);
  }
  y += ui.px(2);
  for (const ValveKind kind : valve_kinds)
    if (least_of(state.standing.now, kind))
      y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet,
                     source_words(frame.bench.build(), state, kind, units)) +
           ui.px(2);
  return y;
}

} // namespace

float clearance_panel(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const State& shown = shown_state(frame.bench, frame.view.shown);
  const bool planned = &shown == &frame.bench.planned();
  float y = at.y + panel_head(frame, at, width, "Clearance", "How near each valve comes to its piston over the cycle.",
                              "Moving the camshaft moves both valves towards the piston or away from it. A valve that "
                              "meets it bends, or breaks the piston.");
  y += clearance_verdict(frame, {at.x, y}, width, shown, planned) + ui.px(5);
  y += readings_left_out(frame, {at.x, y}, width);
  for (const std::string& caution : frame.bench.gap_cautions())
    y += paragraph(ui, {at.x, y}, width, ui.fonts.note, ui.colours.warning, "Mind: " + caution) + ui.px(2);
  y += cautions(frame, {at.x, y}, width) + ui.px(8);
  const ScreenRect pages{at.x, y, at.x + width, y + ui.px(26)};
  if (const auto picked = segments(ui, "clearance.page", pages, {"least", "against phase", "readings"},
                                   static_cast<std::size_t>(frame.view.clearance_page)))
    frame.view.clearance_page = static_cast<ClearancePage>(*picked);
  y = pages.bottom + ui.px(10);
  if (frame.view.clearance_page == ClearancePage::readings) return readings_page(frame, {at.x, y}, width);
  if (!shown.standing.model)
    return y + paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.quiet, "Without clearances nothing to show.");
  if (frame.view.clearance_page == ClearancePage::phase) return phase_page(frame, {at.x, y}, width);
  return least_page(frame, {at.x, y}, width, shown);
}

} // namespace phasewright::viewer
