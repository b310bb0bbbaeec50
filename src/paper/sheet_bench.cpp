// Alignment and end float, what is to be ticked off, and the verdict over all.
#include "bench/align.hpp"
#include "bench/end_float.hpp"
#include "bench/fit_words.hpp"
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::paper {

namespace {

SheetTone tone_of(FloatVerdict verdict) {
  switch (verdict) {
  case FloatVerdict::inside:
    return SheetTone::good;
  case FloatVerdict::below:
  case FloatVerdict::above:
  case FloatVerdict::maybe_below:
  case FloatVerdict::maybe_above:
    return SheetTone::bad;
  default:
    return SheetTone::warning;
  }
}

SheetCell behind_cell(double mm, Units units) {
  SheetCell cell = length_cell(std::fabs(mm), units);
  if (*cell.figure == 0.0) return {"level", 0.0};
  cell.words += mm > 0.0 ? " behind" : " proud";
  return cell;
}

void add_alignment(const SheetFacts& facts, SheetPart& part, SheetTable& table) {
  const Result<Alignment> found = align(facts.engine, facts.build);
  if (!found) {
    part.words.push_back({to_text(found.problems().front()), SheetTone::bad});
    return;
  }
  const SheetTone tone = !found->within ? SheetTone::bad : !found->within_now ? SheetTone::warning : SheetTone::good;
  part.words.push_back({found->words, tone});
  const char* unit = unit_word(facts.units);
  const auto row = [&](const char* key, std::string label, double mm, double u_mm) {
    table.rows.push_back(
        {.key = key,
         .cells = {plain_cell(std::move(label)), behind_cell(mm, facts.units),
                   length_cell(coverage * u_mm, facts.units), length_cell(found->limit_mm, facts.units)}});
    table.rows.back().cells[2].words = "±" + table.rows.back().cells[2].words;
  };
  row("behind", fmt::format("crank sprocket as read, {}", unit), found->behind_mm, found->u_gap_mm);
  if (found->shims != ShimsTo::leave)
    row("left", fmt::format("with the shims changed, {}", unit), found->left_mm, found->u_left_mm);
  table.rows.push_back(
      {.key = "tilt",
       .cells = {plain_cell("tilt of the sprockets"), figure_cell(std::fabs(found->tilt_deg), 2, "°"),
                 plus_minus_cell(coverage * found->u_tilt_deg, 2, "°"), figure_cell(found->tilt_limit_deg, 2, "°")}});
}

void add_end_float(const SheetFacts& facts, SheetPart& part, SheetTable& table) {
  const Result<EndFloat> found = end_float(facts.engine, facts.build);
  if (!found) {
    part.words.push_back({to_text(found.problems().front()), SheetTone::bad});
    return;
  }
  part.words.push_back({found->words, tone_of(found->verdict)});
  const auto dial = [&](double mm) {
    return facts.units == Units::mm ? figure_cell(mm, 3) : figure_cell(mm / mm_per_thou, 1);
  };
  SheetRow row{.key = "end_float",
               .cells = {plain_cell(fmt::format("end float, {}", unit_word(facts.units))), dial(found->float_mm),
                         dial(found->out_by_mm), plain_cell("none stated")}};
  row.cells[2].words = "±" + row.cells[2].words;
  if (found->limits_mm)
    row.cells[3].words = dial((*found->limits_mm)[0]).words + " to " + dial((*found->limits_mm)[1]).words;
  table.rows.push_back(std::move(row));
}

} // namespace

SheetPart alignment_part(const SheetFacts& facts) {
  SheetPart part{.key = "alignment", .title = "Alignment and end float", .words = {}, .tables = {}, .notes = {}};
  SheetTable table{"fit", {"read", "figure", "may be out by", "limit"}, {}};
  const Measured& measured = facts.build.measured;
  if (measured.gap)
    add_alignment(facts, part, table);
  else
    part.words.push_back({"The straight-edge was not read.", SheetTone::warning});
  if (!measured.float_mm.empty())
    add_end_float(facts, part, table);
  else
    part.words.push_back({"The end float was not read.", SheetTone::warning});
  if (!table.rows.empty()) part.tables.push_back(std::move(table));
  return part;
}

namespace {

// Where an engine is not safe there is nothing to be ticked but that.
std::vector<SheetCheck> before_turning() {
  return {{"NOT to be turned or started. What has to be put right first:", true},
          {"Put right, and the clearances worked out and looked at anew"}};
}

void add_assembly(const SheetFacts& facts, std::vector<SheetCheck>& checks) {
  if (facts.build.measured.gap)
    if (const Result<Alignment> found = align(facts.engine, facts.build); found && found->shims != ShimsTo::leave)
      checks.push_back({fmt::format("Shims seen to ({} {}); the gap read again", to_word(found->shims),
                                    size_words(found->pack.thickness_mm)),
                        true});
  const Fitted& after = facts.after.mechanism.fitted();
  const Fitted* before = facts.before ? &facts.before->mechanism.fitted() : nullptr;
  bool keys = after.crank_key_deg != 0.0 || (before != nullptr && before->crank_key_deg != after.crank_key_deg);
  for (const Camshaft& camshaft : facts.engine.camshafts) {
    const double key_deg = cam_key_of(after, camshaft.name);
    keys = keys || key_deg != 0.0 || (before != nullptr && cam_key_of(*before, camshaft.name) != key_deg);
    const int lay = lay_of(after, camshaft.name);
    if (lay != 0 || (before != nullptr && lay_of(*before, camshaft.name) != lay))
      checks.push_back(
          {fmt::format("Chain laid {} at \"{}\", the marks looked at and the pins counted",
                       lay == 0 ? std::string("as marked")
                                : fmt::format("{} {} {} of the marks", std::abs(lay),
                                              std::abs(lay) == 1 ? "tooth" : "teeth", lay > 0 ? "forward" : "back"),
                       camshaft.name),
           true});
  }
  if (keys) checks.push_back({"Keys seated and dressed, each step facing as drawn; sprockets home on their seats"});
  checks.push_back({"Lock washers that were bent back renewed"});
}

// Lobe centres go earlier by as much as the camshaft is advanced.
void add_wheel(const SheetFacts& facts, std::vector<SheetCheck>& checks) {
  if (!facts.after.events) return;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (const KindEvents* of = events_of(*facts.after.events, kind))
      checks.push_back(
          {fmt::format("Wheel read anew, its own error at TDC taken off: {} lobe centre, {}° {} is to be "
                       "seen",
                       to_word(kind), figure(of->centre_deg, 1), kind == ValveKind::inlet ? "ATDC" : "BTDC"),
           true});
}

} // namespace

std::vector<SheetCheck> checks_of(const SheetFacts& facts) {
  if (facts.after.model && !facts.after.safe()) return before_turning();
  std::vector<SheetCheck> checks;
  add_assembly(facts, checks);
  checks.push_back({"Turned two whole turns by hand, running direction, plugs out: nothing resisted"});
  add_wheel(facts, checks);
  for (const ValveKind kind : valve_kinds)
    if (facts.after.mechanism.motion(kind) != nullptr) {
      const SheetCell limit = limit_cell(axial_limit_mm(facts.build.target, kind), facts.units);
      checks.push_back(
          {fmt::format("{} valve to piston confirmed physically, {} {} at least",
                       kind == ValveKind::inlet ? "Inlet" : "Exhaust", limit.words, unit_word(facts.units)),
           true});
    }
  checks.push_back({"Ignition and whatever else the camshaft drives set anew"});
  return checks;
}

SheetTable fasteners_of(const Engine& engine) {
  SheetTable table{"fasteners", {"fastener", "maker’s torque", "locked by"}, {}};
  for (const auto& [name, fastener] : engine.fasteners)
    table.rows.push_back(
        {.key = name,
         .cells = {plain_cell(name),
                   fastener.torque_nm > 0.0 ? SheetCell{fmt::format("{:g} N·m", fastener.torque_nm), fastener.torque_nm}
                                            : plain_cell("see the maker’s manual"),
                   plain_cell(fastener.locks.empty() ? "–" : fastener.locks)}});
  return table;
}

} // namespace phasewright::paper
