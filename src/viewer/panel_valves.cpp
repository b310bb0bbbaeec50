// Valves: when they open and close, how their lobes move them, and what that does to compression.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

namespace {

// A row for each figure, a column for each kind of valve.
class KindTable {
public:
  KindTable(Frame& frame, ImVec2 at, float width, const Events& events)
      : ui_(frame.ui),
        left_(at.x), columns_{at.x + width - frame.ui.px(96), at.x + width}, of_{events_of(events, ValveKind::inlet),
                                                                                 events_of(events, ValveKind::exhaust)},
        y_(at.y) {}

  void head(const std::string& title) {
    text(ui_, {left_, y_}, ui_.fonts.bold, ui_.colours.ink, title);
    for (const ValveKind kind : valve_kinds)
      if (of_[slot(kind)] != nullptr)
        text_right(ui_, {columns_[slot(kind)], y_}, ui_.fonts.note, kind_colour(ui_, kind), to_word(kind));
    y_ += ui_.px(19);
  }

  void section(const std::string& title) {
    y_ += ui_.px(5);
    text(ui_, {left_, y_}, ui_.fonts.bold, ui_.colours.ink, title);
    y_ += ui_.px(19);
  }

  // `read`: the figure of one kind, as words.
  template <class Read>
  void row(const char* label, Read read) {
    text(ui_, {left_, y_}, ui_.fonts.text, ui_.colours.quiet, label);
    for (const ValveKind kind : valve_kinds)
      if (of_[slot(kind)] != nullptr)
        text_right(ui_, {columns_[slot(kind)], y_}, ui_.fonts.text, ui_.colours.ink, read(*of_[slot(kind)]));
    y_ += ui_.px(18);
  }

  void whole_row(const char* label, const std::string& figure) {
    text(ui_, {left_, y_}, ui_.fonts.text, ui_.colours.quiet, label);
    text_right(ui_, {columns_[1], y_}, ui_.fonts.text, ui_.colours.ink, figure);
    y_ += ui_.px(18);
  }

  [[nodiscard]] float bottom() const { return y_; }

private:
  static std::size_t slot(ValveKind kind) { return static_cast<std::size_t>(kind); }

