// Clearances measured on the bench: each a row that can be changed or taken away, how far it lies from what is
// reckoned with, and a row for the next.
#include "viewer/frame.hpp"
#include "viewer/readings.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr double greatest_mm = 50.0; // as build files allow

// Where the parts of a row stand.
struct ReadingColumns {
  ScreenRect valve;
  float crank;
  float gap;
  float crank_width;
  float gap_width;
  ScreenRect button;
};

ReadingColumns columns_of(const Ui& ui, ImVec2 at, float width) {
  const float height = ui.px(24);
  const float gap = ui.px(6);
  ReadingColumns columns{};
  columns.valve = {at.x, at.y, at.x + ui.px(62), at.y + height};
  columns.button = {at.x + width - ui.px(26), at.y, at.x + width, at.y + height};
  columns.crank = columns.valve.right + gap;
  const float both = columns.button.left - gap - columns.crank - gap;
  columns.crank_width = std::floor((both - ui.px(10)) / 2.0f); // a clearance with its unit takes more
  columns.gap = columns.crank + columns.crank_width + gap;
  columns.gap_width = columns.button.left - gap - columns.gap;
  return columns;
}

// The field of a clearance, in the units of the screen; gives it in mm.
std::optional<double> gap_field(Frame& frame, ImVec2 at, float width, const std::string& name, double mm,
                                std::string& problem) {
  const NumberAnswer answer =
      number_field(frame.ui, at, width,
                   number_of({.name = name.c_str(),
                              .mm = mm,
                              .low_mm = 0,
                              .high_mm = greatest_mm,
                              .units = frame.view.units,
                              .narrow = true,
                              .hint = "measured along the valve’s axis; mm, thou or in may be typed"}));
  if (!answer.problem.empty()) problem = answer.problem;
  if (!answer.entered) return std::nullopt;
  return entered_mm(*answer.entered, frame.view.units);
}

std::optional<double> crank_field(Frame& frame, ImVec2 at, float width, const std::string& name,
                                  std::optional<double> deg, std::string& problem) {
  const NumberAnswer answer = number_field(frame.ui, at, width,
                                           {.name = name.c_str(),
                                            .value = deg.value_or(0.0),
                                            .step = 1,
                                            .low = 0,
                                            .high = 720,
                                            .decimals = 1,
                                            .unit = "°",
                                            .hint = "crank angle of No. 1, 0° at its overlap TDC",
                                            .absent = !deg});
  if (!answer.problem.empty()) problem = answer.problem;
  return answer.entered;
}

std::optional<ValveKind> valve_switch(Frame& frame, const ScreenRect& rect, const std::string& name, ValveKind valve) {
  const auto picked = segments(frame.ui, name.c_str(), rect, {"in", "ex"}, static_cast<std::size_t>(valve));
  if (!picked) return std::nullopt;
  return static_cast<ValveKind>(*picked);
}

// How far a reading lies from the gap that is reckoned with; nothing when it plays no part.
std::optional<double> left_over_mm(const State& state, const std::vector<ClearanceReading>& readings,
                                   std::size_t index) {
  const ValveKind kind = readings[index].valve;
  if (!state.standing.model || !state.standing.model->has(kind)) return std::nullopt;
  std::size_t place = 0;
  for (std::size_t i = 0; i < index; ++i)
    if (readings[i].valve == kind) ++place;
  const std::vector<double>& left = state.standing.model->fit(kind).left_mm;
  if (place >= left.size()) return std::nullopt;
  return left[place];
}

// The only reading of its kind has nothing to differ from.
std::string left_over_words(const Frame& frame, std::size_t index) {
  const std::vector<ClearanceReading>& readings = frame.bench.document().measured.clearance;
  const auto left = left_over_mm(frame.bench.fitted(), readings, index);
  if (!left) return "the engine file has no such valve";
  if (frame.bench.fitted().standing.model->fit(readings[index].valve).readings < 2) return {};
  return fmt::format("{}{} {} from what all readings of it come to", *left > 0.0 ? "+" : "",
                     length_figure(*left, frame.view.units), unit_word(frame.view.units));
}

