// How each step of the bench stands.
#include "viewer/frame.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

Verdict keys_standing(const Workbench& bench) {
  const auto wants_work = [](const std::shared_ptr<const Found<KeyFit>>& fit) {
    return *fit && is_out_of_limits(**fit);
  };
  return std::ranges::any_of(bench.findings().keys, wants_work) ? Verdict::warning : Verdict::good;
}

Verdict alignment_standing(const Workbench& bench) {
  const Found<Alignment>& found = *bench.findings().alignment;
  if (!found) return Verdict::warning;
  if (found->within_now) return found->surely ? Verdict::good : Verdict::warning;
  return found->surely ? Verdict::bad : Verdict::warning;
}

Verdict end_float_standing(const Workbench& bench) {
  const Found<EndFloat>& found = *bench.findings().end_float;
  if (!found) return Verdict::warning;
  switch (found->verdict) {
  case FloatVerdict::inside:
    return found->parts_agree ? Verdict::good : Verdict::warning;
  case FloatVerdict::below:
  case FloatVerdict::above:
    return Verdict::bad;
  default:
    return Verdict::warning;
  }
}

// Of several things that are wrong with the readings the first that makes the others doubtful.
ReadingsTrouble readings_trouble(const Workbench& bench) {
  const Found<DegreeRead>& found = *bench.findings().degree;
  if (!found) return ReadingsTrouble::none_taken;
  const DegreeRead& read = *found;
  if (!read.slips.empty()) return ReadingsTrouble::slip;
  if (!read.outliers.empty()) return ReadingsTrouble::outlier;
  if (read.wheel.scattered || std::ranges::any_of(read.lobes, &LobeRead::scattered)) return ReadingsTrouble::scattered;
  if (read.camshafts.empty()) return ReadingsTrouble::no_lobes;
  if (std::ranges::any_of(read.camshafts, &CamshaftRead::lobes_disagree)) return ReadingsTrouble::lobes_disagree;
  if (!goes_by_readings(bench)) return ReadingsTrouble::unexplained;
  return ReadingsTrouble::nothing;
}

bool goes_by_readings(const Workbench& bench) {
  const Found<DegreeRead>& found = *bench.findings().degree;
  return !found || left_out_of(bench.document().fitted, bench.engine(), *found).empty();
}

Verdict readings_standing(const Workbench& bench) {
  return readings_trouble(bench) == ReadingsTrouble::nothing ? Verdict::good : Verdict::warning;
}

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

// What is worked out without what the readings show must not look settled.
Verdict unless_readings_differ(const Workbench& bench, const State& state, Verdict verdict) {
  const Found<DegreeRead>& found = *bench.findings().degree;
  const bool differ = found && !left_out_of(state.mechanism.fitted(), bench.engine(), *found).empty();
  return verdict == Verdict::good && differ ? Verdict::warning : verdict;
}

namespace {

// What is handed over is no better than the work.
Verdict worst_before_sheet(const Workbench& bench) {
  Verdict worst = Verdict::good;
  for (int step = 0; step < static_cast<int>(Step::sheet); ++step)
    worst = std::max(worst, step_verdict(bench, static_cast<Step>(step)));
  return worst;
}

} // namespace

Verdict step_verdict(const Workbench& bench, Step step) {
  const double wheel_deg = bench.build().instruments.wheel_deg;
  const auto stands_right = [&](const State& state) {
    const bool chain_good = std::ranges::all_of(bench.engine().loops, [&](const Loop& loop) {
      return state.mechanism.fitted().elongation_percent < loop.chain.wear_limit_percent;
    });
    return chain_good && state.target_phase_deg &&
           std::fabs(*state.target_phase_deg - state.phase.phase_deg) <= wheel_deg;
  };
  switch (step) {
  case Step::parts:
    return keys_standing(bench);
  case Step::alignment:
    return alignment_standing(bench);
  case Step::end_float:
    return end_float_standing(bench);
  case Step::base_timing: {
    if (bench.fitted().standing.safe() == false) return Verdict::bad;
    return unless_readings_differ(bench, bench.fitted(),
                                  marks_face(bench) && stands_right(bench.fitted()) ? Verdict::good : Verdict::warning);
  }
  case Step::valves:
    return bench.fitted().events && !sharp_lobe(bench) ? Verdict::good : Verdict::warning;
  case Step::readings:
    return readings_standing(bench);
  case Step::correction:
    return unless_readings_differ(bench, bench.planned(),
                                  stands_right(bench.planned()) ? Verdict::good : Verdict::warning);
  case Step::sheet:
    return worst_before_sheet(bench);
  case Step::lessons:
    return Verdict::good; // says nothing of the engine
  case Step::clearance:
    break;
  }
  return unless_readings_differ(bench, bench.planned(), clearance_standing(bench.planned()));
}

} // namespace phasewright::viewer