  Ui& ui_;
  float left_;
  std::array<float, 2> columns_; // right edges
  std::array<const KindEvents*, 2> of_;
  float y_;
};

std::string centre_words(ValveKind kind, double deg) {
  return fmt::format("{} {}", deg_text(deg), kind == ValveKind::inlet ? "ATDC" : "BTDC");
}

void span_rows(KindTable& table, OpenSpan KindEvents::*span, double delay_deg) {
  const auto words = [delay_deg](const KindEvents& of, EventKind inlet, EventKind exhaust, double crank_deg) {
    return event_words(of.kind == ValveKind::inlet ? inlet : exhaust, wrap_720(crank_deg - delay_deg));
  };
  table.row("opens", [&](const KindEvents& of) {
    return words(of, EventKind::inlet_opens, EventKind::exhaust_opens, (of.*span).opens_deg);
  });
  table.row("closes", [&](const KindEvents& of) {
    return words(of, EventKind::inlet_closes, EventKind::exhaust_closes, (of.*span).closes_deg);
  });
  table.row("open for", [&](const KindEvents& of) { return deg_text((of.*span).duration_deg); });
}

// "1.27 mm of tappet lift", or both camshafts' where they differ.
std::string check_words(const Engine& engine, Units units) {
  std::string words;
  for (const Camshaft& camshaft : engine.camshafts) {
    const std::string one = fmt::format("{} of {} lift", length_text(camshaft.check_lift_mm, units),
                                        camshaft.check_at == CheckAt::tappet ? "tappet" : "valve");
    if (words.find(one) == std::string::npos) words += (words.empty() ? "" : ", ") + one;
  }
  return words;
}

std::string overlap_words(double deg) {
  return deg >= 0.0 ? deg_text(deg) : fmt::format("none, {} between", deg_text(-deg));
}

void overlap_rows(KindTable& table, const Events& events, Units units) {
  if (!events.overlap_deg && !events.separation_deg) return;
  table.section("Overlap");
  if (events.overlap_deg) table.whole_row("at check lift", overlap_words(*events.overlap_deg));
  if (events.overlap_at_lash_deg) table.whole_row("lash taken up", overlap_words(*events.overlap_at_lash_deg));
  if (events.overlap_area_mm_deg)
    table.whole_row("area under the lesser lift",
                    units == Units::mm ? fmt::format("{} mm·deg", figure(*events.overlap_area_mm_deg, 1))
                                       : fmt::format("{} thou·deg", figure(*events.overlap_area_mm_deg / 0.0254, 0)));
  if (events.separation_deg) table.whole_row("lobe separation, cam", deg_text(*events.separation_deg));
}

float events_page(Frame& frame, ImVec2 at, float width, const State& state) {
  const Units units = frame.view.units;
  const std::optional<Events>& events = state.events_of(frame.view.cylinder);
  if (!events)
    return at.y + paragraph(frame.ui, at, width, frame.ui.fonts.text, frame.ui.colours.quiet,
                            state.events_fault_of(frame.view.cylinder));
  const double delay_deg = cylinder_delay_deg(frame.bench.engine().block, frame.view.cylinder);
  KindTable table(frame, at, width, *events);
  table.head("At " + check_words(frame.bench.engine(), units));
  span_rows(table, &KindEvents::at_check, delay_deg);
  table.row("centre, by equal lifts", [](const KindEvents& of) { return centre_words(of.kind, of.centre_deg); });
  table.section("Lash taken up");
  span_rows(table, &KindEvents::at_lash, delay_deg);
  table.section("Lift at the valve");
  table.row("greatest", [&](const KindEvents& of) { return length_text(of.greatest_lift_mm, units); });
  table.row("greatest, where", [](const KindEvents& of) { return centre_words(of.kind, of.nose_deg); });
  table.row("at overlap TDC", [&](const KindEvents& of) { return length_text(of.lift_at_tdc_mm, units); });
  overlap_rows(table, *events, units);
  if (frame.view.cylinder == 1) return table.bottom();
  const float y = table.bottom() + frame.ui.px(6);
  return y + paragraph(frame.ui, {at.x, y}, width, frame.ui.fonts.note, frame.ui.colours.quiet,
                       fmt::format("Counted from No. {}’s own dead centres; picture and strip show it, too.",
                                   frame.view.cylinder));
}

// A label and a field that changes nothing but what this panel assumes.
std::optional<double> assumed(Frame& frame, ImVec2 at, float width, const char* label, const NumberField& field) {
  Ui& ui = frame.ui;
  text(ui, {at.x, at.y + (ui.px(24) - ui.fonts.text->FontSize) / 2.0f}, ui.fonts.text, ui.colours.quiet, label);
  const float left = at.x + ui.px(118);
  const NumberAnswer answer = number_field(ui, {left, at.y}, ui.px(118), field);
  const float beside = left + ui.px(124);
  if (!answer.problem.empty())
    paragraph(ui, {beside, at.y}, at.x + width - beside, ui.fonts.note, ui.colours.bad, answer.problem);
  return answer.entered;
}

float compression_rows(Frame& frame, ImVec2 at, float width, const Compression& ratios, double closes_deg) {
  Ui& ui = frame.ui;
  float y = at.y;
  const auto row = [&](const char* label, const std::string& figure) {
    text(ui, {at.x, y}, ui.fonts.text, ui.colours.quiet, label);
    text_right(ui, {at.x + width, y}, ui.fonts.text, ui.colours.ink, figure);
    y += ui.px(20);
  };
  const Block& block = frame.bench.engine().block;
  y += section_head(frame, {at.x, y}, "Compression of one cylinder");
  row("swept volume", fmt::format("{} cm³", figure(swept_cc(block), 1)));
  row("volume left at TDC", fmt::format("{} cm³", figure(clearance_cc(block), 1)));
  row("static ratio", fmt::format("{} : 1", figure(ratios.static_ratio, 2)));
  row("inlet closes, lash taken up", event_words(EventKind::inlet_closes, closes_deg));
  row("effective ratio, from there", fmt::format("{} : 1", figure(ratios.effective_ratio, 2)));
  return y - at.y;
}

float compression_page(Frame& frame, ImVec2 at, float width, const State& state) {
  Ui& ui = frame.ui;
  const std::optional<Events>& events = state.events_of(1);
  const KindEvents* inlet = events ? events_of(*events, ValveKind::inlet) : nullptr;
  if (inlet == nullptr)
    return at.y + paragraph(ui, at, width, ui.fonts.text, ui.colours.quiet,
                            events ? "The engine file has no inlet lobes, so nothing says where compression begins."
                                   : state.events_fault);
  const Compression ratios = compression(frame.bench.engine().block, inlet->at_lash.closes_deg);
  float y = at.y + compression_rows(frame, at, width, ratios, inlet->at_lash.closes_deg) + ui.px(8);

  CrankingAssumptions& assumptions = frame.view.cranking;
  const CrankingPressure pressure = cranking_pressure(ratios.effective_ratio, assumptions);
  y += section_head(frame, {at.x, y}, "Cranking pressure, a rough estimate");
  const std::string words = fmt::format("About {} bar on the gauge", figure(pressure.gauge_kpa / 100.0, 1));
  text(ui, {at.x, y}, ui.fonts.title, ui.colours.ink, words);
  y += ui.px(24);
  text(ui, {at.x, y}, ui.fonts.note, ui.colours.quiet,
       fmt::format("{} kPa, {} psi over the atmosphere", figure(pressure.gauge_kpa, 0),
                   figure(pressure.gauge_kpa / 6.894757, 0)));
  y += ui.px(22);
  if (const auto entered = assumed(frame, {at.x, y}, width, "height above sea",
                                   {"valves.altitude", assumptions.altitude_m, 100, -400, 5000, 0, " m"}))
    assumptions.altitude_m = *entered;
  y += ui.px(28);
  if (const auto entered = assumed(frame, {at.x, y}, width, "exponent n",
                                   {"valves.exponent", assumptions.exponent, 0.05, 1, 1.4, 2, ""}))
    assumptions.exponent = *entered;
  y += ui.px(32);
  y += paragraph(
      ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet,
      fmt::format(
          "It takes air alone at {} kPa (ISO 2533 standard atmosphere), at rest when the inlet valve closes, "
          "compressed as p Vⁿ with no leak; n of 1.3 is a rule of thumb for slow cranking. Use it to compare one "
          "setting with another, never to judge rings or valves by a gauge.",
          figure(pressure.atmosphere_kpa, 1)));
  return y;
}

// Which cylinder, in the order they fire.
float cylinder_chooser(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const std::vector<int>& order = frame.bench.engine().block.firing_order;
  if (order.size() < 2) return 0.0f;
  text(ui, {at.x, at.y + (ui.px(24) - ui.fonts.text->FontSize) / 2.0f}, ui.fonts.text, ui.colours.ink,
       "cylinder, as they fire");
  std::vector<std::string> numbers;
  for (const int number : order) numbers.push_back(std::to_string(number));
  // Eight to a row at most, so that each can be hit.
  const float left = at.x + ui.px(150);
  const std::size_t rows = (numbers.size() + 7) / 8;
  const std::size_t in_row = (numbers.size() + rows - 1) / rows;
  float y = at.y;
  for (std::size_t from = 0; from < numbers.size(); from += in_row) {
    std::vector<const char*> words;
    std::size_t chosen = numbers.size();
    for (std::size_t i = from; i < std::min(from + in_row, numbers.size()); ++i) {
      if (order[i] == frame.view.cylinder) chosen = words.size();
      words.push_back(numbers[i].c_str());
    }
    const ScreenRect rect{left, y, at.x + width, y + ui.px(24)};
    if (const auto picked = segments(ui, "cylinder", rect, words, chosen)) {
      frame.view.cylinder = order[from + *picked];
      frame.actions.fit_again = true;
    }
    y += ui.px(28);
  }
  return y + ui.px(4) - at.y;
}

} // namespace

float valves_panel(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const State& shown = shown_state(frame.bench, frame.view.shown);
  const bool as_fitted = &shown == &frame.bench.fitted();
  float y =
      at.y + panel_head(frame, at, width, "Valves",
                        as_fitted ? "As fitted: when they move, and how." : "As planned: when they move, and how.",
                        "The card names lobe centres; what the engine feels is when each valve opens and shuts. Late "
                        "inlet closing gives breath at speed and takes pressure low down.");
  const ScreenRect pages{at.x, y, at.x + width, y + ui.px(26)};
  if (const auto picked = segments(ui, "valves.page", pages, {"events", "lobes", "compression"},
                                   static_cast<std::size_t>(frame.view.valves_page)))
    frame.view.valves_page = static_cast<ValvesPage>(*picked);
  y = pages.bottom + ui.px(10);
  switch (frame.view.valves_page) {
  case ValvesPage::events:
    y += cylinder_chooser(frame, {at.x, y}, width);
    return events_page(frame, {at.x, y}, width, shown);
  case ValvesPage::lobes:
    return lobe_plots(frame, {at.x, y}, width);
  case ValvesPage::compression:
    break;
  }
  return compression_page(frame, {at.x, y}, width, shown);
}

} // namespace phasewright::viewer