void change(Frame& frame, std::vector<ClearanceReading> readings, const char* what, const std::string& field) {
  Measured next = frame.bench.document().measured;
  next.clearance = std::move(readings);
  frame.actions.measured = std::move(next);
  frame.actions.what = what;
  frame.actions.field = field;
}

// Both fields with their trouble below them; gives the height.
struct RowAnswer {
  ClearanceReading reading;
  bool changed = false;
  std::string field;
  std::string problem;
};

RowAnswer reading_fields(Frame& frame, const ReadingColumns& columns, const std::string& name,
                         const ClearanceReading& reading, bool crank_known) {
  RowAnswer answer{reading, false, {}, {}};
  if (const auto valve = valve_switch(frame, columns.valve, name + ".valve", reading.valve)) {
    answer.reading.valve = *valve;
    answer.changed = true;
    answer.field = name + ".valve";
  }
  if (const auto deg = crank_field(frame, {columns.crank, columns.valve.top}, columns.crank_width, name + ".crank",
                                   crank_known ? std::optional(reading.crank_deg) : std::nullopt, answer.problem)) {
    answer.reading.crank_deg = *deg;
    answer.changed = true;
    answer.field = name + ".crank";
  }
  if (const auto mm = gap_field(frame, {columns.gap, columns.valve.top}, columns.gap_width, name + ".gap",
                                reading.clearance_mm, answer.problem)) {
    answer.reading.clearance_mm = *mm;
    answer.changed = true;
    answer.field = name + ".gap";
  }
  return answer;
}

float reading_row(Frame& frame, ImVec2 at, float width, std::size_t index) {
  Ui& ui = frame.ui;
  const std::vector<ClearanceReading>& readings = frame.bench.document().measured.clearance;
  const std::string name = fmt::format("reading.{}", index + 1);
  const ReadingColumns columns = columns_of(ui, at, width);
  const RowAnswer answer = reading_fields(frame, columns, name, readings[index], true);
  if (answer.changed) {
    std::vector<ClearanceReading> next = readings;
    next[index] = answer.reading;
    change(frame, std::move(next), "clearance reading", answer.field);
  }
  if (button(ui, (name + ".remove").c_str(), columns.button, "",
             {.icon = Icon::cross, .hint = "take this reading away  (Delete: the last)"}))
    remove_reading(frame.bench, index, frame.actions);
  float y = at.y + ui.px(26);
  if (!answer.problem.empty()) {
    y += paragraph(ui, {columns.crank, y}, at.x + width - columns.crank, ui.fonts.note, ui.colours.bad, answer.problem);
  } else {
    y += paragraph(ui, {columns.crank, y}, at.x + width - columns.crank, ui.fonts.note, ui.colours.quiet,
                   left_over_words(frame, index));
  }
  return y + ui.px(4) - at.y;
}

float new_reading(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  NewReading& draft = frame.view.reading;
  const ReadingColumns columns = columns_of(ui, at, width);
  const std::optional<double> crank_deg = new_reading_deg(frame.view);
  const RowAnswer answer = reading_fields(
      frame, columns, "reading.new", {draft.valve, crank_deg.value_or(0.0), draft.clearance_mm}, crank_deg.has_value());
  draft.valve = answer.reading.valve;
  draft.clearance_mm = answer.reading.clearance_mm;
  if (answer.field == "reading.new.crank") draft.crank_deg = answer.reading.crank_deg;
  if (button(ui, "reading.add", columns.button, "",
             {.icon = Icon::plus,
              .enabled = can_add_reading(frame.bench, frame.view),
              .hint = "add this reading to the others  (A)"}))
    add_reading(frame.bench, frame.view, frame.actions);
  float y = at.y + ui.px(26);
  const std::string fault = reading_fault(frame.bench, frame.view);
  y += paragraph(ui, {columns.crank, y}, at.x + width - columns.crank, ui.fonts.note,
                 !answer.problem.empty() ? ui.colours.bad
                 : !fault.empty()        ? ui.colours.warning
                                         : ui.colours.quiet,
                 !answer.problem.empty() ? answer.problem
                 : !fault.empty()        ? fault
                 : !crank_deg            ? std::string("type the angle that wheel and stop tell, and the gap")
                 : draft.crank_deg       ? std::string("type the gap you felt, and add it")
                                         : std::string("where the crank stands: type the gap, and add it"));
  return y - at.y;
}

