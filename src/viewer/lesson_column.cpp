// The lesson that is under way: what it says, what is to be done, and whether it is.
#include "viewer/learning_column.hpp"
#include "viewer/lesson_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

// Its steps as a run of chain: a roller for each, filled as far as it has come.
void steps_row(Form& form, Ui& ui, const LessonRun& run) {
  const ScreenRect row = form.row(20);
  const std::size_t count = run.lesson().steps.size();
  const float y = std::round((row.top + row.bottom) / 2.0f);
  const float apart = std::min(ui.px(22), (row.width() - ui.px(12)) / static_cast<float>(count));
  const float first = row.left + ui.px(6);
  ui.list->AddLine({first, y}, {first + apart * static_cast<float>(count - 1), y}, ui.colours.chain, ui.px(3));
  for (std::size_t i = 0; i < count; ++i) {
    const ImVec2 at{first + apart * static_cast<float>(i), y};
    const bool passed = i < run.at() || (i == run.at() && run.done());
    ui.list->AddCircleFilled(at, ui.px(5), passed ? ui.colours.accent : ui.colours.field, 20);
    ui.list->AddCircle(at, ui.px(5), i <= run.at() ? ui.colours.accent : ui.colours.chain, 20,
                       ui.px(i == run.at() ? 2 : 1));
  }
}

void instruments(Form& form, const LessonRun& run) {
  const LessonInstruments& shown = run.instruments();
  form.fact("degree wheel",
            fmt::format("{:.1f}° {}TDC", std::fabs(shown.wheel_from_tdc), shown.wheel_from_tdc < 0.0 ? "B" : "A"));
  form.fact("of the cycle", deg_text(shown.wheel_deg));
  if (shown.inlet_mm) form.fact("indicator, inlet tappet", fmt::format("{:.2f} mm", *shown.inlet_mm));
  if (shown.exhaust_mm) form.fact("indicator, exhaust tappet", fmt::format("{:.2f} mm", *shown.exhaust_mm));
  if (run.step().stop_mm)
    form.note(shown.at_stop ? "The piston bears on the stop."
                            : "The piston stop is in; turn gently until the crank stops.");
}

void standing(Form& form, const LessonRun& run) {
  const LessonRun::Words& words = run.words();
  if (run.done() && !run.step().must.empty())
    form.verdict(Verdict::good, words.right.empty() ? "That is it." : words.right);
  else if (!words.wrong.empty())
    form.verdict(Verdict::warning, words.wrong);
}

void buttons(Form& form, Frame& frame, const LessonRun& run) {
  const bool ends = run.is_last();
  if (form.press("lesson.next", ends ? "finish" : "go on",
                 {.enabled = run.done(), .chosen = run.done(), .hint = "Enter"}))
    frame.actions.learn.what = Learn::What::next;
  const std::size_t left = run.step().hints.size() - run.hints();
  if (!run.step().hints.empty() && !run.done() &&
      form.press("lesson.hint", run.hints() == 0 ? "a hint" : "another hint", {.enabled = left > 0, .hint = "H"}))
    frame.actions.learn.what = Learn::What::hint;
}

} // namespace

void lesson_column(Frame& frame, const ScreenRect& rect) {
  const LessonRun& run = *frame.lesson;
  const LearningColumn column{.panel = "lesson",
                              .small_line =
                                  fmt::format("Lesson, step {} of {}", run.at() + 1, run.lesson().steps.size()),
                              .leave = "lesson.leave",
                              .leave_hint = "leave the lesson: back to what was open",
                              .title = run.lesson().title};
  learning_column(frame, rect, column, [&](Form& form) {
    steps_row(form, frame.ui, run);
    form.space(4);
    form.sentence(run.words().say);
    if (!run.words().task.empty()) {
      form.space(4);
      form.strong(run.words().task);
    }
    form.space(4);
    standing(form, run);
    buttons(form, frame, run);
    for (std::size_t i = 0; i < std::min(run.hints(), run.words().hints.size()); ++i)
      form.note("Hint: " + run.words().hints[i]);
    if (frame.view.step == Step::readings || run.step().stop_mm) {
      form.section("On the engine");
      instruments(form, run);
    }
    if (!run.lesson().words.empty()) {
      form.section("Words");
      for (const auto& [word, meaning] : run.lesson().words) form.note(fmt::format("{}: {}", word, meaning));
    }
    form.space(4);
    for (const std::string& caution : run.lesson().cautions) form.caution(caution);
    if (form.press("lesson.again", "this step again", {.hint = "as it began  (Backspace)"}))
      frame.actions.learn.what = Learn::What::again;
  });
}

} // namespace phasewright::viewer
