// Valve events and clearances, before and after.
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::paper {

namespace {

struct Named {
  EventKind opens;
  EventKind closes;
};

Named named(ValveKind kind) {
  return kind == ValveKind::inlet ? Named{EventKind::inlet_opens, EventKind::inlet_closes}
                                  : Named{EventKind::exhaust_opens, EventKind::exhaust_closes};
}

// The states that have events, before first.
std::vector<const Stage*> told(const SheetFacts& facts) {
  std::vector<const Stage*> stages;
  if (facts.before && facts.before->events) stages.push_back(&*facts.before);
  if (facts.after.events) stages.push_back(&facts.after);
  return stages;
}

class EventRows {
public:
  EventRows(SheetTable& table, std::vector<const Stage*> stages) : table_(table), stages_(std::move(stages)) {}

  template <class Of>
  void add(std::string key, std::string label, SheetTone tone, Of of) {
    SheetRow row{.key = std::move(key), .cells = {plain_cell(std::move(label))}, .tone = tone};
    for (const Stage* stage : stages_) row.cells.push_back(of(*stage->events));
    table_.rows.push_back(std::move(row));
  }

  void add_kind(ValveKind kind, Units units) {
    if (std::ranges::any_of(stages_, [kind](const Stage* stage) { return events_of(*stage->events, kind) == nullptr; }))
      return;
    const SheetTone tone = kind == ValveKind::inlet ? SheetTone::inlet : SheetTone::exhaust;
    const Named names = named(kind);
    const std::string word = to_word(kind);
    const auto row = [&](const char* key, const char* label, const auto& cell_of) {
      add(word + "_" + key, word + " " + label, tone,
          [&](const Events& events) { return cell_of(*events_of(events, kind)); });
    };
    row("opens", "opens", [&](const KindEvents& of) { return event_cell(names.opens, of.at_check.opens_deg); });
    row("closes", "closes", [&](const KindEvents& of) { return event_cell(names.closes, of.at_check.closes_deg); });
    row("duration", "duration", [](const KindEvents& of) { return figure_cell(of.at_check.duration_deg, 1, "°"); });
    row("centre", "lobe centre", [kind](const KindEvents& of) {
      return figure_cell(of.centre_deg, 1, kind == ValveKind::inlet ? "° ATDC" : "° BTDC");
    });
    row("lift_at_tdc", "lift at overlap TDC", [units](const KindEvents& of) {
      SheetCell cell = length_cell(of.lift_at_tdc_mm, units);
      cell.words += fmt::format(" {}", unit_word(units));
      return cell;
    });
  }

private:
  SheetTable& table_;
  std::vector<const Stage*> stages_;
};

std::string check_words(const Engine& engine, Units units) {
  const Camshaft& first = engine.camshafts.front();
  return fmt::format("{} at the {}", length_text(first.check_lift_mm, units),
                     first.check_at == CheckAt::tappet ? "tappet" : "valve");
}

const JudgedClearance* same_figure(const Judgement& judgement, const JudgedClearance& one) {
  const auto at = std::ranges::find_if(judgement.figures, [&one](const JudgedClearance& other) {
    return other.kind == one.kind && other.criterion == one.criterion;
  });
  return at == judgement.figures.end() ? nullptr : &*at;
}

std::string gap_name(const JudgedClearance& one) {
  switch (one.criterion) {
  case ClearanceCriterion::axial:
    return fmt::format("{} to piston, along its axis", to_word(*one.kind));
  case ClearanceCriterion::any_way:
    return fmt::format("{} to piston, any way", to_word(*one.kind));
  case ClearanceCriterion::between:
    return "inlet to exhaust valve, any way";
  }
  return {};
}

std::string gap_key(const JudgedClearance& one) {
  if (!one.kind) return "valve_to_valve";
  return std::string(to_word(*one.kind)) + (one.criterion == ClearanceCriterion::axial ? "_axial" : "_any_way");
}

SheetCell verdict_cell(const JudgedClearance& now, const JudgedClearance* worn) {
  if (!now.enough()) return plain_cell("NOT ENOUGH");
  if (worn == nullptr || !worn->enough()) return plain_cell("NOT ENOUGH once worn");
  if (now.too_near_to_tell() || worn->too_near_to_tell()) return plain_cell("measure");
  return plain_cell("enough");
}

SheetTable gaps_table(const SheetFacts& facts) {
  const bool both = facts.before && facts.before->model;
  SheetTable table{"gaps", {fmt::format("least clearance, {}", unit_word(facts.units))}, {}};
  if (both) table.head.push_back(facts.before->name);
  for (const std::string& head : {facts.after.name, std::string("may be out by"), std::string("chain worn"),
                                  std::string("limit"), std::string("at crank"), std::string("verdict")})
    table.head.push_back(head);
  for (const JudgedClearance& now : facts.after.judged.figures) {
    const JudgedClearance* worn = same_figure(facts.after.judged_worn, now);
    SheetRow row{.key = gap_key(now), .cells = {plain_cell(gap_name(now))}};
    const auto gap = [&](const JudgedClearance* one) {
      return gap_cell(one != nullptr ? std::optional(one->figure_mm) : std::nullopt, now.limit_mm, facts.units);
    };
    if (both) row.cells.push_back(gap(same_figure(facts.before->judged, now)));
    row.cells.push_back(gap(&now));
    if (now.u_mm) {
      row.cells.push_back(gap_cell(coverage * *now.u_mm, 0.0, facts.units));
      row.cells.back().words = "±" + row.cells.back().words;
    } else {
      row.cells.push_back(plain_cell("–"));
    }
    row.cells.push_back(gap(worn));
    row.cells.push_back(limit_cell(now.limit_mm, facts.units));
    row.cells.push_back(plain_cell(crank_words(now.at_crank_deg)));
    row.cells.push_back(verdict_cell(now, worn));
    const bool enough = now.enough() && worn != nullptr && worn->enough();
    row.tone = !enough                                              ? SheetTone::bad
               : now.too_near_to_tell() || worn->too_near_to_tell() ? SheetTone::warning
                                                                    : SheetTone::plain;
    table.rows.push_back(std::move(row));
  }
  return table;
}

} // namespace

SheetPart events_part(const SheetFacts& facts) {
  SheetPart part{.key = "events", .title = "Valve events", .words = {}, .tables = {}, .notes = {}};
  const std::vector<const Stage*> stages = told(facts);
  if (stages.empty()) {
    part.words.push_back({facts.after.events_fault, SheetTone::warning});
    return part;
  }
  SheetTable table{"events", {"crank degrees, No. 1"}, {}};
  for (const Stage* stage : stages) table.head.push_back(stage->name);
  EventRows rows(table, stages);
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) rows.add_kind(kind, facts.units);
  const Events& last = *stages.back()->events;
  const auto optional_row = [&](const char* key, const char* label, std::optional<double> Events::*of) {
    if (last.*of)
      rows.add(key, label, SheetTone::plain, [of](const Events& events) {
        return events.*of ? figure_cell(*(events.*of), 1, "°") : plain_cell("–");
      });
  };
  optional_row("overlap", "overlap", &Events::overlap_deg);
  optional_row("separation", "lobe separation, cam degrees", &Events::separation_deg);
  part.tables.push_back(std::move(table));
  part.notes.push_back(fmt::format("At {}.", check_words(facts.engine, facts.units)));
  return part;
}

