// Correction: what is tried, what it comes to, and every choice from the shelf.
#include "bench/offset_key.hpp"
#include "viewer/frame.hpp"

#include <algorithm>
#include <string_view>
#include <vector>

namespace phasewright::viewer {

namespace {

// How an offset key faces, in the bench's words, when there is one.
float key_facing(Frame& frame, ImVec2 at, float width, KeyAt where) {
  const Fitted& planned = frame.bench.document().planned;
  const Engine& engine = frame.bench.engine();
  const std::size_t camshaft = frame.view.camshaft;
  const double deg = where == KeyAt::cam ? cam_key_at(planned, engine, camshaft) : planned.crank_key_deg;
  if (deg == 0.0) return 0.0f;
  const auto cam_seat = camshaft < engine.camshafts.size() ? engine.cam_seats.find(engine.camshafts[camshaft].name)
                                                           : engine.cam_seats.end();
  if (where == KeyAt::cam && cam_seat == engine.cam_seats.end()) return 0.0f;
  const double diameter_mm = where == KeyAt::cam ? cam_seat->second.diameter_mm : engine.crank_seat.diameter_mm;
  const std::string words = key_words(where, deg) + ": " + step_words(where, deg, engine.rotation, diameter_mm) + ".";
  return paragraph(frame.ui, at, width, frame.ui.fonts.note, frame.ui.colours.ink, words) + frame.ui.px(3);
}

std::string gap_words(const View& view, const PlanOption& option) {
  const auto one = [&view](const std::optional<double>& mm) {
    return mm ? length_figure(*mm, view.units) : std::string("–");
  };
  return one(option.now(ValveKind::inlet)) + " / " + one(option.now(ValveKind::exhaust));
}

// One line for each part that is fitted.
std::vector<std::string_view> lines_of(std::string_view words) {
  std::vector<std::string_view> lines;
  for (std::size_t end = words.find("; "); end != std::string_view::npos; end = words.find("; ")) {
    lines.push_back(words.substr(0, end + 1));
    words.remove_prefix(end + 2);
  }
  lines.push_back(words);
  return lines;
}

constexpr float line_px = 16;

std::string words_of(const Workbench& bench, std::size_t option) {
  return option_words(bench.engine(), bench.plan(), bench.plan().options[option]);
}

float row_height(const Ui& ui, std::string_view words) {
  return ui.px(8) + ui.px(line_px) * static_cast<float>(1 + lines_of(words).size());
}

// The gap's own uncertainty counts, which is the same in every option; what the phase adds to it is known of the one
// that is tried.
Verdict option_verdict(const Workbench& bench, const PlanOption& option, bool tried) {
  if (!option.safe) return Verdict::bad;
  if (tried) return clearance_standing(bench.planned());
  const std::optional<ClearanceModel>& model = bench.fitted().standing.model;
  if (!model) return Verdict::good;
  for (const ValveKind kind : valve_kinds) {
    if (!model->has(kind)) continue;
    const GapFit& fit = model->fit(kind);
    if (fit.wild) return Verdict::warning;
    const std::optional<double> mm = option.least(kind);
    if (mm && !surely_over(*mm, axial_limit_mm(bench.build().target, kind), fit.u_mm)) return Verdict::warning;
  }
  return Verdict::good;
}

void option_row(Frame& frame, const ScreenRect& row, std::size_t index, std::string_view words, bool tried) {
  Ui& ui = frame.ui;
  const PlanOption& option = frame.bench.plan().options[index];
  const std::string name = "option." + std::to_string(index + 1);
  record_item(ui, name, row);
  ImGui::SetCursorScreenPos(top_left(row));
  if (ImGui::InvisibleButton(name.c_str(), {row.width(), row.height()})) frame.actions.option = index;
  const bool hovered = ImGui::IsItemHovered();
  ui.list->AddRectFilled(top_left(row), bottom_right(row), hovered ? ui.colours.hover : ui.colours.field, ui.px(4));
  ui.list->AddRect(top_left(row), bottom_right(row), tried || hovered ? ui.colours.accent : ui.colours.line, ui.px(4),
                   ImDrawFlags_None, tried ? std::max(1.5f, 1.5f * ui.scale) : 1.0f);
  const float pad = ui.px(10);
  const float sign = row.right - ui.px(16);
  const ImFont* font = tried ? ui.fonts.bold : ui.fonts.text;
  float y = row.top + ui.px(4);
  for (const std::string_view line : lines_of(words)) {
    text(ui, {row.left + pad, y}, font, ui.colours.ink, line);
    y += ui.px(line_px);
  }
  text(ui, {row.left + pad, y}, ui.fonts.text, ui.colours.quiet, "error " + signed_deg_text(option.worst_error_deg));
  text_right(ui, {sign - ui.px(14), y}, ui.fonts.text, ui.colours.ink, gap_words(frame.view, option));
  verdict_sign(ui, {sign, (row.top + row.bottom) / 2.0f}, option_verdict(frame.bench, option, tried));
}

// The list scrolls in a window of its own; rows outside are skipped.
void option_list(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  ImDrawList* const below = ui.list;
  ImGui::SetCursorScreenPos(top_left(rect));
  ImGui::BeginChild("options", {rect.width(), rect.height()}, false,
                    ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoBackground);
  ui.list = ImGui::GetWindowDrawList();
  ui.panel = "options";
  record_item(ui, "panel.options", rect);
  const ImVec2 start = ImGui::GetCursorScreenPos();
  const std::size_t count = frame.bench.plan().options.size();
  const std::optional<std::size_t> tried = frame.bench.tried_option();
  float top = start.y;
  for (std::size_t i = 0; i < count; ++i) {
    const std::string words = words_of(frame.bench, i);
    const float height = row_height(ui, words);
    if (top < rect.bottom && top + height > rect.top)
      option_row(frame, {start.x + 1, top + 1, rect.right - ui.px(12), top + height}, i, words, tried == i);
    top += height + ui.px(4);
  }
  ImGui::SetCursorScreenPos({start.x, top});
  ImGui::Dummy({1, 0});
  ImGui::EndChild();
  ui.list = below;
  ui.panel = "side";
}

} // namespace

float correction_panel(Frame& frame, ImVec2 at, float width, float bottom) {
  Ui& ui = frame.ui;
  const State& planned = frame.bench.planned();
  float y =
      at.y + panel_head(frame, at, width, "Correction", "Where the cam should stand, and what gets it there.",
                        ImGui::GetWindowHeight() < ui.px(640) // the list wants the room
                            ? nullptr
                            : "A tooth is far too much. Offset keys turn the sprocket on its shaft by a degree or "
                              "two; the plan says which, which way round, and what the valves make of it.");
  y += settings_table(frame, {at.x, y}, width, true) + ui.px(4);
  y += key_facing(frame, {at.x, y}, width, KeyAt::cam);
  y += key_facing(frame, {at.x, y}, width, KeyAt::crank);
  y += phase_verdict(frame, {at.x, y + ui.px(1)}, width, planned, true) + ui.px(6);
  y += clearance_verdict(frame, {at.x, y}, width, planned, true) + ui.px(5);
  y += readings_left_out(frame, {at.x, y}, width);
  y += cautions(frame, {at.x, y}, width) + ui.px(5);

  const Plan& plan = frame.bench.plan();
  y += section_head(frame, {at.x, y}, "From the shelf, best first");
  if (plan.options.empty())
    return y + paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.quiet, "No plan: " + frame.bench.plan_fault());
  text_right(ui, {at.x + width - ui.px(42), y - ui.px(17)}, ui.fonts.note, ui.colours.quiet,
             std::string("gap in / ex ") + unit_word(frame.view.units));
  const float least = ui.px(88);
  const ScreenRect list{at.x, y, at.x + width + ui.px(12), std::max(bottom, y + least)};
  option_list(frame, list);
  return list.bottom - ui.px(10);
}

} // namespace phasewright::viewer
