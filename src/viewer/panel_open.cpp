// The card that opens another file: a path to type, files that were open lately, and what stands in a folder.
#include "viewer/card.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr float row_px = 24;
constexpr float most_faults_share = 0.45f; // of the room for faults and list

// A path that is too long loses its beginning: its end tells it from others.
std::string end_of_path(const ImFont* font, const std::string& path, float width) {
  if (text_size(font, path).x <= width) return path;
  for (std::size_t at = path.find('/', 1); at != std::string::npos; at = path.find('/', at + 1))
    if (const std::string end = "…" + path.substr(at); text_size(font, end).x <= width) return end;
  return shortened(font, path, width);
}

// What the reader says, as far as there is room; gives where it ended.
float faults(Frame& frame, const Card& card, float y, float bottom) {
  Ui& ui = frame.ui;
  const std::vector<std::string>& lines = frame.view.open_card.faults;
  const float width = card.right() - card.left();
  const float last = paragraph_height(ui.fonts.note, width, "and");
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const float high = paragraph_height(ui.fonts.note, width, lines[i]);
    const bool room = y + high + (i + 1 < lines.size() ? last : 0.0f) <= bottom;
    if (!room && i > 0)
      return y + paragraph(ui, {card.left(), y}, width, ui.fonts.note, ui.colours.bad,
                           fmt::format("and {} more", lines.size() - i));
    y += paragraph(ui, {card.left(), y}, width, ui.fonts.note, ui.colours.bad, lines[i]) + ui.px(2);
  }
  return y;
}

void scroll_bar(Ui& ui, const ScreenRect& rect, std::size_t first, std::size_t shown, std::size_t all) {
  const float each = rect.height() / static_cast<float>(all);
  const ImVec2 low{rect.right - ui.px(6), rect.top + each * static_cast<float>(first)};
  const ImVec2 high{rect.right - ui.px(2), low.y + each * static_cast<float>(shown)};
  ui.list->AddRectFilled(low, high, ui.colours.line, ui.px(2));
}

void row(Frame& frame, const ScreenRect& rect, std::size_t index) {
  Ui& ui = frame.ui;
  OpenCard& open = frame.view.open_card;
  const OpenRow& row = open.rows[index];
  const float text_y = rect.top + (rect.height() - ui.fonts.text->FontSize) / 2.0f;
  if (row.path.empty()) {
    const float note_y = rect.bottom - ui.fonts.note->FontSize - ui.px(4);
    text(ui, {rect.left + ui.px(8), note_y}, ui.fonts.note, ui.colours.quiet,
         end_of_path(ui.fonts.note, row.label, rect.width() - ui.px(24)));
    return;
  }
  const std::string name = fmt::format("open.row.{}", row.path);
  record_item(ui, name, rect);
  ImGui::SetCursorScreenPos(top_left(rect));
  // One file may stand in two rows: among those opened lately, and in its folder.
  const bool pressed =
      ImGui::InvisibleButton(fmt::format("{}##{}", name, index).c_str(), {rect.width(), rect.height()});
  if (ImGui::IsItemHovered()) ui.list->AddRectFilled(top_left(rect), bottom_right(rect), ui.colours.hover);
  if (index == open.chosen) ui.list->AddRect(top_left(rect), bottom_right(rect), ui.colours.accent, ui.px(3));
  const float left = rect.left + ui.px(16);
  const float room = rect.right - ui.px(16) - left;
  const std::string label = shortened(ui.fonts.text, row.label, room);
  const float used = text(ui, {left, text_y}, ui.fonts.text, ui.colours.ink, label) + ui.px(12);
  if (!row.note.empty() && used + ui.px(60) < room)
    text(ui, {left + used, text_y}, ui.fonts.text, ui.colours.quiet, end_of_path(ui.fonts.text, row.note, room - used));
  if (!pressed) return;
  open.chosen = index;
  frame.actions.open_path = row.path;
}

