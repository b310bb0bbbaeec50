#include "paper/sheet.hpp"

#include "mechanics/gap_cautions.hpp"
#include "mechanics/lobe_cautions.hpp"
#include "paper/sheet_parts.hpp"

namespace phasewright::paper {

namespace {

std::vector<std::string> cautions_of(const Opened& opened, const SheetFacts& facts) {
  std::vector<std::string> cautions{
      "Turn the engine by hand only, in the running direction, plugs out. Take the piston stop out first.",
      "These figures are a plan, computed and not measured: confirm the clearance between piston and valve physically "
      "before starting.",
      "The engine maker’s limits and a qualified engine builder’s judgement come first. Torque figures are the "
      "maker’s. "
      "Worn or damaged fasteners are replaced."};
  const auto add = [&cautions](std::vector<std::string> more) {
    for (std::string& one : more) cautions.push_back(std::move(one) + ".");
  };
  add(opened.cautions);
  add(lobe_cautions(facts.engine));
  add(gap_cautions(facts.engine));
  return cautions;
}

SheetState state_of(const Stage& stage) {
  SheetState state{.name = stage.name, .events = stage.events, .lift_mm = {}};
  for (const ValveKind kind : valve_kinds) {
    if (stage.mechanism.motion(kind) == nullptr) continue;
    std::vector<double>& lift_mm = state.lift_mm[kind == ValveKind::inlet ? 0 : 1];
    for (int deg = 0; deg <= 720; ++deg) lift_mm.push_back(stage.mechanism.valve_lift_mm(kind, 1, deg));
  }
  return state;
}

} // namespace

std::vector<const SheetPart*> BuildSheet::parts() const {
  return {&correction, &readings, &events, &clearances, &alignment, &as_read};
}

Result<BuildSheet> build_sheet(const Opened& opened, const SheetOptions& options) {
  const Result<SheetFacts> facts = sheet_facts(opened, options);
  if (!facts) return facts.problems();
  BuildSheet sheet;
  sheet.engine = opened.engine->name;
  sheet.title = opened.build.title.empty() ? sheet.engine : opened.build.title;
  sheet.date = opened.build.measured.date;
  sheet.standings = standings_of(*facts);
  sheet.verdict = verdict_of(*facts, sheet.standings);
  sheet.planned = facts->planned();
  sheet.safe = facts->after.safe();
  sheet.cautions = cautions_of(opened, *facts);
  sheet.readings = readings_part(*facts);
  sheet.correction = correction_part(*facts);
  sheet.events = events_part(*facts);
  sheet.clearances = clearances_part(*facts);
  sheet.alignment = alignment_part(*facts);
  sheet.as_read = as_read_part(*facts);
  sheet.checks = checks_of(*facts);
  sheet.fasteners = fasteners_of(*opened.engine);
  sheet.keys = offset_keys(*facts);
  if (facts->before) sheet.states.push_back(state_of(*facts->before));
  sheet.states.push_back(state_of(facts->after));
  sheet.units = options.units;
  return sheet;
}

} // namespace phasewright::paper
