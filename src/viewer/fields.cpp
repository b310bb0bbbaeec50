// Fields that are typed into.
#include "viewer/widgets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

std::string range_words(const NumberField& field) {
  return fmt::format("{} to {}{}", figure(field.low, field.low == std::floor(field.low) ? 0 : field.decimals),
                     figure(field.high, field.high == std::floor(field.high) ? 0 : field.decimals), field.unit);
}

bool says_nothing(std::string_view typed) {
  return typed.find_first_not_of(" \t\u2013") == std::string_view::npos;
}

std::optional<double> typed_value(const NumberField& field, std::string_view typed) {
  if (!field.length) return parse_number(typed, field.unit);
  const std::optional<double> mm = parse_length_mm(typed, *field.length);
  if (!mm) return std::nullopt;
  return *mm / unit_mm(*field.length);
}

std::string fault_of(const NumberField& field, std::string_view typed) {
  if ((field.absent || field.clearable) && says_nothing(typed)) return {};
  const std::optional<double> value = typed_value(field, typed);
  if (!value) return "not a number; " + range_words(field);
  const double dust = field.length ? 1e-6 : 0.0; // of going through another unit
  if (!(*value >= field.low - dust && *value <= field.high + dust)) return range_words(field);
  if (field.decimals == 0 && *value != std::floor(*value)) return "whole figures only";
  return {};
}

// Typed figures keep their own decimals: 2.25 must not be shown as 2.2. A length that was given in the other unit has
// no end of them, and gets the usual ones. `room`: none are shown that the box has no room for.
std::string shown_value(const NumberField& field, const ImFont* font, float room) {
  if (field.absent) return "\u2013";
  constexpr int most = 4;
  const auto told = [&field](int decimals) {
    const double whole = field.value * std::pow(10.0, decimals);
    return std::fabs(whole - std::round(whole)) <= (field.length ? 1e-4 : 1e-6);
  };
  int decimals = field.decimals;
  while (decimals < most && !told(decimals)) ++decimals;
  if (field.length && !told(decimals)) decimals = field.decimals;
  const auto words = [&] { return figure(field.value, decimals) + (field.bare ? "" : field.unit); };
  while (decimals > field.decimals && text_size(font, words()).x > room) --decimals;
  return words();
}

struct BoxLook {
  bool wrong = false;
  bool has_keyboard = false;
  const char* hint = nullptr;
};

// Where figures or words are typed.
void text_box(Ui& ui, const ScreenRect& box, const char* name, char* buffer, std::size_t size, const BoxLook& look) {
  ImGui::SetCursorScreenPos(top_left(box));
  ImGui::SetNextItemWidth(box.width());
  ImGui::PushFont(ui.fonts.text);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                      {ui.px(6), std::floor((box.height() - ui.fonts.text->FontSize) / 2.0f)});
  ImGui::PushStyleVar(ImGuiStyleVar_FrameRounding, 0.0f);
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1.0f);
  ImGui::PushStyleColor(ImGuiCol_FrameBg, ui.colours.field);
  ImGui::PushStyleColor(ImGuiCol_Border, look.wrong          ? ui.colours.bad
                                         : look.has_keyboard ? ui.colours.accent
                                                             : ui.colours.line);
  ImGui::PushStyleColor(ImGuiCol_Text, look.wrong ? ui.colours.bad : ui.colours.ink);
  ImGui::PushStyleColor(ImGuiCol_TextSelectedBg, with_alpha(ui.colours.accent, 0.3f));
  record_item(ui, name, box);
  if (in_ring(ui, name, box, true)) ImGui::SetKeyboardFocusHere();
  ImGui::InputText(fmt::format("##{}", name).c_str(), buffer, size, ImGuiInputTextFlags_AutoSelectAll);
  ImGui::PopStyleColor(4);
  ImGui::PopStyleVar(3);
  ImGui::PopFont();
  if (look.hint != nullptr && ImGui::IsItemHovered() && !ImGui::IsItemActive()) hint_under_pointer(ui, look.hint, {});
}

void record_text(Ui& ui, const ScreenRect& box, const char* words) {
  if (ui.recorder == nullptr) return;
  const ImVec2 size = text_size(ui.fonts.text, words);
  ui.recorder->texts.push_back(
      {ui.panel, words, {box.left + ui.px(6), box.top, box.left + ui.px(6) + size.x, box.bottom}, box, ui.scrolls});
}

