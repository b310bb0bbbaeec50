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
  case Icon::none:
    break;
  }
}

// The pressing itself, without a look.
bool pressed(Ui& ui, const std::string& name, const ScreenRect& rect, bool enabled, bool& hovered) {
  record_item(ui, name, rect);
  ImGui::SetCursorScreenPos(top_left(rect));
  const bool done = ImGui::InvisibleButton(name.c_str(), {rect.width(), rect.height()});
  hovered = enabled && ImGui::IsItemHovered();
  return done && enabled;
}

ImVec2 middle_of(const ScreenRect& rect) {
  return {(rect.left + rect.right) / 2.0f, (rect.top + rect.bottom) / 2.0f};
}

} // namespace

bool button(Ui& ui, const char* name, const ScreenRect& rect, std::string_view label, const ButtonLook& look) {
  bool hovered = false;
  const bool done = pressed(ui, name, rect, look.enabled, hovered);
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
    if (pressed(ui, fmt::format("{}.{}", name, words[i]), part, true, hovered) && i != chosen) answer = i;
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

namespace {

std::string range_words(const NumberField& field) {
  return fmt::format("{} to {}{}", figure(field.low, field.low == std::floor(field.low) ? 0 : field.decimals),
                     figure(field.high, field.high == std::floor(field.high) ? 0 : field.decimals), field.unit);
}

std::optional<double> typed_value(const NumberField& field, std::string_view typed) {
  if (!field.length) return parse_number(typed, field.unit);
  const std::optional<double> mm = parse_length_mm(typed, *field.length);
  if (!mm) return std::nullopt;
  return *mm / unit_mm(*field.length);
}

std::string fault_of(const NumberField& field, std::string_view typed) {
  const std::optional<double> value = typed_value(field, typed);
  if (!value) return "not a number; " + range_words(field);
  const double dust = field.length ? 1e-6 : 0.0; // of going through another unit
  if (!(*value >= field.low - dust && *value <= field.high + dust)) return range_words(field);
  if (field.decimals == 0 && *value != std::floor(*value)) return "whole figures only";
  return {};
}

// Typed figures keep their own decimals: 2.25 must not be shown as 2.2. A length that was given in the other unit has
// no end of them, and gets the usual ones.
std::string shown_value(const NumberField& field) {
  constexpr int most = 4;
  const auto told = [&field](int decimals) {
    const double whole = field.value * std::pow(10.0, decimals);
    return std::fabs(whole - std::round(whole)) <= (field.length ? 1e-4 : 1e-6);
  };
  int decimals = field.decimals;
  while (decimals < most && !told(decimals)) ++decimals;
  if (field.length && !told(decimals)) decimals = field.decimals;
  return figure(field.value, decimals) + field.unit;
}

// The text box between the two buttons.
void type_into(Ui& ui, const ScreenRect& box, const NumberField& field, NumberAnswer& answer) {
  NumberEdit& edit = ui.edit;
  std::array<char, 48> buffer{};
  const std::string shown = shown_value(field);
  std::copy_n(shown.begin(), std::min(shown.size(), buffer.size() - 1), buffer.begin());

  const bool wrong = edit.field == field.name && !fault_of(field, edit.text).empty();
  ImGui::SetCursorScreenPos(top_left(box));
  ImGui::SetNextItemWidth(box.width());
  ImGui::PushFont(ui.fonts.text);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                      {ui.px(6), std::floor((box.height() - ui.fonts.text->FontSize) / 2.0f)});
  ImGui::PushStyleVar(ImGuiStyleVar_FrameRounding, 0.0f);
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1.0f);
  ImGui::PushStyleColor(ImGuiCol_FrameBg, ui.colours.field);
  ImGui::PushStyleColor(ImGuiCol_Border, wrong                      ? ui.colours.bad
                                         : edit.field == field.name ? ui.colours.accent
                                                                    : ui.colours.line);
  ImGui::PushStyleColor(ImGuiCol_Text, wrong ? ui.colours.bad : ui.colours.ink);
  ImGui::PushStyleColor(ImGuiCol_TextSelectedBg, with_alpha(ui.colours.accent, 0.3f));
  record_item(ui, field.name, box);
  ImGui::InputText(fmt::format("##{}", field.name).c_str(), buffer.data(), buffer.size(),
                   ImGuiInputTextFlags_AutoSelectAll);
  ImGui::PopStyleColor(4);
  ImGui::PopStyleVar(3);
  ImGui::PopFont();
  if (field.hint != nullptr && ImGui::IsItemHovered() && !ImGui::IsItemActive()) hint_under_pointer(ui, field.hint, {});
  if (ui.recorder != nullptr) {
    const ImVec2 size = text_size(ui.fonts.text, buffer.data());
    ui.recorder->texts.push_back({ui.panel,
                                  buffer.data(),
                                  {box.left + ui.px(6), box.top, box.left + ui.px(6) + size.x, box.bottom},
                                  box,
                                  ui.scrolls});
  }

  if (ImGui::IsItemActivated())
    edit = {.field = field.name, .text = buffer.data(), .cancelled = false, .problem_field = {}, .problem = {}};
  if (ImGui::IsItemActive() && edit.field == field.name) {
    edit.text = buffer.data();
    answer.problem = fault_of(field, edit.text);
  }
  if (ImGui::IsItemDeactivated() && edit.field == field.name) {
    const std::string fault = fault_of(field, edit.text);
    const std::optional<double> value = typed_value(field, edit.text);
    if (!edit.cancelled && edit.text != shown) {
      if (fault.empty() && *value != field.value)
        answer.entered = *value;
      else if (!fault.empty()) {
        edit.problem_field = field.name;
        edit.problem = fault;
      }
    }
    edit.field.clear();
    edit.text.clear();
    edit.cancelled = false;
  }
}

} // namespace

