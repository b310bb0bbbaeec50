// End float: how far the camshaft can be pushed to and fro, against its limits.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr const char* meaning =
    "Too little end float and the camshaft nips when hot; too much and it walks, and takes its sprocket out of line. "
    "The thickness of its retaining plate sets it.";
constexpr std::size_t most_readings = 12; // on the screen; files may hold more

void change(Frame& frame, Measured next, const char* what, const std::string& field) {
  frame.actions.measured = std::move(next);
  frame.actions.what = what;
  frame.actions.field = field;
}

// The limits as a band, each reading a stroke, the mean with what it may be out by below them.
void band(Frame& frame, Form& form, const EndFloat& found) {
  Ui& ui = frame.ui;
  const std::vector<double>& read = frame.bench.document().measured.float_mm;
  const ScreenRect box = form.row(64);
  record_item(ui, "float.band", box);
  const std::array<double, 2> limits = found.limits_mm.value_or(std::array<double, 2>{0.0, 0.0});
  double high = std::max(limits[1], found.float_mm + found.out_by_mm);
  for (const double mm : read) high = std::max(high, mm);
  high = std::max(high * 1.12, 0.02);
  const float left = box.left + ui.px(4);
  const float right = box.right - ui.px(4);
  const auto x = [&](double mm) { return left + (right - left) * static_cast<float>(std::clamp(mm / high, 0.0, 1.0)); };
  const float top = box.top + ui.px(4);
  const float base = box.top + ui.px(34);
  const float thick = std::max(1.5f, 2.0f * ui.scale);
  ui.list->AddRectFilled({left, top}, {right, base}, ui.colours.field, ui.px(3));
  if (found.limits_mm) {
    ui.list->AddRectFilled({x(limits[0]), top}, {x(limits[1]), base}, with_alpha(ui.colours.good, 0.18f));
    for (const double mm : limits) ui.list->AddLine({x(mm), top}, {x(mm), base}, ui.colours.good, thick);
  }
  ui.list->AddRect({left, top}, {right, base}, ui.colours.line, ui.px(3));
  for (const double mm : read)
    ui.list->AddLine({x(mm), top + ui.px(4)}, {x(mm), top + ui.px(15)}, ui.colours.ink, thick);
  const float y = base - ui.px(8);
  ui.list->AddLine({x(found.float_mm - found.out_by_mm), y}, {x(found.float_mm + found.out_by_mm), y},
                   ui.colours.accent, thick);
  ui.list->AddCircleFilled({x(found.float_mm), y}, ui.px(4), ui.colours.accent);
  // Figures below, kept inside and apart.
  const auto words_at = [&](double mm, float from, float to) {
    const std::string words = dial_text(mm, frame.view.units);
    const float half = text_size(ui.fonts.note, words).x / 2.0f;
    const float middle = std::clamp(x(mm), from + half, std::max(from + half, to - half));
    text_middle(ui, {middle, base + ui.px(4)}, ui.fonts.note, ui.colours.quiet, words);
    return middle + half;
  };
  if (!found.limits_mm) {
    words_at(found.float_mm, left, right);
    return;
  }
  const float second = text_size(ui.fonts.note, dial_text(limits[1], frame.view.units)).x + ui.px(10);
  const float used = words_at(limits[0], left, right - second);
  words_at(limits[1], used + ui.px(10), right);
}

// Fields two to a row: each reading, and one for the next.
void reading_fields(Frame& frame, Form& form) {
  Ui& ui = frame.ui;
  const std::vector<double>& read = frame.bench.document().measured.float_mm;
  form.section("Indicator readings, pushed to and fro");
  const Units units = frame.view.units;
  const std::size_t shown = std::min(read.size(), most_readings);
  const std::size_t fields = std::min(shown + 1, most_readings);
  const float gap = ui.px(10);
  const float half = std::floor((form.width() - gap) / 2.0f);
  const float side = ui.px(26);
  std::string problem;
  ScreenRect row{};
  for (std::size_t i = 0; i < fields; ++i) {
    if (i % 2 == 0) row = form.row(28);
    const float x = row.left + (i % 2 == 0 ? 0.0f : half + gap);
    const bool last = i == shown;
    const std::string name = last ? std::string("float.new") : fmt::format("float.{}", i + 1);
    NumberField field = number_of({.name = name.c_str(),
                                   .mm = last ? (read.empty() ? 0.0 : read.back()) : read[i],
                                   .low_mm = 0,
                                   .high_mm = 10,
                                   .units = units,
                                   .narrow = true,
                                   .hint = last ? "another reading; mm, thou or in" : nullptr,
                                   .absent = last});
    if (units == Units::mm) field.step = 0.01;
    const float room = last ? half : half - side - ui.px(4);
    const NumberAnswer answer = number_field(ui, {x, row.top}, room, field);
    if (!answer.problem.empty()) problem = answer.problem;
    if (answer.entered) {
      Measured next = frame.bench.document().measured;
      if (last)
        next.float_mm.push_back(entered_mm(*answer.entered, units));
      else
        next.float_mm[i] = entered_mm(*answer.entered, units);
      change(frame, std::move(next), "end float reading", name);
    }
    if (!last && button(ui, (name + ".remove").c_str(), {x + half - side, row.top, x + half, row.top + ui.px(24)}, "",
                        {.icon = Icon::cross, .hint = "take this reading away"})) {
      Measured next = frame.bench.document().measured;
      next.float_mm.erase(next.float_mm.begin() + static_cast<std::ptrdiff_t>(i));
      change(frame, std::move(next), "end float reading taken away", name);
    }
  }
  if (!problem.empty()) form.wrong(problem);
  if (read.size() > most_readings) form.note(fmt::format("and {} more in the file", read.size() - most_readings));
}

