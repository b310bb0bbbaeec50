// Widgets that are pressed or typed into.
#include "viewer/widgets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

void triangle(ImDrawList& list, ImVec2 middle, float half, float direction, ImU32 colour) {
  list.AddTriangleFilled({middle.x - half * 0.8f * direction, middle.y - half}, {middle.x + half * direction, middle.y},
                         {middle.x - half * 0.8f * direction, middle.y + half}, colour);
}

void chevron(ImDrawList& list, ImVec2 middle, float half, float direction, float thick, ImU32 colour) {
  const std::array<ImVec2, 3> points{ImVec2{middle.x - half * 0.5f * direction, middle.y - half},
                                     ImVec2{middle.x + half * 0.5f * direction, middle.y},
                                     ImVec2{middle.x - half * 0.5f * direction, middle.y + half}};
  list.AddPolyline(points.data(), 3, colour, ImDrawFlags_None, thick);
}

void turn_arrow(ImDrawList& list, ImVec2 middle, float half, float direction, float thick, ImU32 colour) {
  std::array<ImVec2, 13> arc;
  for (std::size_t i = 0; i < arc.size(); ++i) {
    const float angle = 3.3f + 3.6f * static_cast<float>(i) / static_cast<float>(arc.size() - 1);
    arc[i] = {middle.x + half * std::cos(angle) * direction, middle.y + half * std::sin(angle) + half * 0.25f};
  }
  list.AddPolyline(arc.data(), static_cast<int>(arc.size()), colour, ImDrawFlags_None, thick);
  const ImVec2 tip = arc.front();
  const float barb = half * 0.7f;
  list.AddLine(tip, {tip.x - barb * 0.25f * direction, tip.y - barb}, colour, thick);
  list.AddLine(tip, {tip.x + barb * direction, tip.y - barb * 0.15f}, colour, thick);
}

void draw_sun(ImDrawList& list, ImVec2 middle, float half, float thick, ImU32 colour) {
  list.AddCircle(middle, half * 0.5f, colour, 0, thick);
  for (int i = 0; i < 8; ++i) {
    const float angle = static_cast<float>(i) * 0.7853982f;
    const ImVec2 way{std::cos(angle), std::sin(angle)};
    list.AddLine({middle.x + way.x * half * 0.8f, middle.y + way.y * half * 0.8f},
                 {middle.x + way.x * half * 1.15f, middle.y + way.y * half * 1.15f}, colour, thick);
  }
}

// A disc with a bite of the ground's colour.
void draw_moon(ImDrawList& list, ImVec2 middle, float half, ImU32 ground, ImU32 colour) {
  list.AddCircleFilled(middle, half, colour, 32);
  list.AddCircleFilled({middle.x + half * 0.45f, middle.y - half * 0.3f}, half * 0.85f, ground, 32);
}

void draw_icon(const Ui& ui, Icon icon, ImVec2 middle, ImU32 ground, ImU32 colour) {
  ImDrawList& list = *ui.list;
  const float half = ui.px(5);
  const float thick = std::max(1.5f, 1.6f * ui.scale);
  const auto beside = [&](float by) { return ImVec2{middle.x + by * half, middle.y}; };
  switch (icon) {
  case Icon::play:
    triangle(list, middle, half, 1.0f, colour);
    break;
  case Icon::pause:
    list.AddRectFilled({middle.x - half * 0.8f, middle.y - half}, {middle.x - half * 0.2f, middle.y + half}, colour);
    list.AddRectFilled({middle.x + half * 0.2f, middle.y - half}, {middle.x + half * 0.8f, middle.y + half}, colour);
    break;
  case Icon::back_1:
    chevron(list, middle, half, -1.0f, thick, colour);
    break;
  case Icon::on_1:
    chevron(list, middle, half, 1.0f, thick, colour);
    break;
  case Icon::back_tooth:
    chevron(list, beside(-0.5f), half, -1.0f, thick, colour);
    chevron(list, beside(0.5f), half, -1.0f, thick, colour);
    break;
  case Icon::on_tooth:
    chevron(list, beside(-0.5f), half, 1.0f, thick, colour);
    chevron(list, beside(0.5f), half, 1.0f, thick, colour);
    break;
  case Icon::undo:
    turn_arrow(list, middle, half, 1.0f, thick, colour);
    break;
  case Icon::redo:
    turn_arrow(list, middle, half, -1.0f, thick, colour);
    break;
  case Icon::sun:
    draw_sun(list, middle, half, thick, colour);
    break;
  case Icon::moon:
    draw_moon(list, middle, half * 1.2f, ground, colour);
    break;
  case Icon::plus:
    list.AddLine({middle.x, middle.y - half * 0.8f}, {middle.x, middle.y + half * 0.8f}, colour, thick);
    [[fallthrough]];
  case Icon::minus:
    list.AddLine({middle.x - half * 0.8f, middle.y}, {middle.x + half * 0.8f, middle.y}, colour, thick);
    break;
  case Icon::cross:
    list.AddLine({middle.x - half * 0.7f, middle.y - half * 0.7f}, {middle.x + half * 0.7f, middle.y + half * 0.7f},
                 colour, thick);
    list.AddLine({middle.x - half * 0.7f, middle.y + half * 0.7f}, {middle.x + half * 0.7f, middle.y - half * 0.7f},
                 colour, thick);
    break;
  case Icon::save: // down onto a tray
    list.AddLine({middle.x, middle.y - half}, {middle.x, middle.y + half * 0.3f}, colour, thick);
    list.AddTriangleFilled({middle.x - half * 0.6f, middle.y - half * 0.2f},
                           {middle.x + half * 0.6f, middle.y - half * 0.2f}, {middle.x, middle.y + half * 0.55f},
                           colour);
    list.AddLine({middle.x - half, middle.y + half}, {middle.x + half, middle.y + half}, colour, thick);
    break;
  case Icon::open: { // a folder
    const std::array<ImVec2, 6> folder{
        ImVec2{middle.x - half * 1.1f, middle.y + half * 0.9f}, ImVec2{middle.x - half * 1.1f, middle.y - half * 0.8f},
        ImVec2{middle.x - half * 0.3f, middle.y - half * 0.8f}, ImVec2{middle.x, middle.y - half * 0.4f},
        ImVec2{middle.x + half * 1.1f, middle.y - half * 0.4f}, ImVec2{middle.x + half * 1.1f, middle.y + half * 0.9f}};
    list.AddPolyline(folder.data(), static_cast<int>(folder.size()), colour, ImDrawFlags_Closed, thick);
    break;
  }
  case Icon::none:
    break;
  }
}

