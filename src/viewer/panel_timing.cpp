// Base timing: what is on the engine now, whether the marks face, and the events that follow.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

namespace {

struct EventColumns {
  float label;
  float now; // right edges
  float plan;
};

class EventTable {
public:
  EventTable(Frame& frame, ImVec2 at, float width)
      : ui_(frame.ui), fitted_(frame.bench.fitted().events),
        planned_(frame.bench.planned().events), columns_{at.x, at.x + width - frame.ui.px(104), at.x + width},
        y_(at.y) {}

  void head() {
    text_right(ui_, {columns_.now, y_}, ui_.fonts.note, ui_.colours.quiet, "fitted");
    text_right(ui_, {columns_.plan, y_}, ui_.fonts.note, ui_.colours.quiet, "plan");
    y_ += ui_.px(16);
  }

  // `read`: the row's text from one state's events, or nothing.
  template <class Read>
  void row(const char* label, ImU32 colour, Read read) {
    const std::optional<std::string> now = fitted_ ? read(*fitted_) : std::nullopt;
    const std::optional<std::string> plan = planned_ ? read(*planned_) : std::nullopt;
    if (!now && !plan) return;
    text(ui_, {columns_.label, y_}, ui_.fonts.text, colour, label);
    text_right(ui_, {columns_.now, y_}, ui_.fonts.text, ui_.colours.quiet, now.value_or("–"));
    text_right(ui_, {columns_.plan, y_}, ui_.fonts.text, ui_.colours.ink, plan.value_or("–"));
    y_ += ui_.px(20);
  }

  [[nodiscard]] float bottom() const { return y_; }

private:
  Ui& ui_;
  const std::optional<Events>& fitted_;
  const std::optional<Events>& planned_;
  EventColumns columns_;
  float y_;
};

float event_table(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  EventTable table(frame, at, width);
  table.head();
  const auto event = [](ValveKind kind, EventKind which, bool opens) {
    return [kind, which, opens](const Events& events) -> std::optional<std::string> {
      const KindEvents* found = events_of(events, kind);
      if (found == nullptr) return std::nullopt;
      return event_words(which, opens ? found->at_check.opens_deg : found->at_check.closes_deg);
    };
  };
  const auto centre = [](ValveKind kind, const char* word) {
    return [kind, word](const Events& events) -> std::optional<std::string> {
      const KindEvents* found = events_of(events, kind);
      if (found == nullptr) return std::nullopt;
      return fmt::format("{:.1f}° {}", found->centre_deg, word);
    };
  };
  table.row("inlet opens", ui.colours.inlet, event(ValveKind::inlet, EventKind::inlet_opens, true));
  table.row("inlet closes", ui.colours.inlet, event(ValveKind::inlet, EventKind::inlet_closes, false));
  table.row("inlet lobe centre", ui.colours.inlet, centre(ValveKind::inlet, "ATDC"));
  table.row("exhaust opens", ui.colours.exhaust, event(ValveKind::exhaust, EventKind::exhaust_opens, true));
  table.row("exhaust closes", ui.colours.exhaust, event(ValveKind::exhaust, EventKind::exhaust_closes, false));
  table.row("exhaust lobe centre", ui.colours.exhaust, centre(ValveKind::exhaust, "BTDC"));
  const auto plain = [](std::optional<double> Events::*figure_of) {
    return [figure_of](const Events& events) -> std::optional<std::string> {
      if (!(events.*figure_of)) return std::nullopt;
      return deg_text(*(events.*figure_of));
    };
  };
  table.row("overlap", ui.colours.ink, plain(&Events::overlap_deg));
  table.row("lobe separation, cam", ui.colours.ink, plain(&Events::separation_deg));
  return table.bottom() - at.y;
}

std::string marks_words(const Workbench& bench) {
  const Drive& drive = bench.fitted().mechanism.drive();
  std::string words;
  for (std::size_t i = 0; i < bench.engine().camshafts.size(); ++i)
    words += i == 0 ? fmt::format("In the reference assembly the {}'s mark stands {} from facing",
                                  camshaft_words(bench.engine(), i), deg_text(std::fabs(drive.mark_error_deg(i)), 2))
                    : fmt::format(", the {}'s {}", camshaft_words(bench.engine(), i),
                                  deg_text(std::fabs(drive.mark_error_deg(i)), 2));
  if (!words.empty()) words += ".";
  if (const auto& count = bench.fitted().pins_between_marks)
    words += fmt::format(" As laid, count {} pins between the marks along the taut side, crank at {} to {}.",
                         count->pins, deg_text(count->from_crank_deg, 0), deg_text(wrap_720(count->to_crank_deg), 0));
  return words;
}

} // namespace

float timing_panel(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const Workbench& bench = frame.bench;
  float y = at.y + panel_head(frame, at, width, "Base timing", "What is on the engine now.",
                              "Phase is how far the camshaft stands ahead (+) or behind (\u2212) of the maker's card, "
                              "in crank degrees. Lay, keys, wear and centres each add their share.");
  y += hang_verdict(frame, {at.x, y}, width);
  y += settings_table(frame, {at.x, y}, width, false) + ui.px(6);
  y += phase_verdict(frame, {at.x, y}, width, bench.fitted(), false) + ui.px(8);
  y += clearance_verdict(frame, {at.x, y}, width, bench.fitted(), false) + ui.px(5);
  y += cautions(frame, {at.x, y}, width) + ui.px(8);
  if (!marks_face(bench))
    y += verdict_box(ui, {at.x, y}, width, Verdict::warning, "The marks cannot face.",
                     {"A mark, the number of links or the centre distance in the engine file is wrong."}) +
         ui.px(8);
  y += paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.ink, marks_words(bench)) + ui.px(6);
  y += strand_table(frame, {at.x, y}, width) + ui.px(8);
  const double check_mm = bench.engine().camshafts.empty() ? 0.0 : bench.engine().camshafts.front().check_lift_mm;
  const std::string head = fmt::format("Events at {} lift", length_text(check_mm, frame.view.units));
  y += section_head(frame, {at.x, y}, head.c_str());
  if (!bench.fitted().events)
    return y + paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.quiet, bench.fitted().events_fault);
  return y - ui.px(16) + event_table(frame, {at.x, y - ui.px(16)}, width);
}

} // namespace phasewright::viewer
