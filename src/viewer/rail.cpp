// The steps as a strand of chain at the left: a roller for each, with a sign for how it stands.
#include "viewer/frame.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

struct StepRow {
  Step step;
  const char* word;
  const char* name;
};

constexpr std::array<StepRow, 9> rows{{{Step::parts, "Parts", "step.parts"},
                                       {Step::alignment, "Alignment", "step.alignment"},
                                       {Step::end_float, "End float", "step.end_float"},
                                       {Step::base_timing, "Base timing", "step.base_timing"},
                                       {Step::valves, "Valves", "step.valves"},
                                       {Step::readings, "Readings", "step.readings"},
                                       {Step::correction, "Correction", "step.correction"},
                                       {Step::clearance, "Clearance", "step.clearance"},
                                       {Step::sheet, "Sheet", "step.sheet"}}};

// One link plate between two rollers: waisted, as chain plates are.
void plate(const Ui& ui, float x, float from, float to) {
  const float wide = ui.px(9);
  const float waist = ui.px(6);
  const float middle = (from + to) / 2.0f;
  const std::array<ImVec2, 6> outline{ImVec2{x - wide, from}, ImVec2{x - waist, middle}, ImVec2{x - wide, to},
                                      ImVec2{x + wide, to},   ImVec2{x + waist, middle}, ImVec2{x + wide, from}};
  // Two quads, because the outline is not convex.
  ui.list->AddQuadFilled(outline[0], outline[5], outline[4], outline[1], with_alpha(ui.colours.chain, 0.55f));
  ui.list->AddQuadFilled(outline[1], outline[4], outline[3], outline[2], with_alpha(ui.colours.chain, 0.55f));
  ui.list->AddPolyline(outline.data(), static_cast<int>(outline.size()), ui.colours.chain, ImDrawFlags_Closed, 1.0f);
}

void roller(Ui& ui, ImVec2 at, Verdict verdict, bool chosen) {
  const float r = ui.px(10);
  if (chosen) {
    ui.list->AddCircleFilled(at, r, ui.colours.accent, 32);
    return;
  }
  ui.list->AddCircleFilled(at, r, ui.colours.field, 32);
  ui.list->AddCircle(at, r, verdict == Verdict::good ? ui.colours.chain : verdict_colour(ui, verdict), 32,
                     std::max(1.5f, 1.5f * ui.scale));
  verdict_sign(ui, at, verdict);
}

} // namespace

void rail(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  begin_panel(ui, "rail", rect, ui.colours.rail);
  const float x = rect.left + ui.px(34);
  const float first = rect.top + ui.px(36);
  const auto gaps = static_cast<float>(rows.size() - 1);
  const float apart = std::min(ui.px(56), std::floor((rect.height() - ui.px(36) - ui.px(24)) / gaps));
  const float half = std::min(ui.px(19), std::floor(apart / 2.0f) - 1.0f);
  plate(ui, x, rect.top + ui.px(8), first);
  for (std::size_t i = 0; i + 1 < rows.size(); ++i)
    plate(ui, x, first + apart * static_cast<float>(i), first + apart * static_cast<float>(i + 1));

  for (std::size_t i = 0; i < rows.size(); ++i) {
    const float y = first + apart * static_cast<float>(i);
    const ScreenRect row{rect.left + ui.px(10), y - half, rect.right - ui.px(10), y + half};
    record_item(ui, rows[i].name, row);
    ImGui::SetCursorScreenPos(top_left(row));
    const bool chosen = frame.view.step == rows[i].step;
    if (ImGui::InvisibleButton(rows[i].name, {row.width(), row.height()}) && !chosen) frame.actions.step = rows[i].step;
    if (chosen) {
      ui.list->AddRectFilled(top_left(row), bottom_right(row), ui.colours.field, ui.px(5));
      ui.list->AddRect(top_left(row), bottom_right(row), ui.colours.accent, ui.px(5));
    } else if (ImGui::IsItemHovered()) {
      ui.list->AddRectFilled(top_left(row), bottom_right(row), with_alpha(ui.colours.accent, 0.08f), ui.px(5));
    }
    roller(ui, {x, y}, step_verdict(frame.bench, rows[i].step), chosen);
    const ImFont* font = chosen ? ui.fonts.bold : ui.fonts.text;
    text(ui, {x + ui.px(18), y - font->FontSize / 2.0f}, font, ui.colours.ink, rows[i].word);
  }
  end_panel(ui);
}

} // namespace phasewright::viewer
