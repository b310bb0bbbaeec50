// Lessons to choose from.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::viewer {

namespace {

// A row that is a button: title, minutes, and a sign once it has been finished.
bool lesson_row(Form& form, Ui& ui, std::size_t number, const LessonRow& row) {
  const Lesson& lesson = row.opened->lesson;
  const std::string name = fmt::format("lesson.{}", lesson.name);
  const std::string title = fmt::format("{}. {}", number, lesson.title);
  const std::string minutes = fmt::format("{}{:.0f} min", row.finished ? "done, " : "", lesson_minutes(lesson));
  const float pad = ui.px(10);
  const float sign = row.finished ? ui.px(20) : 0.0f;
  const float room = form.width() - 3 * pad - sign - text_size(ui.fonts.note, minutes).x;
  const float words = paragraph_height(ui.fonts.text, room, title);
  const ScreenRect rect = form.row(std::max(34.0f, (words + ui.px(14)) / ui.px(1)));
  const bool pressed =
      button(ui, name.c_str(), rect, "", {.hint = row.finished ? "done before; begin it again" : "begin it"});
  const float middle = (rect.top + rect.bottom) / 2.0f;
  if (row.finished) verdict_sign(ui, {rect.left + pad + ui.px(6), middle}, Verdict::good);
  paragraph(ui, {rect.left + pad + sign, middle - words / 2.0f}, room, ui.fonts.text, ui.colours.ink, title);
  text_right(ui, {rect.right - pad, middle - ui.fonts.note->FontSize / 2.0f}, ui.fonts.note, ui.colours.quiet, minutes);
  form.space(4);
  return pressed;
}

} // namespace

void learner_name(Form& form, Frame& frame) {
  const auto name = form.words("name", {.name = "learn.name",
                                        .value = frame.view.learning.learner,
                                        .hint = "progress is kept under it, in one file; empty: none is kept",
                                        .when_empty = "none: no progress is kept",
                                        .most_bytes = 80});
  if (name) frame.actions.learn.learner = *name;
}

float lessons_panel(Frame& frame, ImVec2 at, float width) {
  const float top =
      frame.drill != nullptr
          ? panel_head(frame, at, width, "Drill", "Name what is wrong, and what is to be done about it.",
                       "Once it is handed in, what was true is told, and what your readings could tell of it.")
          : panel_head(frame, at, width, "Lessons", "Turn, measure, be wrong safely, find out why.",
                       "A lesson brings its own engine. What was open waits, and comes back as it was left.");
  Form form(frame, {at.x, at.y + top}, width);
  if (frame.lesson == nullptr && frame.drill == nullptr)
    if (const auto picked =
            choice(form, frame.ui, "learn.page", {"lessons", "drills"}, frame.view.learning.drills ? 1 : 0))
      frame.view.learning.drills = *picked == 1;
  if (frame.drill != nullptr || (frame.lesson == nullptr && frame.view.learning.drills)) {
    drills_page(form, frame);
    return form.bottom();
  }
  learner_name(form, frame);
  form.wrong(frame.view.learning.fault);
  std::size_t number = 0;
  for (std::size_t i = 0; i < frame.lessons.size(); ++i) {
    if (frame.lessons[i].opened == nullptr)
      form.caution(frame.lessons[i].fault);
    else if (lesson_row(form, frame.ui, ++number, frame.lessons[i]))
      frame.actions.learn = {.what = Learn::What::begin, .index = i, .learner = {}};
  }
  if (frame.lessons.empty()) form.note("No lessons were found beside the program.");
  return form.bottom();
}

} // namespace phasewright::viewer