void list(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  OpenCard& open = frame.view.open_card;
  ui.list->AddRectFilled(top_left(rect), bottom_right(rect), ui.colours.field);
  ui.list->AddRect(top_left(rect), bottom_right(rect), ui.colours.line);
  record_item(ui, "open.list", rect);
  const float high = ui.px(row_px);
  const auto fit = static_cast<std::size_t>(std::max(1.0f, std::floor((rect.height() - ui.px(4)) / high)));
  const std::size_t last = open.rows.size() > fit ? open.rows.size() - fit : 0;
  if (ImGui::IsMouseHoveringRect(top_left(rect), bottom_right(rect)) && ImGui::GetIO().MouseWheel != 0.0f) {
    const int by = ImGui::GetIO().MouseWheel > 0.0f ? -3 : 3;
    open.first = static_cast<std::size_t>(std::max(0, static_cast<int>(open.first) + by));
    open.follow = false;
  }
  if (open.follow && open.chosen < open.first) open.first = open.chosen;
  if (open.follow && open.chosen >= open.first + fit) open.first = open.chosen + 1 - fit;
  open.fit = fit;
  open.first = std::min(open.first, last);
  for (std::size_t i = 0; i < fit && open.first + i < open.rows.size(); ++i) {
    const float top = rect.top + ui.px(2) + high * static_cast<float>(i);
    row(frame, {rect.left + ui.px(2), top, rect.right - ui.px(10), top + high}, open.first + i);
  }
  if (last > 0) scroll_bar(ui, rect, open.first, fit, open.rows.size());
}

} // namespace

void open_card(Frame& frame, float width, float height) {
  Ui& ui = frame.ui;
  OpenCard& open = frame.view.open_card;
  const float high = std::min(540.0f, height / ui.scale - 40.0f);
  Card card(frame, "open_card", width, height, 620, high);
  card.title("Open");
  if (frame.view.card.to_field) ImGui::SetKeyboardFocusHere();
  const TextAnswer answer = text_field(ui, {card.left(), card.y()}, card.right() - card.left(),
                                       {.name = "open.path",
                                        .value = open.path,
                                        .when_empty = "a build or engine file, or a folder",
                                        .most_bytes = 480});
  if (answer.entered) open.path = *answer.entered;
  float y = card.y() + ui.px(34);
  const float bottom = card.buttons_top() - ui.px(12);
  std::vector<std::string>& lines = open.faults;
  if (!answer.problem.empty()) lines = {answer.problem};
  if (!lines.empty()) y = faults(frame, card, y, y + (bottom - y) * most_faults_share) + ui.px(6);
  list(frame, {card.left(), y, card.right(), bottom});
  if (card.press("open.do", "open")) frame.actions.open_path = open.path;
  if (card.press("open.cancel", "cancel")) open.shown = false;
  card.end();
}

bool take_open_key(const InputEvent& key, View& view, Actions& actions) {
  OpenCard& open = view.open_card;
  const auto go = [&open](int by) {
    const int last = static_cast<int>(open.rows.size()) - 1;
    const auto heading = [&](int at) { return open.rows[static_cast<std::size_t>(at)].path.empty(); };
    int at = std::clamp(static_cast<int>(open.chosen) + by, 0, std::max(last, 0));
    while (at > 0 && at < last && heading(at)) at += by < 0 ? -1 : 1;
    while (at < last && heading(at)) ++at; // the first row is one
    if (at > last || heading(at)) return;
    open.follow = true;
    open.chosen = static_cast<std::size_t>(at);
    open.path = open.rows[open.chosen].path;
  };
  switch (key.key) {
  case Key::up:
    go(-1);
    return true;
  case Key::down:
    go(1);
    return true;
  case Key::page_up:
    go(-static_cast<int>(open.fit));
    return true;
  case Key::page_down:
    go(static_cast<int>(open.fit));
    return true;
  case Key::backspace:
    actions.open_path = open.folder + "/..";
    return true;
  default:
    return false;
  }
}

} // namespace phasewright::viewer