NumberField number_of(const LengthField& field) {
  const bool metric = field.units == Units::mm;
  const auto shown = [unit = unit_mm(field.units)](double mm) { return std::round(mm / unit * 1e6) / 1e6; };
  return {.name = field.name,
          .value = shown(field.mm),
          .step = metric ? 0.05 : 1.0,
          .low = shown(field.low_mm),
          .high = shown(field.high_mm),
          .decimals = metric ? 2 : 1,
          .unit = metric         ? " mm"
                  : field.narrow ? " th"
                                 : " thou",
          .hint = field.hint,
          .length = field.units};
}

double entered_mm(double entered, Units units) {
  return std::round(entered * unit_mm(units) * 1e9) / 1e9; // no dust from going through another unit
}

NumberAnswer number_field(Ui& ui, ImVec2 at, float width, const NumberField& field) {
  NumberAnswer answer;
  const float height = ui.px(24);
  const float side = ui.px(22);
  const ScreenRect less{at.x, at.y, at.x + side, at.y + height};
  const ScreenRect more{at.x + width - side, at.y, at.x + width, at.y + height};
  type_into(ui, {less.right - 1, at.y, more.left + 1, at.y + height}, field, answer);

  // Steps land on whole steps, so that 0.93 goes to 1.0 and not to 1.03.
  const double next = std::min(field.high, (std::floor(field.value / field.step + 1e-6) + 1.0) * field.step);
  const double last = std::max(field.low, (std::ceil(field.value / field.step - 1e-6) - 1.0) * field.step);
  const std::string name = field.name;
  const auto step_to = [&](double value) {
    const double unit = std::pow(10.0, 6);
    answer.entered = std::round(value * unit) / unit + 0.0;
    ui.edit.problem_field.clear();
    ui.edit.problem.clear();
  };
  if (button(ui, (name + ".minus").c_str(), less, "", {.icon = Icon::minus, .enabled = field.value > field.low}))
    step_to(last);
  if (button(ui, (name + ".plus").c_str(), more, "", {.icon = Icon::plus, .enabled = field.value < field.high}))
    step_to(next);
  if (answer.problem.empty() && ui.edit.problem_field == name) answer.problem = ui.edit.problem;
  return answer;
}

} // namespace phasewright::viewer
