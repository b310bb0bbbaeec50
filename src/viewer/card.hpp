// A card over the whole screen that wants an answer: title, words, what the panel puts there, and a row of buttons.
// While it is shown, nothing below it can be worked.
#pragma once

#include "viewer/frame.hpp"
#include "viewer/input.hpp"

namespace phasewright::viewer {

class Card {
public:
  // In the middle of a screen of that size; wide and high in pixels at scale 1.
  Card(Frame& frame, const char* name, float screen_width, float screen_height, float wide, float high);

  void title(const char* words);
  void paragraph(const std::string& words, ImU32 colour);
  void gap(float pixels) { y_ += ui_.px(pixels); }
  [[nodiscard]] float left() const { return left_; }
  [[nodiscard]] float right() const { return right_; }
  [[nodiscard]] float y() const { return y_; }
  void move_to(float y) { y_ = y; }
  [[nodiscard]] float buttons_top() const { return rect_.bottom - ui_.px(44); }

  // At the card's foot, from the right; the first is chosen until the arrow keys choose another. True when it is
  // pressed, or Enter while it is the chosen one.
  bool press(const char* name, const char* label);
  void end();

  // How high a card is whose words take so much.
  [[nodiscard]] static float height_of(const Ui& ui, float wide, const std::vector<std::string>& paragraphs);

private:
  Frame& frame_;
  Ui& ui_;
  ScreenRect rect_{};
  float left_ = 0;
  float right_ = 0;
  float y_ = 0;
  float used_ = 0;
  std::size_t buttons_ = 0;
};

// Keys of the card that opens a file. True = it was for its list.
bool take_open_key(const InputEvent& key, View& view, Actions& actions);
// Keys while a card is shown; also those for which a field has the keyboard. True = it was for the card alone.
bool take_card_key(const InputEvent& key, bool in_field, View& view, Actions& actions);

} // namespace phasewright::viewer
