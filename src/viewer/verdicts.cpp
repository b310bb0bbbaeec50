// What stands right and what does not, each in a box: a sign, a colour and a sentence, what fails first.
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

const JudgedClearance* same_in(const Judgement& judgement, const JudgedClearance& one) {
  const auto found = std::ranges::find_if(judgement.figures, [&](const JudgedClearance& other) {
    return other.kind == one.kind && other.criterion == one.criterion;
  });
  return found == judgement.figures.end() ? nullptr : &*found;
}

std::string subject_of(const JudgedClearance& one) {
  if (!one.kind) return "valve to valve";
  return one.criterion == ClearanceCriterion::axial ? to_word(*one.kind)
                                                    : fmt::format("{} any way", to_word(*one.kind));
}

std::string clearance_row(const View& view, const JudgedClearance& now, const JudgedClearance* worn) {
  const bool untold = now.too_near_to_tell() || (worn != nullptr && worn->too_near_to_tell());
  const std::string out_by =
      untold && now.u_mm ? fmt::format(" ±{}", length_figure(coverage * *now.u_mm, view.units)) : std::string();
  std::string row = fmt::format("{} {}{} {} at {}", subject_of(now), length_figure(now.figure_mm, view.units), out_by,
                                unit_word(view.units), crank_words(now.at_crank_deg, false));
  if (worn != nullptr) row += fmt::format(", worn {}", length_figure(worn->figure_mm, view.units));
  return row + fmt::format("; limit {}", length_figure(now.limit_mm, view.units));
}

// What is too close stands first, then what is too near to tell. A figure in any direction, or valve to valve, is said
// only where it is.
std::vector<std::string> clearance_rows(const View& view, const State& state) {
  std::vector<std::string> failing;
  std::vector<std::string> untold;
  std::vector<std::string> fine;
  for (const JudgedClearance& now : state.standing.judged.figures) {
    const JudgedClearance* worn = same_in(state.standing.judged_worn, now);
    const bool enough = now.enough() && (worn == nullptr || worn->enough());
    if (enough && now.criterion != ClearanceCriterion::axial) continue;
    const bool near = now.too_near_to_tell() || (worn != nullptr && worn->too_near_to_tell());
    (!enough ? failing : near ? untold : fine).push_back(clearance_row(view, now, worn));
  }
  failing.insert(failing.end(), untold.begin(), untold.end());
  failing.insert(failing.end(), fine.begin(), fine.end());
  return failing;
}

bool at_wear_limit(const State& state) {
  return state.mechanism.fitted().elongation_percent >= wear_limit_percent(state.mechanism.engine());
}

bool has(const std::vector<JudgedClearance>& found, ClearanceCriterion criterion, std::optional<ValveKind> kind) {
  return std::ranges::any_of(
      found, [&](const JudgedClearance& one) { return one.criterion == criterion && (!kind || one.kind == kind); });
}

// "Inlet", "Exhaust" or both, of those that fail so.
std::string which_fail(const std::vector<JudgedClearance>& found, ClearanceCriterion criterion) {
  const bool inlet = has(found, criterion, ValveKind::inlet);
  const bool exhaust = has(found, criterion, ValveKind::exhaust);
  return inlet && exhaust ? "Inlet and exhaust" : inlet ? "Inlet" : "Exhaust";
}

// Over the limits, but not to be relied on yet.
std::string doubt_words(const State& state) {
  std::vector<JudgedClearance> untold = state.standing.judged.too_near_to_tell();
  const std::vector<JudgedClearance> worn = state.standing.judged_worn.too_near_to_tell();
  untold.insert(untold.end(), worn.begin(), worn.end());
  if (untold.empty()) return "Clear, but by readings that can hardly be right.";
  const bool inlet = has(untold, ClearanceCriterion::axial, ValveKind::inlet);
  const bool exhaust = has(untold, ClearanceCriterion::axial, ValveKind::exhaust);
  return fmt::format("Too near to tell at {}: measure before trusting it.", inlet && exhaust ? "both valves"
                                                                            : inlet          ? "the inlet valve"
                                                                                             : "the exhaust valve");
}

