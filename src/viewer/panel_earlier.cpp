// Sets of readings put by: what each came to, and what has changed since.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

std::string set_title(const Measured& set, std::size_t index) {
  return set.date.empty() ? fmt::format("Set {}", index + 1) : set.date;
}

void phase_facts(Frame& frame, Form& form, const DegreeRead& read) {
  const bool several = frame.bench.engine().camshafts.size() > 1;
  for (const CamshaftRead& one : read.camshafts) {
    const std::string& name = frame.bench.engine().camshafts[one.camshaft].name;
    form.fact(several ? "phase, " + name : std::string("phase"),
              fmt::format("{} ±{}", signed_deg_text(one.phase_deg), deg_text(coverage * one.u_deg)));
  }
}

void change_words(Frame& frame, Form& form, const DegreeRead& before, const DegreeRead& now) {
  if (!before.slips.empty() || !now.slips.empty()) {
    form.note("Not compared: readings are written wrongly.");
    return;
  }
  const std::vector<PhaseChange> changes = phase_changes(before, now);
  for (const PhaseChange& change : changes) {
    const std::string who = camshaft_words(frame.bench.engine(), change.camshaft);
    const std::string by = fmt::format("{} ±{}", signed_deg_text(change.deg), deg_text(coverage * change.u_deg));
    const std::string foretold = fmt::format("What was fitted foretells {}.", signed_deg_text(change.foretold_deg));
    const bool as_foretold = std::fabs(change.deg - change.foretold_deg) <= coverage * change.u_deg;
    form.verdict(as_foretold ? Verdict::good : Verdict::warning,
                 change.real ? fmt::format("The {} has moved {}.", who, by)
                             : fmt::format("The {} has not moved, as far as can be told: {}.", who, by),
                 {foretold + (as_foretold ? "" : " They do not agree.")});
  }
}

void other_facts(Frame& frame, Form& form, const Measured& set) {
  const Units units = frame.view.units;
  if (set.gap)
    form.fact("gap under " + set.gap->under, fmt::format("{} near, {} far", length_figure(set.gap->near_mm, units),
                                                         length_text(set.gap->far_mm, units)));
  if (!set.float_mm.empty()) {
    double sum = 0.0;
    for (const double mm : set.float_mm) sum += mm;
    form.fact("end float, mean", dial_text(sum / static_cast<double>(set.float_mm.size()), units));
  }
  if (!set.clearance.empty()) form.fact("clearances read", fmt::format("{}", set.clearance.size()));
}

} // namespace

float earlier_page(Frame& frame, ImVec2 at, float width) {
  Form form(frame, at, width);
  const Workbench& bench = frame.bench;
  const std::vector<Measured>& history = bench.document().history;
  const Found<DegreeRead>& now = *bench.findings().degree;
  if (history.empty()) {
    form.note(
        "No set of readings has been put by yet. Put the readings by before anything is changed on the engine, and "
        "read again afterwards: here they are compared.");
    return form.bottom();
  }
  if (now) {
    form.section("On the bench now");
    phase_facts(frame, form, *now);
  }
  const DegreeRead* after = now ? &*now : nullptr;
  for (std::size_t i = history.size(); i-- > 0;) {
    const Measured& set = history[i];
    const Found<DegreeRead>& read = *bench.findings().earlier[i];
    if (read && after != nullptr) {
      form.space(2);
      change_words(frame, form, *read, *after);
    }
    form.section(set_title(set, i).c_str());
    if (!set.note.empty()) form.sentence(set.note);
    if (read)
      phase_facts(frame, form, *read);
    else if (!set.lobe.empty() || !set.stop_deg.empty())
      form.note(read.fault);
    other_facts(frame, form, set);
    if (read) after = &*read;
  }
  form.space(2);
  form.note(
      "±: k = 2. The wheel was set up anew for each set, so that both its zeros count in a change. Phase in crank "
      "degrees, + = advanced.");
  return form.bottom();
}

} // namespace phasewright::viewer