// The pressing itself, without a look.
bool pressed(Ui& ui, const std::string& name, const ScreenRect& rect, const ButtonLook& look, bool& hovered) {
  record_item(ui, name, rect);
  ImGui::SetCursorScreenPos(top_left(rect));
  bool done = ImGui::InvisibleButton(name.c_str(), {rect.width(), rect.height()});
  hovered = look.enabled && ImGui::IsItemHovered();
  if (look.enabled && look.by_tab && in_ring(ui, name, rect, false)) {
    const float out = ui.px(2);
    ui.list->AddRect({rect.left - out, rect.top - out}, {rect.right + out, rect.bottom + out}, ui.colours.ink, ui.px(5),
                     ImDrawFlags_None, std::max(1.0f, ui.px(2)));
    done = done || ui.ring.press;
  }
  return done && look.enabled;
}

ImVec2 middle_of(const ScreenRect& rect) {
  return {(rect.left + rect.right) / 2.0f, (rect.top + rect.bottom) / 2.0f};
}

} // namespace

bool button(Ui& ui, const char* name, const ScreenRect& rect, std::string_view label, const ButtonLook& look) {
  bool hovered = false;
  const bool done = pressed(ui, name, rect, look, hovered);
  const ImU32 ground = look.chosen ? ui.colours.accent : hovered ? ui.colours.hover : ui.colours.field;
  const ImU32 ink = !look.enabled ? ui.colours.faint : look.chosen ? ui.colours.on_accent : ui.colours.ink;
  ui.list->AddRectFilled(top_left(rect), bottom_right(rect), ground, ui.px(4));
  ui.list->AddRect(top_left(rect), bottom_right(rect), hovered || look.chosen ? ui.colours.accent : ui.colours.line,
                   ui.px(4));
  const ImVec2 middle = middle_of(rect);
  if (look.icon != Icon::none)
    draw_icon(ui, look.icon, middle, ground, ink);
  else
    text_middle(ui, {middle.x, middle.y - ui.fonts.text->FontSize / 2.0f}, ui.fonts.text, ink, label);
  if (hovered && look.hint != nullptr) hint_under_pointer(ui, look.hint, {});
  return done;
}

std::optional<std::size_t> segments(Ui& ui, const char* name, const ScreenRect& rect,
                                    const std::vector<const char*>& words, std::size_t chosen) {
  std::optional<std::size_t> answer;
  record_item(ui, name, rect);
  const float width = rect.width() / static_cast<float>(words.size());
  ui.list->AddRectFilled(top_left(rect), bottom_right(rect), ui.colours.field, ui.px(4));
  for (std::size_t i = 0; i < words.size(); ++i) {
    const float left = std::round(rect.left + width * static_cast<float>(i));
    const ScreenRect part{left, rect.top, std::round(left + width), rect.bottom};
    bool hovered = false;
    if (pressed(ui, fmt::format("{}.{}", name, words[i]), part, {}, hovered) && i != chosen) answer = i;
    const bool first = i == 0;
    const bool last = i + 1 == words.size();
    const ImDrawFlags corners = first  ? ImDrawFlags_RoundCornersLeft
                                : last ? ImDrawFlags_RoundCornersRight
                                       : ImDrawFlags_RoundCornersNone;
    if (i == chosen || hovered)
      ui.list->AddRectFilled(top_left(part), bottom_right(part), i == chosen ? ui.colours.accent : ui.colours.hover,
                             ui.px(4), corners);
    if (!first) ui.list->AddLine({part.left, part.top}, {part.left, part.bottom}, ui.colours.line);
    const ImVec2 middle = middle_of(part);
    text_middle(ui, {middle.x, middle.y - ui.fonts.text->FontSize / 2.0f}, ui.fonts.text,
                i == chosen ? ui.colours.on_accent : ui.colours.ink, words[i]);
  }
  ui.list->AddRect(top_left(rect), bottom_right(rect), ui.colours.line, ui.px(4));
  return answer;
}

} // namespace phasewright::viewer