std::string verdict_words(const State& state) {
  const std::vector<JudgedClearance> found = state.standing.judged.too_close();
  const auto meets = [&](bool to_piston) {
    return std::ranges::any_of(found, [to_piston](const JudgedClearance& one) {
      return (one.criterion != ClearanceCriterion::between) == to_piston && one.figure_mm <= 0.0;
    });
  };
  if (meets(true)) return "Valve meets piston.";
  if (meets(false)) return "Valve meets valve.";
  if (has(found, ClearanceCriterion::axial, std::nullopt))
    return which_fail(found, ClearanceCriterion::axial) + " clearance is below its limit.";
  if (has(found, ClearanceCriterion::any_way, std::nullopt))
    return which_fail(found, ClearanceCriterion::any_way) + " valve is too near its piston, sideways.";
  if (!found.empty()) return "The valves come too near each other.";
  if (state.standing.doubtful()) return doubt_words(state);
  if (*state.standing.safe())
    return at_wear_limit(state) ? "Clear of the pistons." : "Clear of the pistons, worn chain too.";
  return state.standing.fault.empty() ? "Below its limit once the chain has worn." : "The worn chain cannot be judged.";
}

} // namespace

Verdict clearance_standing(const State& state) {
  if (!state.standing.safe()) return Verdict::warning;
  if (!*state.standing.safe()) return Verdict::bad;
  return state.standing.doubtful() ? Verdict::warning : Verdict::good;
}

float clearance_verdict(Frame& frame, ImVec2 at, float width, const State& state, bool planned) {
  Ui& ui = frame.ui;
  if (!state.standing.safe())
    return verdict_box(ui, at, width, Verdict::warning, "Clearance is not worked out:", {state.standing.fault});
  std::vector<std::string> rows = clearance_rows(frame.view, state);
  if (!state.standing.fault.empty()) rows.push_back(state.standing.fault);
  // The box is the plan's unless it says otherwise.
  const Verdict standing = unless_readings_differ(frame.bench, state, clearance_standing(state));
  const bool differs = standing != clearance_standing(state);
  const std::string words = differs ? "Clear as drawn, but the readings show another phase." : verdict_words(state);
  return verdict_box(ui, at, width, standing, planned ? words : "As fitted: " + words, rows);
}

float phase_verdict(Frame& frame, ImVec2 at, float width, const State& state, bool planned) {
  const std::optional<double>& target_deg = state.target_phase_deg;
  if (!target_deg)
    return verdict_box(frame.ui, at, width, Verdict::warning, "The target cannot be worked out.", {state.target_fault});
  const double error_deg = state.phase.phase_deg - *target_deg;
  const double wheel_deg = frame.bench.build().instruments.wheel_deg;
  const bool near = std::fabs(error_deg) <= wheel_deg;
  const Verdict standing = unless_readings_differ(frame.bench, state, near ? Verdict::good : Verdict::warning);
  const std::string who =
      planned ? "The plan stands"
              : fmt::format("The {} stands", camshaft_words(frame.bench.engine(), frame.bench.target_camshaft()));
  const std::string sentence =
      (near ? fmt::format("{} where it is wanted", who) : fmt::format("{} {}", who, lateness(error_deg))) +
      (near && standing != Verdict::good ? ", as drawn; the readings say otherwise." : ".");
  if (planned) return verdict_box(frame.ui, at, width, standing, sentence, {}); // its figures stand above it
  const std::string row =
      near ? fmt::format("{} from it, and the wheel reads to ±{:.1f}°.", signed_deg_text(error_deg), wheel_deg)
           : fmt::format("Phase {}, wanted {}, crank degrees.", signed_deg_text(state.phase.phase_deg),
                         signed_deg_text(*target_deg));
  return verdict_box(frame.ui, at, width, standing, sentence, {row});
}

} // namespace phasewright::viewer
