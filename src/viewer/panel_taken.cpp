// What was read on the wheel: stop pairs, lobe pairs and counted pins, each a row that can be changed or taken away,
// and a row for the next; then all of it can be put by.
#include "bench/history.hpp"
#include "files/files.hpp"
#include "viewer/form.hpp"
#include "viewer/readings.hpp"
#include "viewer/today.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

void change(Frame& frame, Measured next, const char* what, const std::string& field) {
  frame.actions.measured = std::move(next);
  frame.actions.what = what;
  frame.actions.field = field;
}

// A bare field of a row.
struct Cell {
  std::optional<double> entered;
  std::string problem;
};

Cell degrees_cell(Ui& ui, ImVec2 at, float width, const std::string& name, std::optional<double> deg, double low_deg,
                  const char* hint) {
  const NumberAnswer answer = number_field(ui, at, width,
                                           {.name = name.c_str(),
                                            .value = deg.value_or(0.0),
                                            .step = 1,
                                            .low = low_deg,
                                            .high = 720,
                                            .decimals = 1,
                                            .unit = "°",
                                            .hint = hint,
                                            .bare = true,
                                            .absent = !deg});
  return {answer.entered, answer.problem};
}

// ---- Piston stop

struct StopRow {
  NewStop stop;
  bool changed = false;
  std::string problem;
};

StopRow stop_fields(Frame& frame, const ScreenRect& row, const std::string& name, const NewStop& stop) {
  Ui& ui = frame.ui;
  const float side = ui.px(26);
  const float gap = ui.px(6);
  const float wide = std::floor((row.width() - side - 2 * gap) / 2.0f);
  const Cell before = degrees_cell(ui, top_left(row), wide, name + ".before", stop.before_deg, -360,
                                   "the wheel where the piston meets the stop turning forward");
  const Cell after = degrees_cell(ui, {row.left + wide + gap, row.top}, wide, name + ".after", stop.after_deg, -360,
                                  "the wheel where it meets the stop from the other side");
  StopRow answer{stop, before.entered || after.entered, before.problem.empty() ? after.problem : before.problem};
  if (before.entered) answer.stop.before_deg = before.entered;
  if (after.entered) answer.stop.after_deg = after.entered;
  return answer;
}

void stop_rows(Frame& frame, Form& form) {
  Ui& ui = frame.ui;
  const std::vector<std::array<double, 2>>& stops = frame.bench.document().measured.stop_deg;
  form.section("Piston stop, wheel before and after TDC");
  for (std::size_t i = 0; i < stops.size(); ++i) {
    const std::string name = fmt::format("stop.{}", i + 1);
    const ScreenRect row = form.row(28);
    const StopRow answer = stop_fields(frame, row, name, {stops[i][0], stops[i][1]});
    if (answer.changed) {
      Measured next = frame.bench.document().measured;
      next.stop_deg[i] = {*answer.stop.before_deg, *answer.stop.after_deg};
      change(frame, std::move(next), "stop reading", name);
    }
    if (button(ui, (name + ".remove").c_str(), {row.right - ui.px(26), row.top, row.right, row.top + ui.px(24)}, "",
               {.icon = Icon::cross, .hint = "take this pair away"})) {
      Measured next = frame.bench.document().measured;
      next.stop_deg.erase(next.stop_deg.begin() + static_cast<std::ptrdiff_t>(i));
      change(frame, std::move(next), "stop reading taken away", name);
    }
    form.wrong(answer.problem);
  }
  const ScreenRect row = form.row(28);
  const StopRow answer = stop_fields(frame, row, "stop.new", frame.view.stop);
  frame.view.stop = answer.stop;
  const bool whole = answer.stop.before_deg && answer.stop.after_deg;
  if (button(ui, "stop.add", {row.right - ui.px(26), row.top, row.right, row.top + ui.px(24)}, "",
             {.icon = Icon::plus, .enabled = whole, .hint = "add this pair to the others"})) {
    Measured next = frame.bench.document().measured;
    next.stop_deg.push_back({*answer.stop.before_deg, *answer.stop.after_deg});
    change(frame, std::move(next), "stop reading added", "stop.new.after");
    frame.actions.clears = Actions::Clears::stop;
  }
  form.wrong(answer.problem);
}

// ---- Lobes