SheetPart clearances_part(const SheetFacts& facts) {
  SheetPart part{.key = "clearances", .title = "Clearances", .words = {}, .tables = {}, .notes = {}};
  const Stage& after = facts.after;
  if (!after.model) {
    part.words.push_back({"Not worked out: " + after.clearance_fault + ". Measure them before the engine is turned.",
                          SheetTone::warning});
    return part;
  }
  if (!after.clearance_fault.empty()) part.words.push_back({after.clearance_fault + ".", SheetTone::bad});
  for (const ValveKind kind : valve_kinds)
    if (after.model->has(kind) && after.model->fit(kind).wild)
      part.words.push_back({fmt::format("The clearance readings of the {} valve can hardly be right: check them before "
                                        "trusting any of this.",
                                        to_word(kind)),
                            SheetTone::bad});
  part.tables.push_back(gaps_table(facts));
  for (const ValveKind kind : valve_kinds)
    if (after.model->has(kind))
      if (const int count = after.model->fit(kind).readings; count > 0)
        part.notes.push_back(fmt::format("The {} valve’s gap is reckoned from {} {} on this engine.", to_word(kind),
                                         count, count == 1 ? "reading" : "readings"));
  part.notes.emplace_back("Computed; confirm them physically. “measure”: over its limit by less than it may be out by "
                          "(k = 2).");
  return part;
}

} // namespace phasewright::paper
