// Lessons to choose from.
#include "viewer/form.hpp"

#include <fmt/format.h>

namespace phasewright::viewer {

namespace {

// A row that is a button: title, minutes, and a sign once it has been finished.
bool lesson_row(Form& form, Ui& ui, std::size_t number, const LessonRow& row) {
  const Lesson& lesson = row.opened->lesson;
  const ScreenRect rect = form.row(34);
  const std::string name = "lesson." + lesson.name;
  const bool pressed =
      button(ui, name.c_str(), rect, "", {.hint = row.finished ? "done before; begin it again" : "begin it"});
  const float y = rect.top + (rect.height() - ui.fonts.text->FontSize) / 2.0f;
  const std::string minutes = fmt::format("{}{:.0f} min", row.finished ? "done, " : "", lesson_minutes(lesson));
  const float right = text_right(ui, {rect.right - ui.px(10), y}, ui.fonts.note, ui.colours.quiet, minutes);
  float left = rect.left + ui.px(10);
  if (row.finished) {
    verdict_sign(ui, {left + ui.px(6), (rect.top + rect.bottom) / 2.0f}, Verdict::good);
    left += ui.px(20);
  }
  const std::string title = fmt::format("{}. {}", number, lesson.title);
  text(ui, {left, y}, ui.fonts.text, ui.colours.ink,
       shortened(ui.fonts.text, title, rect.right - left - right - ui.px(20)));
  form.space(4);
  return pressed;
}

} // namespace

float lessons_panel(Frame& frame, ImVec2 at, float width) {
  const float top = panel_head(frame, at, width, "Lessons", "Turn, measure, be wrong safely, find out why.",
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
  const auto name = form.words("name", {.name = "learn.name",
                                        .value = frame.view.learning.learner,
                                        .hint = "progress is kept under it, in one file; empty: none is kept",
                                        .when_empty = "none: no progress is kept",
                                        .most_bytes = 80});
  if (name) frame.actions.learn.learner = *name;
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
