// The card that saves a build, or asks before the viewer closes with something not saved.
#include "viewer/frame.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

class Card {
public:
  Card(Frame& frame, float width, float height, bool closing) : frame_(frame), ui_(frame.ui) {
    const float wide = std::min(width, ui_.px(460));
    const float high = std::min(height, ui_.px(closing ? 196 : 176));
    rect_.left = std::round((width - wide) / 2.0f);
    rect_.top = std::round((height - high) / 2.0f);
    rect_.right = rect_.left + wide;
    rect_.bottom = rect_.top + high;
    begin_panel(ui_, "save_card", rect_, ui_.colours.panel, PanelKind::card);
    ui_.list->AddRect(top_left(rect_), bottom_right(rect_), ui_.colours.accent, 0.0f, ImDrawFlags_None,
                      std::max(1.0f, ui_.scale));
    left_ = rect_.left + ui_.px(20);
    right_ = rect_.right - ui_.px(20);
    y_ = rect_.top + ui_.px(18);
  }

  void words(const char* title, const std::string& sentence) {
    text(ui_, {left_, y_}, ui_.fonts.title, ui_.colours.ink, title);
    y_ += ui_.px(28);
    y_ += paragraph(ui_, {left_, y_}, right_ - left_, ui_.fonts.text, ui_.colours.quiet, sentence) + ui_.px(4);
  }

  void path_field() {
    SaveCard& card = frame_.view.save;
    const TextAnswer answer = text_field(ui_, {left_, y_}, right_ - left_,
                                         {.name = "save.path", .value = card.path, .when_empty = "the file's name"});
    if (answer.entered) card.path = *answer.entered;
    y_ += ui_.px(28);
    const std::string& trouble = answer.problem.empty() ? card.fault : answer.problem;
    if (!trouble.empty()) paragraph(ui_, {left_, y_}, right_ - left_, ui_.fonts.note, ui_.colours.bad, trouble);
  }

  // At the card's foot, from the right.
  bool press(const char* name, const char* label, bool chosen = false) {
    const float wide = text_size(ui_.fonts.text, label).x + ui_.px(24);
    const float right = right_ - used_;
    used_ += wide + ui_.px(8);
    const float bottom = rect_.bottom - ui_.px(16);
    return button(ui_, name, {right - wide, bottom - ui_.px(28), right, bottom}, label, {.chosen = chosen});
  }

  void end() { end_panel(ui_); }

private:
  Frame& frame_;
  Ui& ui_;
  ScreenRect rect_{};
  float left_ = 0;
  float right_ = 0;
  float y_ = 0;
  float used_ = 0;
};

} // namespace

void save_card(Frame& frame, float width, float height) {
  SaveCard& save = frame.view.save;
  const bool closing = save.shown == SaveCard::Shown::close;
  Card card(frame, width, height, closing);
  card.words(closing ? "Not saved yet" : "Save the build",
             closing ? "What was changed is in no file yet. Save it before the viewer closes?"
                     : "Into a build file, which Phasewright and any text editor can open.");
  card.path_field();
  if (card.press("save.do", "save", true)) frame.actions.save_to = save.path;
  if (closing && card.press("save.leave", "leave without saving")) frame.actions.leave = true;
  if (card.press("save.stay", closing ? "stay" : "cancel")) save.shown = SaveCard::Shown::no;
  card.end();
}

} // namespace phasewright::viewer
