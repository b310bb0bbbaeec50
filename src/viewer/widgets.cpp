#include "viewer/widgets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr ImGuiWindowFlags panel_flags = ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                                         ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus |
                                         ImGuiWindowFlags_NoNav;

const char* end_of(std::string_view words) {
  return words.data() + words.size();
}

ImVec2 whole(ImVec2 at) {
  return {std::round(at.x), std::round(at.y)};
}

} // namespace

float Ui::px(float at_scale_1) const {
  return std::round(at_scale_1 * scale);
}

ImVec2 begin_panel(Ui& ui, const char* name, const ScreenRect& rect, ImU32 ground, PanelKind kind,
                   std::string_view page) {
  const bool scrolls = kind == PanelKind::scrolling;
  ImGui::SetNextWindowPos(top_left(rect));
  ImGui::SetNextWindowSize({rect.width(), rect.height()});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, ground);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0, 0});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, 0);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowRounding, 0);
  ImGuiWindowFlags flags =
      scrolls ? (panel_flags & ~ImGuiWindowFlags_NoScrollbar) : panel_flags | ImGuiWindowFlags_NoScrollWithMouse;
  // The frame is cleared to the panels' colour: filling them again would cost a software renderer milliseconds.
  if (ground == ui.colours.panel && kind != PanelKind::card && kind != PanelKind::note)
    flags |= ImGuiWindowFlags_NoBackground;
  if (kind == PanelKind::card || kind == PanelKind::note) flags &= ~ImGuiWindowFlags_NoBringToFrontOnFocus;
  if (kind == PanelKind::card) ImGui::SetNextWindowFocus();
  if (kind == PanelKind::note) flags |= ImGuiWindowFlags_NoFocusOnAppearing;
  ImGui::Begin(fmt::format("{}##{}", name, page).c_str(), nullptr, flags);
  ui.list = ImGui::GetWindowDrawList();
  ui.panel = name;
  ui.scrolls = scrolls;
  record_item(ui, std::string("panel.") + name, rect);
  return ImGui::GetCursorScreenPos();
}

void end_panel(Ui& ui, std::optional<float> contents_bottom) {
  if (contents_bottom) {
    ImGui::SetCursorScreenPos({ImGui::GetCursorScreenPos().x, *contents_bottom});
    ImGui::Dummy({1, 0});
  }
  ImGui::End();
  ImGui::PopStyleVar(3);
  ImGui::PopStyleColor();
  ui.list = nullptr;
}

bool in_ring(Ui& ui, const std::string& name, const ScreenRect& rect, bool field) {
  KeyRing& ring = ui.ring;
  ring.drawing.push_back({ui.panel, name, field});
  if ((field ? ring.field : ring.at) != name) return false;
  const float top = ImGui::GetWindowPos().y;
  const bool in_sight = !ui.scrolls || (rect.top >= top && rect.bottom <= top + ImGui::GetWindowHeight());
  if (!in_sight && (field || ring.reach)) ImGui::SetScrollFromPosY((rect.top + rect.bottom) / 2.0f - top, 0.5f);
  return in_sight || !field; // a field that is out of sight cannot get the keyboard
}

void record_item(Ui& ui, const std::string& name, const ScreenRect& rect) {
  if (ui.recorder != nullptr) ui.recorder->items[name] = rect;
}

ImVec2 text_size(const ImFont* font, std::string_view words) {
  return font->CalcTextSizeA(font->FontSize, FLT_MAX, 0.0f, words.data(), end_of(words));
}

float text(Ui& ui, ImVec2 at, const ImFont* font, ImU32 colour, std::string_view words) {
  if (words.empty()) return 0.0f;
  const ImVec2 place = whole(at);
  const ImVec2 size = text_size(font, words);
  ui.list->AddText(font, font->FontSize, place, colour, words.data(), end_of(words));
  if (ui.recorder != nullptr) {
    const ImVec2 clip_low = ui.list->GetClipRectMin();
    const ImVec2 clip_high = ui.list->GetClipRectMax();
    ui.recorder->texts.push_back({ui.panel,
                                  std::string(words),
                                  {place.x, place.y, place.x + size.x, place.y + size.y},
                                  {clip_low.x, clip_low.y, clip_high.x, clip_high.y},
                                  ui.scrolls,
                                  colour});
  }
  return size.x;
}

