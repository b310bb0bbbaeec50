// What is shown of the drive and how: magnified, apart, cut, with its instruments. A row at the picture's bottom left.
#include "viewer/frame.hpp"
#include "viewer/instruments.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::viewer {

namespace {

constexpr float apart_width = 148;

void ground(Ui& ui, const ScreenRect& rect) {
  ui.list->AddRectFilled(top_left(rect), bottom_right(rect), ui.colours.field, ui.px(4));
  ui.list->AddRect(top_left(rect), bottom_right(rect), ui.colours.line, ui.px(4));
}

// Each from `at` to the right; gives where it ends.
float magnify_buttons(Frame& frame, ImVec2 at, float height) {
  Ui& ui = frame.ui;
  double& times = magnified(frame.view);
  const bool gaps = magnifies_gaps(frame.view.step);
  const std::string words = fmt::format("{} ×{:.0f}", gaps ? "gaps" : "key step", times);
  const ScreenRect less{at.x, at.y, at.x + height, at.y + height};
  const ScreenRect more{less.right + ui.px(92), at.y, less.right + ui.px(92) + height, at.y + height};
  ground(ui, {less.left, at.y, more.right, at.y + height});
  if (button(ui, "magnify.minus", less, "",
             {.icon = Icon::minus,
              .enabled = times > 1.0,
              .hint = gaps ? "show gaps smaller  (Shift+M)" : "show the key's step smaller  (Shift+M)"}))
    times = std::max(1.0, times - 1.0);
  if (button(ui, "magnify.plus", more, "",
             {.icon = Icon::plus,
              .enabled = times < 10.0,
              .hint = gaps ? "show gaps larger  (M)" : "show the key's step larger  (M)"}))
    times = std::min(10.0, times + 1.0);
  text_middle(ui, {(less.right + more.left) / 2.0f, at.y + (height - ui.fonts.text->FontSize) / 2.0f}, ui.fonts.text,
              ui.colours.ink, words);
  return more.right;
}

// Dragged from together to apart.
float apart_slider(Frame& frame, ImVec2 at, float height) {
  Ui& ui = frame.ui;
  const ScreenRect whole{at.x, at.y, at.x + ui.px(apart_width), at.y + height};
  ground(ui, whole);
  const float word = text(ui, {whole.left + ui.px(8), at.y + (height - ui.fonts.text->FontSize) / 2.0f}, ui.fonts.text,
                          ui.colours.ink, "apart");
  const float from = whole.left + ui.px(18) + word;
  const float to = whole.right - ui.px(12);
  const float middle = std::round((whole.top + whole.bottom) / 2.0f);
  const ScreenRect track{from - ui.px(8), whole.top, to + ui.px(8), whole.bottom};
  record_item(ui, "apart", {from, whole.top, to, whole.bottom});
  ImGui::SetCursorScreenPos(top_left(track));
  ImGui::InvisibleButton("apart", {track.width(), track.height()});
  const bool active = ImGui::IsItemActive();
  if (active) {
    const double share = static_cast<double>((ImGui::GetIO().MousePos.x - from) / (to - from));
    take_apart(frame.view, std::clamp(share, 0.0, 1.0), frame.actions);
  }
  if (ImGui::IsItemHovered() && !active)
    hint_under_pointer(ui, "the drive along its shafts, in the order of assembly  (E, Shift+E)", {});
  const float knob = from + (to - from) * static_cast<float>(frame.view.apart);
  const float thick = std::max(2.0f, ui.px(2));
  ui.list->AddLine({from, middle}, {to, middle}, ui.colours.line, thick);
  ui.list->AddLine({from, middle}, {knob, middle}, ui.colours.accent, thick);
  ui.list->AddCircleFilled({knob, middle}, ui.px(6), ui.colours.accent, 20);
  return whole.right;
}

} // namespace

ScreenRect scene_controls(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  View& view = frame.view;
  const float height = ui.px(24);
  const float gap = ui.px(6);
  const ImVec2 at{rect.left + ui.px(12), rect.bottom - ui.px(12) - height};
  float right = magnify_buttons(frame, at, height);
  if (right + gap + ui.px(apart_width) <= rect.right) right = apart_slider(frame, {right + gap, at.y}, height);
  const auto place = [&](float width) {
    const ScreenRect part{right + gap, at.y, right + gap + ui.px(width), at.y + height};
    right = part.right;
    return part;
  };
  if (right + gap + ui.px(100) > rect.right) return {at.x, at.y, right, at.y + height}; // the keys do it
  if (view.subject == NamedView::key) {
    if (button(ui, "section", place(64), "section", {.chosen = view.section, .hint = "cut through the keyway  (T)"}))
      cut_keyway(view, !view.section, frame.actions);
  } else if (has_instruments(view.step)) {
    const bool off = view.apart > 0.0;
    if (button(ui, "instruments", place(88), "instruments",
               {.enabled = !off,
                .chosen = view.instruments && !off,
                .hint = off ? "not while the drive is apart" : "those of this step, on the engine  (I)"})) {
      view.instruments = !view.instruments;
      frame.actions.fit_again = true;
    }
  }
  return {at.x, at.y, right, at.y + height};
}

} // namespace phasewright::viewer
