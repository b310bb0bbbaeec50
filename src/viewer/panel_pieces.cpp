// Pieces that several of the panels at the right use.
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

float panel_head(Frame& frame, ImVec2 at, float width, const char* title, const char* words) {
  Ui& ui = frame.ui;
  text(ui, at, ui.fonts.title, ui.colours.ink, title);
  const float down = ui.px(25);
  if (ImGui::GetWindowHeight() < ui.px(520)) return down + ui.px(2); // every row counts
  return down + paragraph(ui, {at.x, at.y + down}, width, ui.fonts.text, ui.colours.quiet, words) + ui.px(5);
}

float section_head(Frame& frame, ImVec2 at, const char* title) {
  text(frame.ui, at, frame.ui.fonts.bold, frame.ui.colours.ink, title);
  return frame.ui.px(20);
}

float cautions(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  return paragraph(
      ui, at, width, ui.fonts.note, ui.colours.quiet,
      "Figures are a plan: confirm piston to valve physically before starting. Turn the engine by hand only, in the "
      "running direction, plugs out. The engine maker's limits come first.");
}

namespace {

std::string clearance_row(const View& view, const char* word, const std::optional<LeastClearance>& now,
                          const std::optional<LeastClearance>& worn, double limit_mm) {
  if (!now) return {};
  std::string row =
      fmt::format("{} {} at {}", word, length_text(now->least_mm, view.units), crank_words(now->at_crank_deg));
  if (worn) row += fmt::format(", worn {}", length_figure(worn->least_mm, view.units));
  return row + fmt::format("; limit {}", length_figure(limit_mm, view.units));
}

bool below(const std::optional<LeastClearance>& clearance, double limit_mm) {
  return clearance && !(clearance->least_mm >= limit_mm);
}

bool at_wear_limit(const State& state) {
  return state.mechanism.fitted().elongation_percent >= wear_limit_percent(state.mechanism.engine());
}

std::string verdict_words(const State& state, const Target& target) {
  const Clearances& now = state.clearances;
  if ((now.inlet && now.inlet->least_mm <= 0.0) || (now.exhaust && now.exhaust->least_mm <= 0.0))
    return "Valve meets piston.";
  const bool inlet = below(now.inlet, target.min_clearance_inlet_mm);
  const bool exhaust = below(now.exhaust, target.min_clearance_exhaust_mm);
  if (inlet || exhaust)
    return fmt::format("{} clearance is below its limit.", inlet && exhaust ? "Inlet and exhaust"
                                                           : inlet          ? "Inlet"
                                                                            : "Exhaust");
  if (*state.safe) return at_wear_limit(state) ? "Clear of the pistons." : "Clear of the pistons, worn chain too.";
  return state.clearance_fault.empty() ? "Below its limit once the chain has worn."
                                       : "The worn chain cannot be judged.";
}

} // namespace

float clearance_verdict(Frame& frame, ImVec2 at, float width, const State& state, bool planned) {
  Ui& ui = frame.ui;
  const Target& target = frame.bench.build().target;
  if (!state.safe) {
    const std::string why =
        state.clearance_fault.empty() ? "The engine file has no valve dimensions." : state.clearance_fault;
    return verdict_box(ui, at, width, Verdict::warning, "Clearance is not computed.", {why});
  }
  std::vector<std::string> rows;
  const auto add = [&rows](std::string row) {
    if (!row.empty()) rows.push_back(std::move(row));
  };
  add(clearance_row(frame.view, "inlet", state.clearances.inlet, state.worn.inlet, target.min_clearance_inlet_mm));
  add(clearance_row(frame.view, "exhaust", state.clearances.exhaust, state.worn.exhaust,
                    target.min_clearance_exhaust_mm));
  add(state.clearance_fault);
  // The box is the plan's unless it says otherwise.
  const std::string words = verdict_words(state, target);
  return verdict_box(ui, at, width, *state.safe ? Verdict::good : Verdict::bad, planned ? words : "As fitted: " + words,
                     rows);
}

float phase_verdict(Frame& frame, ImVec2 at, float width, const State& state, bool planned) {
  const std::optional<double> target_deg = frame.bench.target_phase_deg();
  if (!target_deg)
    return verdict_box(frame.ui, at, width, Verdict::warning, "The target cannot be worked out.",
                       {frame.bench.target_fault()});
  const double error_deg = state.phase.phase_deg - *target_deg;
  const double wheel_deg = frame.bench.build().instruments.wheel_deg;
  const bool near = std::fabs(error_deg) <= wheel_deg;
  const std::string who =
      planned ? "The plan stands"
              : fmt::format("The {} stands", camshaft_words(frame.bench.engine(), frame.bench.target_camshaft()));
  const std::string sentence =
      near ? fmt::format("{} where it is wanted.", who) : fmt::format("{} {}.", who, lateness(error_deg));
  if (planned)
    return verdict_box(frame.ui, at, width, near ? Verdict::good : Verdict::warning, sentence,
                       {}); // its figures stand above it
  const std::string row =
      near ? fmt::format("{} from it, and the wheel reads to ±{:.1f}°.", signed_deg_text(error_deg), wheel_deg)
           : fmt::format("Phase {}, wanted {}, crank degrees.", signed_deg_text(state.phase.phase_deg),
                         signed_deg_text(*target_deg));
  return verdict_box(frame.ui, at, width, near ? Verdict::good : Verdict::warning, sentence, {row});
}

} // namespace phasewright::viewer