void camshaft_choice(Frame& frame, Form& form) {
  const std::vector<Camshaft>& camshafts = frame.bench.engine().camshafts;
  if (camshafts.size() < 2) return;
  std::vector<std::string> names;
  for (const Camshaft& camshaft : camshafts) names.push_back(camshaft.name);
  const std::string& of = frame.bench.document().measured.float_of;
  const std::size_t chosen = of.empty() ? 0 : static_cast<std::size_t>(std::ranges::find(names, of) - names.begin());
  form.sentence("Of the camshaft:");
  if (const auto picked = choice(form, frame.ui, "float.of", names, chosen)) {
    Measured next = frame.bench.document().measured;
    next.float_of = names[*picked];
    change(frame, std::move(next), "camshaft the end float was read on", "float.of");
  }
}

void part_fields(Frame& frame, Form& form) {
  const Measured& measured = frame.bench.document().measured;
  const Found<EndFloat>& found = *frame.bench.findings().end_float;
  form.section("Plate and boss, where measured");
  const auto one = [&](const char* label, const char* name, std::optional<double> Measured::*member, double low_mm,
                       double high_mm, double from_mm) {
    const auto answer = form.length(label, {.name = name,
                                            .mm = measured.*member,
                                            .low_mm = low_mm,
                                            .high_mm = high_mm,
                                            .from_mm = from_mm,
                                            .clearable = true,
                                            .hint = "empty when it was not measured"});
    if (!answer.mm && !answer.cleared) return;
    Measured next = measured;
    next.*member = answer.mm;
    change(frame, std::move(next), label, name);
  };
  const double plate_mm = found && found->plate_mm ? *found->plate_mm : 5.0;
  one("retaining plate", "float.plate", &Measured::plate_mm, 0.5, 30, plate_mm);
  one("boss it runs against", "float.boss", &Measured::boss_mm, 0.5, 100, plate_mm);
}

void figures(Frame& frame, Form& form, const EndFloat& found) {
  const Units units = frame.view.units;
  form.section("What it comes to");
  form.fact(fmt::format("mean of {}", found.readings == 1 ? "one reading" : fmt::format("{} readings", found.readings)),
            fmt::format("{} ±{}", dial_text(found.float_mm, units), dial_text(found.out_by_mm, units)));
  if (found.limits_mm)
    form.fact("limits, the maker's", fmt::format("{} to {}", dial_figure((*found.limits_mm)[0], units),
                                                 dial_text((*found.limits_mm)[1], units)));
  if (found.by_parts_mm)
    form.fact("boss less plate",
              fmt::format("{} ±{}", dial_text(*found.by_parts_mm, units), dial_text(found.by_parts_out_by_mm, units)));
  if (found.change_mm != 0.0) form.fact("change wanted", signed_dial_text(found.change_mm, units));
  if (found.wanted_plate_mm) form.fact("plate wanted", dial_text(*found.wanted_plate_mm, units));
  if (found.plate_wear_mm) form.fact("plate worn by", dial_text(*found.plate_wear_mm, units));
  if (found.boss_wear_mm) form.fact("boss worn by", dial_text(*found.boss_wear_mm, units));
  if (found.grown_mm)
    form.fact(found.grown_since.empty() ? std::string("grown since first read") : "grown since " + found.grown_since,
              fmt::format("{} ±{}", signed_dial_text(*found.grown_mm, units), dial_text(found.grown_out_by_mm, units)));
  form.space(2);
  for (const std::string& advice : found.advice) form.note(advice);
  form.note(
      "±: 95 %, by Student's t for as few readings as there are. Three readings or more tell how steady they are.");
}

} // namespace

float end_float_panel(Frame& frame, ImVec2 at, float width) {
  const Found<EndFloat>& found = *frame.bench.findings().end_float;
  Form form(
      frame,
      {at.x, at.y + panel_head(frame, at, width, "End float", "How far the camshaft moves along its axis.", meaning)},
      width);
  const bool read = !frame.bench.document().measured.float_mm.empty();
  if (found) {
    form.verdict(end_float_standing(frame.bench), found->words);
    band(frame, form, *found);
  } else {
    form.verdict(Verdict::warning, read ? "End float is not computed." : "Not read yet.",
                 {read ? found.fault
                       : std::string("Stand an indicator on the camshaft's end, push it to and fro, and put in what it "
                                     "moved.")});
  }
  camshaft_choice(frame, form);
  reading_fields(frame, form);
  part_fields(frame, form);
  if (found) figures(frame, form, *found);
  form.space(4);
  form.note(bench_cautions);
  return form.bottom();
}

} // namespace phasewright::viewer
