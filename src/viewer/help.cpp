// All keys and mouse moves on one card.
#include "viewer/frame.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

struct Row {
  const char* keys;
  const char* words;
};

constexpr std::array<Row, 41> rows{{
    {"Space", "turn, stop"},
    {"Left, Right", "1° back, 1° on; with Ctrl a tenth"},
    {"Shift + Left, Right", "one crank tooth"},
    {"S, B", "slow, backward"},
    {"Page Up, Page Down", "try the option before, after; turn the page"},
    {"K, Shift + K", "planned cam key 1° more, less"},
    {"C, Shift + C", "planned crank key 1° more, less"},
    {"L, Shift + L", "planned chain a tooth on, back"},
    {"R, Shift + R", "planned cam key, crank key turned round"},
    {"V", "as fitted, both, as planned"},
    {"Ctrl + Z, Ctrl + Y", "undo, redo"},
    {"Ctrl + S, with Shift", "save the build, as another file"},
    {"Ctrl + O", "open another file; or drop it here"},
    {"Ctrl + P", "sheets, pictures, films; there: make it, stop"},
    {"X, R, L, A; +, -", "there: its choices; nearer, farther"},
    {"Ctrl + L", "lessons"},
    {"Enter, H, Backspace", "in a lesson: go on, a hint, the step again"},
    {"Up, Down", "step before, after"},
    {"P, Shift + P", "page of the step’s panel after, before"},
    {"N, Shift + N", "next cylinder as they fire, one before"},
    {"A, X, Delete", "readings: add it, other valve, last away"},
    {"1 to 5", "views: end, side, key, valve, whole"},
    {"F, Home", "fit the view again"},
    {"O", "perspective, parallel"},
    {"M, Shift + M", "key step or gaps larger, smaller"},
    {"E, Shift + E", "the drive further apart, together"},
    {"T", "cut through the keyway, whole again"},
    {"I", "the step’s instruments on, off"},
    {"U, D", "mm or thou, day or night"},
    {"Ctrl + Plus, Minus, 0", "text larger, smaller, as it was"},
    {"Tab, Shift + Tab, Enter", "next button or field, one before, press it"},
    {"F1, Escape", "this card"},
    {"Ctrl + Q", "close the viewer"},
    {"", ""},
    {"drag", "on the drive: look round it"},
    {"Ctrl + drag", "on a cam sprocket: lay the planned chain"},
    {"double click", "on a part: the step it belongs to"},
    {"right drag, Shift + drag", "on the drive: move it"},
    {"wheel", "on the drive: nearer, farther"},
    {"drag", "on the strip: turn the engine"},
    {"wheel", "on the strip: 1°; with Ctrl closer, farther"},
}};

} // namespace

void help(Frame& frame, float width, float height) {
  Ui& ui = frame.ui;
  const float pad = ui.px(20);
  const float row_height = std::floor(std::min(
      ui.px(20), (height - 2 * pad - ui.px(24)) / static_cast<float>(rows.size()))); // all of it in a low window
  const float keys_width = ui.px(180);
  const float card_width = std::min(width, ui.px(480));
  const float card_height = std::min(height, 2 * pad + ui.px(32) + row_height * static_cast<float>(rows.size()));
  const float left = std::round((width - card_width) / 2.0f);
  const float top = std::round((height - card_height) / 2.0f);
  begin_panel(ui, "help", {left, top, left + card_width, top + card_height}, ui.colours.panel, PanelKind::card);
  ui.list->AddRect({left, top}, {left + card_width, top + card_height}, ui.colours.accent, 0.0f, ImDrawFlags_None,
                   std::max(1.0f, ui.scale));
  text(ui, {left + pad, top + pad}, ui.fonts.title, ui.colours.ink, "Keys and mouse");
  const float side = ui.px(28);
  if (button(ui, "help.close",
             {left + card_width - pad - ui.px(64), top + pad - ui.px(4), left + card_width - pad,
              top + pad - ui.px(4) + side},
             "close"))
    frame.view.help = false;
  float y = top + pad + ui.px(34);
  for (const Row& row : rows) {
    text(ui, {left + pad, y}, ui.fonts.bold, ui.colours.ink, row.keys);
    text(ui, {left + pad + keys_width, y}, ui.fonts.text, ui.colours.ink, row.words);
    y += row_height;
  }
  end_panel(ui);
}

} // namespace phasewright::viewer