float fit_words(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const State& state = frame.bench.fitted();
  if (!state.standing.model) return 0.0f;
  const Units units = frame.view.units;
  float y = at.y;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    if (!state.standing.model->has(kind)) continue;
    const GapFit& fit = state.standing.model->fit(kind);
    const std::string words =
        fit.readings == 0
            ? fmt::format("{}: not measured; by the dimensions, ±{}.", kind == ValveKind::inlet ? "Inlet" : "Exhaust",
                          length_text(coverage * fit.u_mm, units))
        : length_figure(std::fabs(fit.correction_mm), units) == length_figure(0.0, units)
            ? fmt::format("{}: just as drawn, ±{}.", kind == ValveKind::inlet ? "Inlet" : "Exhaust",
                          length_text(coverage * fit.u_mm, units))
            : fmt::format("{}: {}{} {} on the drawn gap, ±{}.", kind == ValveKind::inlet ? "Inlet" : "Exhaust",
                          fit.correction_mm > 0.0 ? "+" : "", length_figure(fit.correction_mm, units), unit_word(units),
                          length_text(coverage * fit.u_mm, units));
    y += paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.ink, words) + ui.px(2);
    if (fit.scattered)
      y += verdict_box(ui, {at.x, y}, width, Verdict::warning, fmt::format("The {} readings disagree.", to_word(kind)),
                       {"By more than the instruments explain: measure again. Till then the ± is widened."}) +
           ui.px(4);
    if (fit.wild)
      y += verdict_box(ui, {at.x, y}, width, Verdict::warning,
                       fmt::format("The {} readings can hardly be right.", to_word(kind)),
                       {fmt::format("They put the valve {} from where it is drawn, more than a drawing is wrong by: "
                                    "check their crank angles and lengths.",
                                    length_text(std::fabs(fit.correction_mm), units))}) +
           ui.px(4);
  }
  return y - at.y;
}

} // namespace

float readings_page(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const ReadingColumns columns = columns_of(ui, at, width);
  float y = at.y;
  text(ui, {at.x, y}, ui.fonts.note, ui.colours.quiet, "valve");
  text(ui, {columns.crank, y}, ui.fonts.note, ui.colours.quiet, "crank, of No. 1");
  text(ui, {columns.gap, y}, ui.fonts.note, ui.colours.quiet, "valve to piston");
  y += ui.px(16);
  for (std::size_t i = 0; i < frame.bench.document().measured.clearance.size(); ++i)
    y += reading_row(frame, {at.x, y}, width, i);
  y += ui.px(4);
  y += section_head(frame, {at.x, y}, "Another reading");
  y += new_reading(frame, {at.x, y}, width) + ui.px(10);
  y += section_head(frame, {at.x, y}, "What they come to, k = 2");
  y += fit_words(frame, {at.x, y}, width) + ui.px(4);
  if (!same_fit(frame.bench.build().measured.with, frame.bench.document().fitted, frame.bench.engine()))
    y += paragraph(
             ui, {at.x, y}, width, ui.fonts.note, ui.colours.warning,
             "The build file says what was fitted when they were taken; something else is fitted now. New readings "
             "count as taken then, too.") +
         ui.px(4);
  y += paragraph(
      ui, {at.x, y}, width, ui.fonts.note, ui.colours.quiet,
      "How: a light spring on the valve, a dial indicator on its stem; with the crank held, push the valve down "
      "until it meets the piston, and read how far it went beyond its lift.");
  return y;
}

} // namespace phasewright::viewer