struct LobeColumns {
  ScreenRect valve;
  float cylinder, lift, opens, closes; // left edges
  float cylinder_width, figure_width;
  ScreenRect button;
};

LobeColumns columns_of(const Ui& ui, const ScreenRect& row, bool cylinders) {
  const float gap = ui.px(5);
  const float bottom = row.top + ui.px(24);
  LobeColumns columns{};
  columns.valve = {row.left, row.top, row.left + ui.px(52), bottom};
  columns.button = {row.right - ui.px(24), row.top, row.right, bottom};
  columns.cylinder = columns.valve.right + gap;
  columns.cylinder_width = cylinders ? ui.px(28) : 0.0f;
  columns.lift = columns.cylinder + (cylinders ? columns.cylinder_width + gap : 0.0f);
  columns.figure_width = std::floor((columns.button.left - columns.lift - 3 * gap) / 3.0f);
  columns.opens = columns.lift + columns.figure_width + gap;
  columns.closes = columns.opens + columns.figure_width + gap;
  return columns;
}

void lobe_head(Frame& frame, Form& form, bool cylinders) {
  Ui& ui = frame.ui;
  const ScreenRect row = form.row(16);
  const LobeColumns columns = columns_of(ui, row, cylinders);
  const auto word = [&](float x, const char* words) { text(ui, {x, row.top}, ui.fonts.note, ui.colours.quiet, words); };
  word(columns.valve.left, "valve");
  if (cylinders) word(columns.cylinder, "No.");
  word(columns.lift, frame.view.units == Units::mm ? "lift, mm" : "lift, thou");
  word(columns.opens, "opens °");
  word(columns.closes, "closes °");
}

struct LobeRow {
  NewLobe lobe;
  bool changed = false;
  std::string problem;
};

LobeRow lobe_fields(Frame& frame, const ScreenRect& row, const std::string& name, const NewLobe& lobe) {
  Ui& ui = frame.ui;
  const int cylinders = frame.bench.engine().block.cylinders;
  const LobeColumns columns = columns_of(ui, row, cylinders > 1);
  LobeRow answer{lobe, false, {}};
  const auto problem = [&answer](const std::string& words) {
    if (!words.empty()) answer.problem = words;
  };
  if (const auto valve =
          segments(ui, (name + ".valve").c_str(), columns.valve, {"in", "ex"}, static_cast<std::size_t>(lobe.valve))) {
    answer.lobe.valve = static_cast<ValveKind>(*valve);
    answer.changed = true;
  }
  if (cylinders > 1) {
    const std::string field = name + ".cylinder";
    const NumberAnswer typed = number_field(ui, {columns.cylinder, row.top}, columns.cylinder_width,
                                            {.name = field.c_str(),
                                             .value = static_cast<double>(lobe.cylinder),
                                             .step = 1,
                                             .low = 1,
                                             .high = static_cast<double>(cylinders),
                                             .decimals = 0,
                                             .unit = "",
                                             .hint = "the cylinder",
                                             .bare = true});
    problem(typed.problem);
    if (typed.entered) answer.lobe.cylinder = static_cast<int>(std::lround(*typed.entered));
    answer.changed |= typed.entered.has_value();
  }
  const std::string lift = name + ".lift";
  const NumberAnswer typed = number_field(ui, {columns.lift, row.top}, columns.figure_width,
                                          number_of({.name = lift.c_str(),
                                                     .mm = lobe.lift_mm.value_or(0.0),
                                                     .low_mm = 0.01,
                                                     .high_mm = 40,
                                                     .units = frame.view.units,
                                                     .hint = "on the indicator; mm, thou or in may be typed",
                                                     .bare = true,
                                                     .absent = !lobe.lift_mm}));
  problem(typed.problem);
  if (typed.entered) answer.lobe.lift_mm = entered_mm(*typed.entered, frame.view.units);
  const Cell opens = degrees_cell(ui, {columns.opens, row.top}, columns.figure_width, name + ".opens", lobe.opens_deg,
                                  0, "the wheel where it reaches that lift, opening");
  const Cell closes = degrees_cell(ui, {columns.closes, row.top}, columns.figure_width, name + ".closes",
                                   lobe.closes_deg, 0, "the wheel where it comes back to it, closing");
  problem(opens.problem);
  problem(closes.problem);
  if (opens.entered) answer.lobe.opens_deg = opens.entered;
  if (closes.entered) answer.lobe.closes_deg = closes.entered;
  answer.changed |= typed.entered || opens.entered || closes.entered;
  return answer;
}

