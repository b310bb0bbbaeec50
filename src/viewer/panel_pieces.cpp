// Pieces that several of the panels at the right use.
#include "viewer/frame.hpp"

#include <fmt/format.h>

namespace phasewright::viewer {

const KindEvents* events_of(const Events& events, ValveKind kind) {
  for (const CamshaftEvents& camshaft : events.camshafts) {
    const auto& found = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust;
    if (found) return &*found;
  }
  return nullptr;
}

ImU32 kind_colour(const Ui& ui, ValveKind kind) {
  return kind == ValveKind::inlet ? ui.colours.inlet : ui.colours.exhaust;
}

LineStyle kind_style(ValveKind kind) {
  return kind == ValveKind::inlet ? LineStyle::solid : LineStyle::dashed;
}

float panel_head(Frame& frame, ImVec2 at, float width, const char* title, const char* words, const char* meaning) {
  Ui& ui = frame.ui;
  text(ui, at, ui.fonts.title, ui.colours.ink, title);
  float down = ui.px(25);
  if (meaning != nullptr) {
    const char* label = "what it means";
    const float wide = text_size(ui.fonts.text, label).x + ui.px(16);
    if (button(ui, "meaning", {at.x + width - wide, at.y, at.x + width, at.y + ui.px(22)}, label,
               {.hint = "say what this step means, or leave it out"}))
      frame.view.meaning = !frame.view.meaning;
  }
  if (ImGui::GetWindowHeight() >= ui.px(520)) // in a low window every row counts
    down += paragraph(ui, {at.x, at.y + down}, width, ui.fonts.text, ui.colours.quiet, words) + ui.px(5);
  else
    down += ui.px(2);
  if (meaning == nullptr || !frame.view.meaning) return down;
  return down + paragraph(ui, {at.x, at.y + down}, width, ui.fonts.note, ui.colours.ink, meaning) + ui.px(6);
}

float section_head(Frame& frame, ImVec2 at, const char* title) {
  text(frame.ui, at, frame.ui.fonts.bold, frame.ui.colours.ink, title);
  return frame.ui.px(20);
}

float readings_left_out(Frame& frame, ImVec2 at, float width) {
  const Workbench& bench = frame.bench;
  const Found<DegreeRead>& found = *bench.findings().degree;
  if (!found) return 0.0f;
  std::string words;
  for (const auto& [camshaft, deg] : left_out_of(bench.document().fitted, bench.engine(), *found))
    words += found_words(bench.engine(), camshaft, deg) + ". ";
  if (words.empty()) return 0.0f;
  words +=
      "The plan goes by them; what is fitted is shown without, until you press \"go by these readings\" at Readings.";
  return paragraph(frame.ui, at, width, frame.ui.fonts.note, frame.ui.colours.warning, words) + frame.ui.px(4);
}

float cautions(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  return paragraph(
      ui, at, width, ui.fonts.note, ui.colours.quiet,
      "Figures are a plan: confirm piston to valve physically before starting. Turn the engine by hand only, in the "
      "running direction, plugs out. The engine maker's limits come first.");
}

} // namespace phasewright::viewer
