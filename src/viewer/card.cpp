#include "viewer/card.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace phasewright::viewer {

namespace {

constexpr float margin = 20;
constexpr float above_title = 18;
constexpr float title_height = 30;
constexpr float between = 6;      // paragraphs
constexpr float foot_height = 60; // the buttons with the room about them
constexpr float dimmed = 0.35f;

} // namespace

float Card::height_of(const Ui& ui, float wide, const std::vector<std::string>& paragraphs) {
  float height = above_title + title_height + foot_height;
  for (const std::string& words : paragraphs)
    height += paragraph_height(ui.fonts.text, ui.px(wide - 2 * margin), words) / ui.scale + between;
  return height;
}

Card::Card(Frame& frame, const char* name, float screen_width, float screen_height, float wide, float high)
    : frame_(frame), ui_(frame.ui) {
  const float width = std::min(screen_width, ui_.px(wide));
  const float height = std::min(screen_height, ui_.px(high));
  rect_.left = std::round((screen_width - width) / 2.0f);
  rect_.top = std::round((screen_height - height) / 2.0f);
  rect_.right = rect_.left + width;
  rect_.bottom = rect_.top + height;
  // Its panel is the whole screen, so that the pointer reaches nothing below.
  begin_panel(ui_, name, {0, 0, screen_width, screen_height}, with_alpha(ui_.colours.rail, dimmed), PanelKind::card);
  ui_.list->AddRectFilled(top_left(rect_), bottom_right(rect_), ui_.colours.panel);
  ui_.list->AddRect(top_left(rect_), bottom_right(rect_), ui_.colours.accent, 0.0f, ImDrawFlags_None,
                    std::max(1.0f, ui_.scale));
  ImGui::PushClipRect(top_left(rect_), bottom_right(rect_), true);
  left_ = rect_.left + ui_.px(margin);
  right_ = rect_.right - ui_.px(margin);
  y_ = rect_.top + ui_.px(above_title);
}

void Card::title(const char* words) {
  text(ui_, {left_, y_}, ui_.fonts.title, ui_.colours.ink, words);
  y_ += ui_.px(title_height);
}

void Card::paragraph(const std::string& words, ImU32 colour) {
  y_ += viewer::paragraph(ui_, {left_, y_}, right_ - left_, ui_.fonts.text, colour, words) + ui_.px(between);
}

bool Card::press(const char* name, const char* label) {
  CardKeys& keys = frame_.view.card;
  const bool chosen = buttons_ == keys.chosen;
  ++buttons_;
  const float wide = text_size(ui_.fonts.text, label).x + ui_.px(24);
  const float right = right_ - used_;
  used_ += wide + ui_.px(8);
  const float bottom = rect_.bottom - ui_.px(16);
  const bool by_key = chosen && std::exchange(keys.press, false);
  return button(ui_, name, {right - wide, bottom - ui_.px(28), right, bottom}, label, {.chosen = chosen}) || by_key;
}

void Card::end() {
  CardKeys& keys = frame_.view.card;
  keys.buttons = buttons_;
  keys.press = false;
  keys.to_field = false;
  ImGui::PopClipRect();
  end_panel(ui_);
}

bool take_card_key(const InputEvent& key, bool in_field, View& view, Actions& actions) {
  if (!view.card_shown()) return false;
  CardKeys& keys = view.card;
  const std::size_t last = keys.buttons == 0 ? 0 : keys.buttons - 1;
  if (view.open_card.shown && !in_field && take_open_key(key, view, actions)) return true;
  switch (key.key) {
  case Key::escape:
    if (in_field) return false; // what is typed is taken back first
    view.save = {};
    view.open_card = {};
    if (view.left.shown) actions.left = Actions::Left::later;
    return true;
  case Key::enter: // in a field it ends the typing, and then does what is chosen
    keys.press = !key.again;
    return true;
  case Key::tab:
    if (!in_field) keys.to_field = true;
    return !in_field;
  case Key::left:
  case Key::right:
    if (in_field) return false;
    if (key.key == Key::left)
      keys.chosen = std::min(keys.chosen + 1, last);
    else if (keys.chosen > 0)
      --keys.chosen;
    return true;
  default:
    return !in_field;
  }
}

} // namespace phasewright::viewer