// The text box between the two buttons.
void type_into(Ui& ui, const ScreenRect& box, const NumberField& field, NumberAnswer& answer) {
  NumberEdit& edit = ui.edit;
  std::array<char, 48> buffer{};
  const std::string shown = shown_value(field, ui.fonts.text, box.width() - ui.px(8));
  std::copy_n(shown.begin(), std::min(shown.size(), buffer.size() - 1), buffer.begin());
  const bool wrong = edit.field == field.name && !fault_of(field, edit.text).empty();
  text_box(ui, box, field.name, buffer.data(), buffer.size(), {wrong, edit.field == field.name, field.hint});
  record_text(ui, box, buffer.data());

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
      if (fault.empty() && !value)
        answer.cleared = !field.absent;
      else if (fault.empty() && (field.absent || *value != field.value))
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
          .length = field.units,
          .bare = field.bare,
          .absent = field.absent,
          .clearable = field.clearable};
}

double entered_mm(double entered, Units units) {
  return std::round(entered * unit_mm(units) * 1e9) / 1e9; // no dust from going through another unit
}

NumberAnswer number_field(Ui& ui, ImVec2 at, float width, const NumberField& field) {
  NumberAnswer answer;
  const float height = ui.px(24);
  const float side = ui.px(22);
  if (field.bare) {
    type_into(ui, {at.x, at.y, at.x + width, at.y + height}, field, answer);
    if (answer.problem.empty() && ui.edit.problem_field == field.name) answer.problem = ui.edit.problem;
    return answer;
  }
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
  if (button(ui, (name + ".minus").c_str(), less, "",
             {.icon = Icon::minus, .enabled = field.value > field.low, .by_tab = false}))
    step_to(last);
  if (button(ui, (name + ".plus").c_str(), more, "",
             {.icon = Icon::plus, .enabled = field.value < field.high, .by_tab = false}))
    step_to(next);
  if (answer.problem.empty() && ui.edit.problem_field == name) answer.problem = ui.edit.problem;
  return answer;
}

TextAnswer text_field(Ui& ui, ImVec2 at, float width, const TextField& field) {
  TextAnswer answer;
  NumberEdit& edit = ui.edit;
  const ScreenRect box{at.x, at.y, at.x + width, at.y + ui.px(24)};
  std::array<char, 512> buffer{};
  const std::string& shown = edit.field == field.name ? edit.text : field.value;
  std::copy_n(shown.begin(), std::min(shown.size(), buffer.size() - 1), buffer.begin());
  const auto fault = [&](const std::string& words) {
    if (words.size() > field.most_bytes) return std::string("too long");
    return field.fault == nullptr ? std::string() : field.fault(words);
  };
  const bool wrong = edit.field == field.name && !fault(edit.text).empty();
  text_box(ui, box, field.name, buffer.data(), buffer.size(), {wrong, edit.field == field.name, field.hint});
  if (ImGui::IsItemActivated()) edit = {field.name, buffer.data(), false, {}, {}};
  if (ImGui::IsItemActive() && edit.field == field.name) {
    edit.text = buffer.data();
    answer.problem = fault(edit.text);
  }
  if (ImGui::IsItemDeactivated() && edit.field == field.name) {
    if (!edit.cancelled && edit.text != field.value) {
      answer.problem = fault(edit.text);
      if (answer.problem.empty()) answer.entered = edit.text;
      if (!answer.problem.empty()) {
        edit.problem_field = field.name;
        edit.problem = answer.problem;
      }
    }
    edit.field.clear();
    edit.text.clear();
    edit.cancelled = false;
  }
  if (buffer[0] == '\0' && edit.field != field.name && field.when_empty != nullptr)
    text(ui, {box.left + ui.px(6), box.top + (box.height() - ui.fonts.text->FontSize) / 2.0f}, ui.fonts.text,
         ui.colours.quiet, field.when_empty);
  // Long words run on under the box's edge, as in every text box.
  if (ui.recorder != nullptr && text_size(ui.fonts.text, buffer.data()).x + ui.px(12) <= width)
    record_text(ui, box, buffer.data());
  if (answer.problem.empty() && edit.problem_field == field.name) answer.problem = edit.problem;
  return answer;
}

} // namespace phasewright::viewer