float text_right(Ui& ui, ImVec2 at, const ImFont* font, ImU32 colour, std::string_view words) {
  return text(ui, {at.x - text_size(font, words).x, at.y}, font, colour, words);
}

float text_middle(Ui& ui, ImVec2 at, const ImFont* font, ImU32 colour, std::string_view words) {
  return text(ui, {at.x - text_size(font, words).x / 2.0f, at.y}, font, colour, words);
}

std::string shortened(const ImFont* font, std::string_view words, float width) {
  std::string whole_words(words);
  if (text_size(font, whole_words).x <= width) return whole_words;
  while (!whole_words.empty()) {
    // Take a whole UTF-8 character off.
    do whole_words.pop_back();
    while (!whole_words.empty() && (static_cast<unsigned char>(whole_words.back()) & 0xC0U) == 0x80U);
    if (!whole_words.empty() && (static_cast<unsigned char>(whole_words.back()) & 0xC0U) == 0xC0U)
      whole_words.pop_back();
    if (text_size(font, whole_words + "…").x <= width) break;
  }
  return whole_words + "…";
}

namespace {

// As many whole characters of a word as fit in a line, one at least; after its last slash when there is one.
std::size_t part_that_fits(const ImFont* font, float width, std::string_view word) {
  std::size_t fits = 0;
  std::size_t slash = 0;
  for (std::size_t end = 1; end <= word.size(); ++end) {
    if (end < word.size() && (static_cast<unsigned char>(word[end]) & 0xC0U) == 0x80U) continue;
    if (fits > 0 && text_size(font, word.substr(0, end)).x > width) break;
    fits = end;
    if (word[end - 1] == '/') slash = end;
  }
  return slash > 0 ? slash : fits;
}

// The lines a paragraph breaks into.
std::vector<std::string_view> lines_of(const ImFont* font, float width, std::string_view words) {
  std::vector<std::string_view> lines;
  while (!words.empty()) {
    std::size_t fits = std::string_view::npos;
    std::size_t space = words.find(' ');
    for (; space != std::string_view::npos; space = words.find(' ', space + 1)) {
      if (text_size(font, words.substr(0, space)).x > width) break;
      fits = space;
    }
    if (space == std::string_view::npos && text_size(font, words).x <= width)
      fits = std::string_view::npos;
    else if (fits == std::string_view::npos)
      fits = space; // one long word
    if (const std::string_view word = words.substr(0, fits);
        word.find(' ') == std::string_view::npos && text_size(font, word).x > width) {
      const std::size_t part = part_that_fits(font, width, word);
      lines.push_back(word.substr(0, part));
      words = words.substr(part);
      if (words.starts_with(' ')) words.remove_prefix(1);
      continue;
    }
    lines.push_back(words.substr(0, fits));
    words = fits == std::string_view::npos ? std::string_view{} : words.substr(fits + 1);
  }
  return lines;
}

float line_height(const ImFont* font) {
  return std::round(font->FontSize * 1.3f);
}

} // namespace

float paragraph(Ui& ui, ImVec2 at, float width, const ImFont* font, ImU32 colour, std::string_view words) {
  float down = 0.0f;
  for (const std::string_view line : lines_of(font, width, words)) {
    text(ui, {at.x, at.y + down}, font, colour, line);
    down += line_height(font);
  }
  return down;
}

float paragraph_height(const ImFont* font, float width, std::string_view words) {
  return line_height(font) * static_cast<float>(lines_of(font, width, words).size());
}

