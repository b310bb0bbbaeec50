#include "viewer/form.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

float Form::field_left() const {
  return right_ - ui_.px(132);
}

void Form::label_at(const std::string& label) {
  const float room = field_left() - left_ - ui_.px(8);
  text(ui_, {left_, y_ + (ui_.px(24) - ui_.fonts.text->FontSize) / 2.0f}, ui_.fonts.text, ui_.colours.ink,
       shortened(ui_.fonts.text, label, room));
}

void Form::trouble(const std::string& words) {
  y_ += ui_.px(27);
  if (words.empty()) return;
  y_ += paragraph(ui_, {left_, y_}, width(), ui_.fonts.note, ui_.colours.bad, words) + ui_.px(3);
}

Form::Answer Form::length(const std::string& label, const Length& field) {
  label_at(label);
  const Units units = frame_.view.units;
  const NumberAnswer typed = number_field(ui_, {field_left(), y_}, right_ - field_left(),
                                          number_of({.name = field.name,
                                                     .mm = field.mm.value_or(field.from_mm),
                                                     .low_mm = field.low_mm,
                                                     .high_mm = field.high_mm,
                                                     .units = units,
                                                     .hint = field.hint,
                                                     .absent = !field.mm,
                                                     .clearable = field.clearable}));
  trouble(typed.problem);
  Answer answer;
  if (typed.entered) answer.mm = entered_mm(*typed.entered, units);
  answer.cleared = typed.cleared;
  return answer;
}

std::optional<double> Form::number(const std::string& label, const NumberField& field) {
  label_at(label);
  const NumberAnswer typed = number_field(ui_, {field_left(), y_}, right_ - field_left(), field);
  trouble(typed.problem);
  return typed.entered;
}

Form::Whole Form::whole(const std::string& label, const NumberField& field) {
  label_at(label);
  const NumberAnswer typed = number_field(ui_, {field_left(), y_}, right_ - field_left(), field);
  trouble(typed.problem);
  Whole answer;
  if (typed.entered) answer.figure = static_cast<int>(std::lround(*typed.entered));
  answer.cleared = typed.cleared;
  return answer;
}

std::optional<std::string> Form::words(const std::string& label, const TextField& field) {
  text(ui_, {left_, y_ + (ui_.px(24) - ui_.fonts.text->FontSize) / 2.0f}, ui_.fonts.text, ui_.colours.ink, label);
  const float from = left_ + ui_.px(52);
  const TextAnswer typed = text_field(ui_, {from, y_}, right_ - from, field);
  trouble(typed.problem);
  return typed.entered;
}

void Form::section(const char* title) {
  y_ += ui_.px(4);
  y_ += section_head(frame_, {left_, y_}, title);
}

void Form::fact(const std::string& what, const std::string& figure) {
  const float room = width() - text_size(ui_.fonts.text, figure).x - ui_.px(10);
  if (text_size(ui_.fonts.text, what).x <= room)
    text(ui_, {left_, y_}, ui_.fonts.text, ui_.colours.quiet, what);
  else // a row of its own for each
    y_ += paragraph(ui_, {left_, y_}, width(), ui_.fonts.text, ui_.colours.quiet, what);
  text_right(ui_, {right_, y_}, ui_.fonts.text, ui_.colours.ink, figure);
  y_ += ui_.px(20);
}

void Form::paragraph_of(const ImFont* font, ImU32 colour, const std::string& words) {
  if (words.empty()) return;
  y_ += paragraph(ui_, {left_, y_}, width(), font, colour, words) + ui_.px(3);
}

void Form::verdict(Verdict verdict, const std::string& sentence, const std::vector<std::string>& rows) {
  y_ += verdict_box(ui_, {left_, y_}, width(), verdict, sentence, rows) + ui_.px(8);
}

bool Form::press(const char* name, const char* label, const ButtonLook& look) {
  const float wide = text_size(ui_.fonts.text, label).x + ui_.px(24);
  const bool done = button(ui_, name, {left_, y_, left_ + wide, y_ + ui_.px(26)}, label, look);
  y_ += ui_.px(32);
  return done;
}

bool Form::note_with_cross(const std::string& words, const char* name, const char* hint) {
  const float side = ui_.px(24);
  const ScreenRect at = row(26);
  text(ui_, {at.left, at.top + (side - ui_.fonts.note->FontSize) / 2.0f}, ui_.fonts.note, ui_.colours.quiet, words);
  return button(ui_, name, {at.right - side, at.top, at.right, at.top + side}, "", {.icon = Icon::cross, .hint = hint});
}

ScreenRect Form::row(float height_px) {
  const ScreenRect rect{left_, y_, right_, y_ + ui_.px(height_px)};
  y_ = rect.bottom;
  return rect;
}

std::optional<std::size_t> ticks(Form& form, Ui& ui, const char* name, const std::vector<std::string>& words,
                                 const std::vector<bool>& chosen) {
  std::optional<std::size_t> pressed;
  const float gap = ui.px(6);
  ScreenRect row = form.row(26);
  float x = row.left;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const float wide = std::min(row.width(), text_size(ui.fonts.text, words[i]).x + ui.px(20));
    if (x > row.left && x + wide > row.right) {
      form.space(4);
      row = form.row(26);
      x = row.left;
    }
    const std::string item = std::string(name) + "." + words[i];
    const std::string label = shortened(ui.fonts.text, words[i], wide - ui.px(8));
    if (button(ui, item.c_str(), {x, row.top, x + wide, row.bottom}, label, {.chosen = chosen[i]})) pressed = i;
    x += wide + gap;
  }
  form.space(6);
  return pressed;
}

std::optional<std::size_t> choice(Form& form, Ui& ui, const char* name, const std::vector<std::string>& words,
                                  std::size_t chosen) {
  std::vector<bool> one(words.size(), false);
  if (chosen < one.size()) one[chosen] = true;
  const std::optional<std::size_t> pressed = ticks(form, ui, name, words, one);
  return pressed == chosen ? std::nullopt : pressed;
}

} // namespace phasewright::viewer
