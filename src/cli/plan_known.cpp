#include "cli/plan_known.hpp"

#include "bench/clearance_read.hpp"

#include "cli/clearance_case.hpp"
#include "cli/words.hpp"

#include <cmath>

namespace phasewright::cli {

Result<GapsKnown> gaps_known(const Context& context) {
  const Build& build = context.opened.build;
  const Result<Mechanism> now = Mechanism::assemble(context.opened.engine, build.fitted);
  if (!now) return now.problems();
  const Result<ClearanceModel> model = clearance_as_read(*now, build);
  if (!model) return model.problems();
  GapsKnown known;
  for (const ValveKind kind : valve_kinds) {
    if (!model->has(kind)) continue;
    known.u_mm[index_of(kind)] = model->fit(kind).u_mm;
    known.wild = known.wild || model->fit(kind).wild;
  }
  return known;
}

bool too_near_to_tell(const PlanOption& option, const Target& target, const GapsKnown& known) {
  for (const ValveKind kind : valve_kinds) {
    const std::optional<double> mm = option.least(kind);
    if (mm && !surely_over(*mm, axial_limit_mm(target, kind), known.u_mm[index_of(kind)])) return true;
  }
  return false;
}

std::string gap_words(const std::optional<double>& mm, double limit_mm) {
  if (!mm) return "?";
  return fixed(*mm >= limit_mm ? *mm : std::floor(*mm * 100.0) / 100.0, 2);
}

std::string wild_warning(const GapsKnown& known) {
  if (!known.wild) return {};
  return "WARNING: the clearance readings can hardly be right, and all that follows rests on them: see the page of "
         "\"clearance\".\n";
}

} // namespace phasewright::cli
