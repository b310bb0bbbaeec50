// The correction that was chosen, why, and what came next to it.
#include "bench/degree.hpp"
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::paper {

namespace {

constexpr std::size_t runners_up = 4;

const char* yes_no(const PlanOption& option) {
  if (option.safe) return "yes";
  return option.goes_together ? "NO" : "NO: does not go together";
}

std::string phases_words(std::span<const double> deg, std::size_t count) {
  std::string words;
  for (std::size_t i = 0; i < count; ++i) words += (i == 0 ? "" : " / ") + signed_figure(deg[i], 2);
  return words + "°";
}

SheetCell phases_cell(const std::array<double, most_planned>& deg, std::size_t count) {
  if (count == 1) return signed_cell(deg[0], 2, "°");
  return plain_cell(phases_words(deg, count));
}

SheetRow option_row(const SheetFacts& facts, std::size_t index, SheetTone tone) {
  const Plan& plan = *facts.plan;
  const PlanOption option = plan.options[index];
  const Target& target = facts.build.target;
  return {.key = fmt::format("option_{}", index + 1),
          .cells = {{fmt::format("{}", index + 1), static_cast<double>(index + 1)},
                    plain_cell(option_words(facts.engine, plan, option)),
                    phases_cell(option.phase_deg, plan.camshafts.size()),
                    phases_cell(option.error_deg, plan.camshafts.size()),
                    gap_cell(option.least(ValveKind::inlet), target.min_clearance_inlet_mm, facts.units),
                    gap_cell(option.least(ValveKind::exhaust), target.min_clearance_exhaust_mm, facts.units),
                    plain_cell(yes_no(option))},
          .tone = option.safe ? tone : SheetTone::bad};
}

// The chosen one, and the best of the others in the plan's order.
SheetTable options_table(const SheetFacts& facts) {
  const char* unit = unit_word(facts.units);
  SheetTable table{"options",
                   {"no.", "how it is fitted", "phase, crank", "off target", fmt::format("inlet, {}", unit),
                    fmt::format("exhaust, {}", unit), "safe"},
                   {}};
  table.rows.push_back(option_row(facts, facts.option, SheetTone::good));
  for (std::size_t i = 0; i < facts.plan->options.size() && table.rows.size() <= runners_up; ++i)
    if (i != facts.option) table.rows.push_back(option_row(facts, i, SheetTone::plain));
  return table;
}

// Why this one: how near it comes among those that are safe.
std::string why_words(const SheetFacts& facts) {
  const Plan& plan = *facts.plan;
  const PlanOption chosen = plan.options[facts.option];
  const std::size_t count = plan.camshafts.size();
  const auto safe = std::ranges::count_if(plan.options, &PlanOption::safe);
  const std::string leaves = fmt::format("Off target by {} of crank", phases_words(chosen.error_deg, count));
  if (!chosen.safe)
    return fmt::format("It is NOT SAFE by the limits. Of {} that the shelf allows {} are safe.", plan.options.size(),
                       safe);
  if (facts.option == 0)
    return fmt::format("{}: of {} that the shelf allows {} keep the valves clear, now and with the chain worn, and "
                       "none of those comes nearer with fewer changes.",
                       leaves, plan.options.size(), safe);
  return fmt::format("{}. It was chosen by the builder; the plan’s first of {} safe ones would be {} off.", leaves,
                     safe, phases_words(plan.options.front().error_deg, count));
}

void add_targets(const SheetFacts& facts, SheetPart& part) {
  for (const PlannedCamshaft& planned : facts.plan->camshafts)
    part.words.push_back(
        {fmt::format("Asked for{}: {}. As fitted: {}.", at_camshaft(facts.engine, planned.camshaft),
                     target_words(facts.engine, facts.build, planned), phase_words(planned.fitted_phase_deg))});
  if (facts.plan->goes_by_readings)
    for (const auto& [name, deg] : facts.plan->base.found_of)
      if (deg != found_of(facts.build.fitted, name))
        part.words.push_back({found_words(facts.engine, name, deg) + "; the plan goes by the readings."});
}

std::string lay_words(int lay) {
  if (lay == 0) return "as marked";
  return fmt::format("{} {} {}", std::abs(lay), std::abs(lay) == 1 ? "tooth" : "teeth", lay > 0 ? "forward" : "back");
}

std::string holes_words(const HolePair& holes) {
  return fmt::format("hub {}, sprocket {}", holes.hub_hole, holes.sprocket_hole);
}

std::string shims_words(const Fitted& fitted, Units units) {
  std::string words;
  for (const double mm : fitted.shim_mm) words += (words.empty() ? "" : " + ") + shim_text(mm, units);
  return words.empty() ? "none" : words;
}

// What is set at each place: a row where anything is, or was.
SheetTable settings_table(const SheetFacts& facts) {
  SheetTable table{"settings", {"fitted"}, {}};
  std::vector<const Fitted*> states;
  if (facts.before) states.push_back(&facts.before->mechanism.fitted());
  states.push_back(&facts.after.mechanism.fitted());
  if (facts.before) table.head.push_back(facts.before->name);
  table.head.push_back(facts.after.name);
  const auto add = [&](std::string key, std::string label, bool wanted, const auto& cell_of) {
    if (!wanted) return;
    SheetRow row{.key = std::move(key), .cells = {plain_cell(std::move(label))}};
    for (const Fitted* fitted : states) row.cells.push_back(cell_of(*fitted));
    table.rows.push_back(std::move(row));
  };
  const auto any = [&](const auto& has) {
    return std::ranges::any_of(states, [&](const Fitted* one) { return has(*one); });
  };
  for (std::size_t i = 0; i < facts.engine.camshafts.size(); ++i) {
    const std::string& name = facts.engine.camshafts[i].name;
    const std::string at = at_camshaft(facts.engine, i);
    add("lay_" + name, "chain laid" + at, true,
        [&](const Fitted& fitted) { return plain_cell(lay_words(lay_of(fitted, name))); });
    add("cam_key_" + name, "cam key" + at, true,
        [&](const Fitted& fitted) { return plain_cell(key_words(KeyAt::cam, cam_key_of(fitted, name))); });
    add("holes_" + name, "holes" + at, any([&](const Fitted& fitted) { return holes_of(fitted, name) != HolePair{}; }),
        [&](const Fitted& fitted) { return plain_cell(holes_words(holes_of(fitted, name))); });
    add("slot_" + name, "slot, cam degrees" + at,
        any([&](const Fitted& fitted) { return slot_of(fitted, name) != 0.0; }),
        [&](const Fitted& fitted) { return signed_cell(slot_of(fitted, name), 2, "°"); });
    add("found_" + name, "found by readings, crank degrees" + at,
        any([&](const Fitted& fitted) { return found_of(fitted, name) != 0.0; }),
        [&](const Fitted& fitted) { return signed_cell(found_of(fitted, name), 2, "°"); });
  }
  add("crank_key", "crank key", true,
      [](const Fitted& fitted) { return plain_cell(key_words(KeyAt::crank, fitted.crank_key_deg)); });
  add("elongation", "chain longer than new", true,
      [](const Fitted& fitted) { return figure_cell(fitted.elongation_percent, 2, " %"); });
  add("centre_change", fmt::format("centre distance changed, {}", unit_word(facts.units)),
      any([](const Fitted& fitted) { return fitted.centre_change_mm != 0.0; }),
      [&](const Fitted& fitted) { return length_cell(fitted.centre_change_mm, facts.units); });
  add("shims", "shims behind the crank sprocket", any([](const Fitted& fitted) { return !fitted.shim_mm.empty(); }),
      [&](const Fitted& fitted) { return plain_cell(shims_words(fitted, facts.units)); });
  return table;
}

void add_step_cautions(const SheetFacts& facts, SheetPart& part) {
  for (const auto& [key, name] : offset_keys(facts))
    if (const std::string caution = step_caution(key.seat.key.width_mm, key.picture.step_mm); !caution.empty())
      part.words.push_back({fmt::format("{}: {}.", name, caution), SheetTone::warning});
}

// Where the camshafts stand, and where the target wants them.
void add_phases(const SheetFacts& facts, SheetPart& part) {
  for (std::size_t i = 0; i < facts.engine.camshafts.size(); ++i)
    part.words.push_back({fmt::format("The camshaft{} stands {}.", at_camshaft(facts.engine, i),
                                      phase_words(facts.after.mechanism.drive().phase_deg(i)))});
  Build as_fitted = facts.build;
  as_fitted.fitted = facts.after.mechanism.fitted();
  const Result<std::vector<double>> targets = target_phases_deg(facts.engine, as_fitted);
  if (!targets) return part.words.push_back({to_text(targets.problems().front()), SheetTone::warning});
  const std::vector<std::size_t> camshafts = planned_camshafts(facts.engine, facts.build.target);
  for (std::size_t i = 0; i < camshafts.size(); ++i)
    part.words.push_back(
        {fmt::format("Asked for{}: {}. Off target by {} of crank.", at_camshaft(facts.engine, camshafts[i]),
                     phase_words((*targets)[i]),
                     signed_deg_text(facts.after.mechanism.drive().phase_deg(camshafts[i]) - (*targets)[i], 2))});
}

} // namespace

SheetPart correction_part(const SheetFacts& facts) {
  SheetPart part{.key = "correction", .title = "Correction", .words = {}, .tables = {}, .notes = {}};
  if (!facts.planned()) {
    part.title = "What is fitted";
    add_phases(facts, part);
    for (const SheetKey& one : offset_keys(facts))
      part.words.push_back({fmt::format("– {}: {}.", one.name, one.key.picture.words), SheetTone::quiet});
    add_step_cautions(facts, part);
    part.tables.push_back(settings_table(facts));
    return part;
  }
  const PlanOption chosen = facts.plan->options[facts.option];
  add_targets(facts, part);
  const std::string how = option_words(facts.engine, *facts.plan, chosen);
  const char* verb = !facts.after.safe() && facts.after.model ? "NOT to be fitted"
                     : chosen.changes == 0                    ? "Leave as it is"
                                                              : "Fit";
  part.words.push_back({fmt::format("{}: {}.", verb, how), chosen.safe ? SheetTone::good : SheetTone::bad});
  part.words.push_back({why_words(facts)});
  for (const std::string& note : option_notes(facts.engine, *facts.plan, chosen))
    part.words.push_back({"– " + note + ".", SheetTone::quiet});
  add_step_cautions(facts, part);
  part.tables.push_back(options_table(facts));
  part.tables.push_back(settings_table(facts));
  part.notes.emplace_back("Clearances: the least along the valve’s axis, the lesser of now and with the chain worn. "
                          "Phase and what is off target: crank degrees, + = advanced.");
  return part;
}

} // namespace phasewright::paper
