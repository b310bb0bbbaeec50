// Sheets, wheels, cards, pictures, films, models and tables of the build, made from one panel.
#include "viewer/folder_list.hpp"
#include "viewer/form.hpp"
#include "viewer/left_work.hpp"
#include "viewer/output.hpp"
#include "viewer/output_desk.hpp"
#include "viewer/output_look.hpp"

#include <fmt/format.h>

#include <filesystem>

namespace phasewright::viewer {

namespace {

const char* what_for(OutputKind kind) {
  switch (kind) {
  case OutputKind::sheet:
    return "For the customer and the bench: the correction and why, readings, events, clearances, a checklist.";
  case OutputKind::wheel:
    return "To print at true size, cut out and fit to the crank.";
  case OutputKind::key_card:
    return "The step of each key ten times as large, and which way it faces.";
  case OutputKind::picture:
    return "The drive as it stands, with the crank where it is now.";
  case OutputKind::film:
    return "The drive moving, for a class or a customer.";
  case OutputKind::model:
    return "One engine cycle, animated, for other programs. The preview shows the parts.";
  case OutputKind::curves:
    return "Lifts, motion and clearances as a table, for a spreadsheet. The preview shows how it begins.";
  case OutputKind::answers:
    return "What every command answers, for scripts. The preview shows how it begins.";
  }
  return "";
}

void kinds(Form& form, Frame& frame) {
  OutputWishes& wishes = frame.view.output;
  form.note("File to make  (P)");
  std::vector<std::string> words;
  for (std::size_t i = 0; i < output_kinds; ++i) words.emplace_back(name_of(static_cast<OutputKind>(i)));
  if (const auto picked = choice(form, frame.ui, "output.kind", words, index_of(wishes.kind)))
    take_kind(wishes, static_cast<OutputKind>(*picked));
}

void choices(Form& form, Frame& frame) {
  for (const OutputChoice& one : choices_of(frame.view)) {
    form.note(fmt::format("{}  ({})", one.label, one.key_word));
    if (const auto picked = choice(form, frame.ui, one.name, one.words, one.chosen))
      one.choose(*picked, frame.view, frame.actions);
  }
}

void whole(Form& form, const char* label, const NumberField& field, int& figure) {
  if (const auto entered = form.whole(label, field).figure) figure = *entered;
}

void wheel_figures(Form& form, OutputWishes& wishes) {
  if (const auto mm =
          form.length("diameter", {.name = "output.diameter", .mm = wishes.diameter_mm, .low_mm = 80, .high_mm = 500})
              .mm)
    wishes.diameter_mm = *mm;
  const Form::Answer bore =
      form.length("bore", {.name = "output.bore",
                           .mm = wishes.bore_mm,
                           .low_mm = 2,
                           .high_mm = 500,
                           .from_mm = 25,
                           .clearable = true,
                           .hint = "of the crank's nose or its nut; empty: the centre is marked"});
  if (bore.mm) wishes.bore_mm = bore.mm;
  if (bore.cleared) wishes.bore_mm.reset();
}

void figures(Form& form, OutputWishes& wishes) {
  if (wishes.kind == OutputKind::wheel) wheel_figures(form, wishes);
  if (wishes.kind == OutputKind::film) {
    whole(form, "frames",
          {.name = "output.frames",
           .value = static_cast<double>(wishes.frames),
           .step = 10,
           .low = 2,
           .high = 2000,
           .decimals = 0,
           .unit = ""},
          wishes.frames);
    whole(form, "frames a second",
          {.name = "output.fps",
           .value = static_cast<double>(wishes.frames_per_second),
           .step = 5,
           .low = 5,
           .high = 60,
           .decimals = 0,
           .unit = ""},
          wishes.frames_per_second);
  }
  if (wishes.kind == OutputKind::picture || wishes.kind == OutputKind::film) {
    whole(form, "width",
          {.name = "output.width",
           .value = static_cast<double>(wishes.width_px),
           .step = 64,
           .low = 16,
           .high = 8192,
           .decimals = 0,
           .unit = " px"},
          wishes.width_px);
    whole(form, "height",
          {.name = "output.height",
           .value = static_cast<double>(wishes.height_px),
           .step = 40,
           .low = 16,
           .high = 8192,
           .decimals = 0,
           .unit = " px"},
          wishes.height_px);
  }
  if (wishes.kind == OutputKind::curves)
    if (const auto step = form.number("a row every", {.name = "output.step",
                                                      .value = wishes.step_deg,
                                                      .step = 0.5,
                                                      .low = 0.01,
                                                      .high = 20,
                                                      .decimals = 2,
                                                      .unit = "°"}))
      wishes.step_deg = *step;
}

void where(Form& form, Frame& frame, const std::string& path) {
  OutputWishes& wishes = frame.view.output;
  const auto typed = form.words(
      "into", {.name = "output.path", .value = path, .hint = "the file; empty: beside the build", .most_bytes = 480});
  if (typed)
    wishes.path[index_of(wishes.kind)] =
        typed->empty() ? "" : spelt_out(*typed, std::filesystem::path(file_of(frame.bench)).parent_path()).string();
}

// How far the file in the making is; only a film can be stopped, all else is done in a moment.
void progress(Form& form, Frame& frame) {
  Ui& ui = frame.ui;
  const OutputDesk& desk = frame.output;
  const std::string file = std::filesystem::path(desk.file()).filename().string();
  if (desk.frames() == 0) return form.note(fmt::format("Making {} …", file));
  form.note(desk.cancelling() ? "Stopping …"
                              : fmt::format("{}: {} of {} frames", file, desk.frames_done(), desk.frames()));
  const ScreenRect row = form.row(10);
  if (desk.frames_done() > 0) record_item(ui, "output.progress", row);
  const float share = std::min(1.0f, static_cast<float>(desk.frames_done()) / static_cast<float>(desk.frames()));
  ui.list->AddRectFilled(top_left(row), {row.right, row.top + ui.px(5)}, ui.colours.grid, ui.px(2));
  ui.list->AddRectFilled(top_left(row), {row.left + row.width() * share, row.top + ui.px(5)}, ui.colours.accent,
                         ui.px(2));
  if (form.press("output.cancel", "stop", {.enabled = !desk.cancelling(), .hint = "nothing is written then  (Ctrl+P)"}))
    frame.actions.output = Actions::Output::cancel;
}

// What was made last, and whether it is what would be made now.
void outcome(Form& form, const OutputDesk& desk, bool now) {
  if (!desk.made_fault().empty()) {
    form.verdict(Verdict::bad, "It was not made.");
    form.wrong(desk.made_fault());
  }
  const Made* made = desk.made();
  if (made == nullptr) return;
  if (made->cancelled) return form.verdict(Verdict::warning, "Stopped. Nothing was written.");
  if (!now) {
    form.caution("The file that was made last is of another choice, or the engine has been changed since:");
    return form.note(desk.file());
  }
  if (made->stands_ill)
    form.verdict(Verdict::bad, "It is made, and shows what is not safe or out of limits.");
  else
    form.strong("It is made.");
  std::string line;
  const auto end_line = [&] {
    form.note(line);
    line.clear();
  };
  // Its lines were folded for a terminal.
  constexpr std::size_t folded_from = 80;
  std::size_t from = 0;
  while (from < made->words.size()) {
    const std::size_t end = std::min(made->words.find('\n', from), made->words.size());
    const std::string part = made->words.substr(from, end - from);
    line += line.empty() ? part : fmt::format(" {}", part);
    if (part.size() < folded_from) end_line();
    from = end + 1;
  }
  end_line();
}

void command(Form& form, Frame& frame, const Order& order) {
  if (frame.lesson != nullptr || frame.drill != nullptr)
    return form.note("Made of an engine for practice: no command makes the same.");
  if (frame.bench.unsaved() || frame.overridden)
    return form.note("Made of what is on the screen. Save the build, and the command line can make the same.");
  form.note("The same from the command line:");
  form.note(command_line(order, file_of(frame.bench)));
}

// It is said before anything is made of it.
void state_verdict(Form& form, Frame& frame) {
  const State* state = shown_in_output(frame.bench, frame.view);
  if (state == nullptr) return;
  const std::string shows = fmt::format("Shows: {}  (V)", shown_words(frame.bench, frame.view));
  if (state->standing.safe() == false)
    form.verdict(Verdict::bad, "NOT SAFE: a valve comes too near.", {shows});
  else
    form.note(shows);
}

void make_it(Form& form, Frame& frame, const Result<Order>& order) {
  if (frame.output.making()) return progress(form, frame);
  if (only_wheel_deg(frame))
    return form.note("Nothing is made while only the degree wheel may say where the crank stands.");
  const std::string path = output_path(frame.bench, frame.view);
  const bool asks = frame.view.output.may_replace == path && would_replace(path);
  if (asks) form.caution("There is such a file already. Press again to replace it.");
  if (form.press("output.make", asks ? "replace it" : "make it",
                 {.enabled = order.ok() && frame.output.can_make(), .hint = "write the file  (Ctrl+P)"}))
    frame.actions.output = Actions::Output::make;
  outcome(form, frame.output, order && frame.output.is_of(*order, frame.bench));
}

} // namespace

float output_panel(Frame& frame, ImVec2 at, float width) {
  const OutputWishes& wishes = frame.view.output;
  const float top = panel_head(frame, at, width, "Sheet", what_for(wishes.kind),
                               "Everything here is a plan, computed and not measured. What is not safe says so.");
  Form form(frame, {at.x, at.y + top}, width);
  kinds(form, frame);
  state_verdict(form, frame);
  const Result<Order> order = order_of(frame.bench, frame.view);
  where(form, frame, output_path(frame.bench, frame.view));
  make_it(form, frame, order);
  choices(form, frame);
  figures(form, frame.view.output);
  if (wishes.kind == OutputKind::wheel) form.caution("Measure its line of 100 mm before cutting.");
  if (order) command(form, frame, *order);
  form.note("The maker's limits come first; confirm clearances by hand before starting the engine.");
  return form.bottom();
}

} // namespace phasewright::viewer