// Where the indicator stands, small, under a row; what the row comes to beside it.
void under_row(Frame& frame, Form& form, const std::string& name, LobeRow& answer, const std::string& words,
               ImU32 colour) {
  Ui& ui = frame.ui;
  const ScreenRect row = form.row(19);
  LobeReading asked;
  asked.valve = answer.lobe.valve;
  asked.cylinder = answer.lobe.cylinder;
  asked.at = answer.lobe.at;
  const CheckAt at = reading_at(frame.bench.engine(), asked);
  const ScreenRect place{row.left, row.top, row.left + ui.px(104), row.top + ui.px(18)};
  if (const auto picked =
          segments(ui, (name + ".at").c_str(), place, {"tappet", "valve"}, static_cast<std::size_t>(at))) {
    answer.lobe.at = static_cast<CheckAt>(*picked);
    answer.changed = true;
  }
  const float x = place.right + ui.px(8);
  const float height = paragraph(ui, {x, row.top + ui.px(2)}, row.right - x, ui.fonts.note, colour, words);
  form.space(std::max(8.0f, (height - ui.px(14)) / ui.scale + 6.0f));
}

const PairRead* pair_of(const Workbench& bench, std::size_t reading) {
  const Found<DegreeRead>& found = *bench.findings().degree;
  if (!found) return nullptr;
  for (const LobeRead& lobe : found->lobes)
    for (const PairRead& pair : lobe.pairs)
      if (pair.reading == reading) return &pair;
  return nullptr;
}

std::string pair_words(const Workbench& bench, std::size_t reading) {
  const PairRead* pair = pair_of(bench, reading);
  if (pair == nullptr) return {};
  if (pair->left_out) return "far from the others: left out";
  return fmt::format("{} off; {} long, drawn {}", signed_deg_text(pair->left_deg), deg_text(pair->duration_deg),
                     deg_text(pair->foretold_duration_deg));
}

void lobe_rows(Frame& frame, Form& form) {
  Ui& ui = frame.ui;
  const bool cylinders = frame.bench.engine().block.cylinders > 1;
  const std::vector<LobeReading>& lobes = frame.bench.document().measured.lobe;
  form.section("Lobes, wheel as it stands");
  lobe_head(frame, form, cylinders);
  for (std::size_t i = 0; i < lobes.size(); ++i) {
    const std::string name = fmt::format("lobe.{}", i + 1);
    const ScreenRect row = form.row(27);
    const LobeReading& now = lobes[i];
    LobeRow answer =
        lobe_fields(frame, row, name, {now.valve, now.cylinder, now.lift_mm, now.at, now.opens_deg, now.closes_deg});
    if (button(ui, (name + ".remove").c_str(), columns_of(ui, row, cylinders).button, "",
               {.icon = Icon::cross, .hint = "take this reading away  (Delete: the last)"}))
      remove_lobe(frame.bench, i, frame.actions);
    const PairRead* pair = pair_of(frame.bench, i);
    const bool out = pair != nullptr && pair->left_out;
    under_row(frame, form, name, answer, answer.problem.empty() ? pair_words(frame.bench, i) : answer.problem,
              !answer.problem.empty() ? ui.colours.bad
              : out                   ? ui.colours.warning
                                      : ui.colours.quiet);
    if (!answer.changed) continue;
    Measured next = frame.bench.document().measured;
    next.lobe[i] = {answer.lobe.valve, answer.lobe.cylinder,   *answer.lobe.lift_mm,
                    answer.lobe.at,    *answer.lobe.opens_deg, *answer.lobe.closes_deg};
    change(frame, std::move(next), "lobe reading", name);
  }
  const ScreenRect row = form.row(27);
  LobeRow answer = lobe_fields(frame, row, "lobe.new", frame.view.lobe);
  if (button(ui, "lobe.add", columns_of(ui, row, cylinders).button, "",
             {.icon = Icon::plus,
              .enabled = can_add_lobe(frame.bench, frame.view),
              .hint = "add this reading to the others  (A)"}))
    add_lobe(frame.bench, frame.view, frame.actions);
  under_row(frame, form, "lobe.new", answer, answer.problem.empty() ? "type another, and add it" : answer.problem,
            answer.problem.empty() ? ui.colours.quiet : ui.colours.bad);
  frame.view.lobe = answer.lobe;
  form.note("Off: from where the other readings put it. Long: from opening to closing. Crank degrees.");
}

