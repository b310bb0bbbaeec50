// The card that saves a build, or asks before the viewer closes or another file is opened with something not saved.
#include "viewer/card.hpp"

namespace phasewright::viewer {

void save_card(Frame& frame, float width, float height) {
  Ui& ui = frame.ui;
  SaveCard& save = frame.view.save;
  const bool closing = save.shown == SaveCard::Shown::close;
  const bool opening = save.shown == SaveCard::Shown::open;
  const bool asks = closing || opening;
  Card card(frame, "save_card", width, height, 460, 186);
  card.title(asks ? "Not saved yet" : "Save the build");
  card.paragraph(closing   ? "What was changed is in no file yet. Save it before the viewer closes?"
                 : opening ? "What was changed is in no file yet. Save it before the other is opened?"
                           : "Into a build file, which Phasewright and any text editor can open.",
                 ui.colours.quiet);
  if (frame.view.card.to_field) ImGui::SetKeyboardFocusHere();
  const TextAnswer answer =
      text_field(ui, {card.left(), card.y()}, card.right() - card.left(),
                 {.name = "save.path", .value = save.path, .when_empty = "the file's name", .most_bytes = 480});
  if (answer.entered) save.path = *answer.entered;
  const std::string& trouble = answer.problem.empty() ? save.fault : answer.problem;
  if (!trouble.empty())
    paragraph(ui, {card.left(), card.y() + ui.px(28)}, card.right() - card.left(), ui.fonts.note, ui.colours.bad,
              trouble);
  if (card.press("save.do", "save")) frame.actions.save_to = save.path;
  if (asks && card.press("save.leave", closing ? "leave without saving" : "don't save")) frame.actions.leave = true;
  if (card.press("save.stay", asks ? "stay" : "cancel")) save = {};
  card.end();
}

} // namespace phasewright::viewer
