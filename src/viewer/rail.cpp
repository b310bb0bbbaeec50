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

constexpr std::array<StepRow, 5> rows{{{Step::parts, "Parts", "step.parts"},
                                       {Step::base_timing, "Base timing", "step.base_timing"},
                                       {Step::valves, "Valves", "step.valves"},
                                       {Step::correction, "Correction", "step.correction"},
                                       {Step::clearance, "Clearance", "step.clearance"}}};

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

bool marks_face(const Workbench& bench) {
  for (std::size_t i = 0; i < bench.engine().camshafts.size(); ++i)
    if (std::fabs(bench.fitted().mechanism.drive().mark_error_teeth(i)) > 0.25) return false;
  return true;
}

std::optional<ValveKind> sharp_lobe(const Workbench& bench) {
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const ValveMotion* motion = bench.fitted().mechanism.motion(kind);
    if (motion != nullptr && motion->contour().least_convex_radius_mm() < sharp_radius_mm) return kind;
  }
  return std::nullopt;
}

Verdict step_verdict(const Workbench& bench, Step step) {
  const double wheel_deg = bench.build().instruments.wheel_deg;
  const auto stands_right = [&](const State& state) {
    const bool chain_good = std::ranges::all_of(bench.engine().loops, [&](const Loop& loop) {
      return state.mechanism.fitted().elongation_percent < loop.chain.wear_limit_percent;
    });
    return chain_good && bench.target_phase_deg() &&
           std::fabs(*bench.target_phase_deg() - state.phase.phase_deg) <= wheel_deg;
  };
  switch (step) {
  case Step::parts:
    return Verdict::good;
  case Step::base_timing: {
    if (bench.fitted().safe == false) return Verdict::bad;
    return marks_face(bench) && stands_right(bench.fitted()) ? Verdict::good : Verdict::warning;
  }
  case Step::valves:
    return bench.fitted().events && !sharp_lobe(bench) ? Verdict::good : Verdict::warning;
  case Step::correction:
    return stands_right(bench.planned()) ? Verdict::good : Verdict::warning;
  case Step::clearance:
    break;
  }
  return clearance_standing(bench.planned());
}

void rail(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  begin_panel(ui, "rail", rect, ui.colours.rail);
  const float x = rect.left + ui.px(34);
  const float first = rect.top + ui.px(40);
  const float apart = ui.px(56);
  plate(ui, x, rect.top + ui.px(8), first);
  for (std::size_t i = 0; i + 1 < rows.size(); ++i)
    plate(ui, x, first + apart * static_cast<float>(i), first + apart * static_cast<float>(i + 1));

  for (std::size_t i = 0; i < rows.size(); ++i) {
    const float y = first + apart * static_cast<float>(i);
    const ScreenRect row{rect.left + ui.px(10), y - ui.px(19), rect.right - ui.px(10), y + ui.px(19)};
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