// ---- Pins counted

void pin_rows(Frame& frame, Form& form) {
  const Measured& measured = frame.bench.document().measured;
  form.section("Pins between the marks, taut side");
  for (const Camshaft& camshaft : frame.bench.engine().camshafts) {
    // The only camshaft's count may stand without its name.
    const auto is_its = [&camshaft](const PinCount& one) {
      return one.camshaft == camshaft.name || one.camshaft.empty();
    };
    const auto read = std::ranges::find_if(measured.pins, is_its);
    const bool absent = read == measured.pins.end();
    const std::string name = "pins." + camshaft.name;
    const auto& counted = frame.bench.fitted().pins_between_marks;
    const NumberField field{.name = name.c_str(),
                            .value = absent ? (counted ? static_cast<double>(counted->pins) : 0.0)
                                            : static_cast<double>(read->pins),
                            .step = 1,
                            .low = 0,
                            .high = 1000,
                            .decimals = 0,
                            .unit = " pins",
                            .hint = "both marks' own pins left out; empty when they were not counted",
                            .absent = absent,
                            .clearable = true};
    const Form::Whole answer =
        form.whole(frame.bench.engine().camshafts.size() == 1 ? "counted" : camshaft.name, field);
    if (!answer.figure && !answer.cleared) continue;
    Measured next = measured;
    const std::string as_written = absent ? camshaft.name : read->camshaft;
    std::erase_if(next.pins, is_its);
    if (answer.figure) next.pins.push_back({as_written, *answer.figure});
    change(frame, std::move(next), "pins counted", name);
  }
}

// ---- Putting by

std::string date_fault(const std::string& words) {
  return words.empty() || is_date(words) ? "" : "year, month and day of a day there is: 2026-05-14";
}

void put_by_fields(Frame& frame, Form& form) {
  Ui& ui = frame.ui;
  const Measured& measured = frame.bench.document().measured;
  if (!has_readings(measured)) return;
  const auto said = [&](std::string Measured::*which, const std::string& words, const char* what, const char* field) {
    Measured next = measured;
    next.*which = words;
    change(frame, std::move(next), what, field);
  };
  form.section("Put these readings by");
  if (const auto date = form.words("date", {.name = "put_by.date",
                                            .value = measured.date,
                                            .hint = "year, month, day",
                                            .when_empty = "2026-05-14",
                                            .most_bytes = 10,
                                            .fault = date_fault}))
    said(&Measured::date, *date, "date", "put_by.date");
  if (const auto note = form.words("note", {.name = "put_by.note",
                                            .value = measured.note,
                                            .hint = "a line of your own",
                                            .when_empty = "before the key was fitted"}))
    said(&Measured::note, *note, "note", "put_by.note");
  const ScreenRect row = form.row(32);
  const float middle = row.left + ui.px(104);
  if (measured.date.empty() &&
      button(ui, "put_by.today", {middle + ui.px(8), row.top, middle + ui.px(72), row.top + ui.px(26)}, "today",
             {.hint = "put in today's date"}))
    said(&Measured::date, today(), "date", "put_by.date");
  if (button(ui, "put_by", {row.left, row.top, middle, row.top + ui.px(26)}, "put them by",
             {.hint = "into the history, gaps and end float too: the bench is clear for the next"})) {
    Build moved = put_by(frame.bench.build());
    Document next = frame.bench.document();
    next.measured = std::move(moved.measured);
    next.history = std::move(moved.history);
    frame.actions.document = std::move(next);
    frame.actions.what = "readings put by";
    frame.actions.field = "put_by";
  }
}

} // namespace

float taken_page(Frame& frame, ImVec2 at, float width) {
  Form form(frame, at, width);
  stop_rows(frame, form);
  lobe_rows(frame, form);
  pin_rows(frame, form);
  put_by_fields(frame, form);
  form.space(2);
  form.note(bench_cautions);
  return form.bottom();
}

} // namespace phasewright::viewer