void hint_under_pointer(Ui& ui, const std::string& title, const std::vector<std::string>& rows) {
  const float pad = ui.px(8);
  float width = text_size(ui.fonts.bold, title).x;
  for (const std::string& row : rows) width = std::max(width, text_size(ui.fonts.note, row).x);
  const float row_height = line_height(ui.fonts.note);
  const float height = line_height(ui.fonts.bold) + row_height * static_cast<float>(rows.size());
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  const ImVec2 pointer = ImGui::GetIO().MousePos;
  ImVec2 at{pointer.x + ui.px(14), pointer.y + ui.px(16)};
  if (at.x + width + 2 * pad > screen.x) at.x = pointer.x - width - 2 * pad - ui.px(6);
  if (at.y + height + 2 * pad > screen.y) at.y = pointer.y - height - 2 * pad - ui.px(6);
  at = whole({std::max(at.x, 0.0f), std::max(at.y, 0.0f)});
  ImDrawList* const below = ui.list;
  const std::string panel = ui.panel;
  ui.list = ImGui::GetForegroundDrawList();
  ui.panel = "hint";
  const ImVec2 end{at.x + width + 2 * pad, at.y + height + 2 * pad};
  ui.list->AddRectFilled(at, end, ui.colours.field, ui.px(4));
  ui.list->AddRect(at, end, ui.colours.line, ui.px(4));
  text(ui, {at.x + pad, at.y + pad}, ui.fonts.bold, ui.colours.ink, title);
  float y = at.y + pad + line_height(ui.fonts.bold);
  for (const std::string& row : rows) {
    text(ui, {at.x + pad, y}, ui.fonts.note, ui.colours.quiet, row);
    y += row_height;
  }
  ui.list = below;
  ui.panel = panel;
}

ImU32 verdict_colour(const Ui& ui, Verdict verdict) {
  switch (verdict) {
  case Verdict::good:
    return ui.colours.good;
  case Verdict::warning:
    return ui.colours.warning;
  case Verdict::bad:
    break;
  }
  return ui.colours.bad;
}

void verdict_sign(Ui& ui, ImVec2 middle, Verdict verdict) {
  const ImU32 colour = verdict_colour(ui, verdict);
  const float r = ui.px(5);
  const float thick = std::max(1.5f, 2.0f * ui.scale);
  if (verdict == Verdict::good) {
    const ImVec2 points[] = {
        {middle.x - r, middle.y}, {middle.x - r * 0.3f, middle.y + r * 0.75f}, {middle.x + r, middle.y - r * 0.8f}};
    ui.list->AddPolyline(points, 3, colour, ImDrawFlags_None, thick);
  } else if (verdict == Verdict::warning) {
    ui.list->AddLine({middle.x, middle.y - r}, {middle.x, middle.y + r * 0.25f}, colour, thick);
    ui.list->AddCircleFilled({middle.x, middle.y + r * 0.9f}, thick * 0.6f, colour);
  } else {
    const float s = r * 0.85f;
    ui.list->AddLine({middle.x - s, middle.y - s}, {middle.x + s, middle.y + s}, colour, thick);
    ui.list->AddLine({middle.x - s, middle.y + s}, {middle.x + s, middle.y - s}, colour, thick);
  }
}

float verdict_box(Ui& ui, ImVec2 at, float width, Verdict verdict, std::string_view sentence,
                  const std::vector<std::string>& rows) {
  const float pad = ui.px(10);
  const float indent = ui.px(20);
  const float inner = width - 2 * pad;
  float height = 2 * ui.px(8) + paragraph_height(ui.fonts.bold, inner - indent, sentence);
  for (const std::string& row : rows) height += paragraph_height(ui.fonts.text, inner, row) + ui.px(1);
  if (!rows.empty()) height += ui.px(2);
  const ImU32 colour = verdict_colour(ui, verdict);
  const ImVec2 end{at.x + width, at.y + height};
  ui.list->AddRectFilled(at, end, ui.colours.field, ui.px(5));
  ui.list->AddRect(at, end, colour, ui.px(5), ImDrawFlags_None, std::max(1.0f, ui.scale));
  float y = at.y + ui.px(8);
  verdict_sign(ui, {at.x + pad + ui.px(6), y + ui.fonts.bold->FontSize * 0.5f}, verdict);
  y += paragraph(ui, {at.x + pad + indent, y}, inner - indent, ui.fonts.bold, colour, sentence) + ui.px(2);
  for (const std::string& row : rows)
    y += paragraph(ui, {at.x + pad, y}, inner, ui.fonts.text, ui.colours.ink, row) + ui.px(1);
  return height;
}

} // namespace phasewright::viewer
