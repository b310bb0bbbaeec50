// How everything stands that a sheet is signed for, a line each, and the verdict over all of it.
#include "bench/align.hpp"
#include "bench/chain_count.hpp"
#include "bench/degree.hpp"
#include "bench/end_float.hpp"
#include "bench/key_fit.hpp"
#include "mechanics/wear.hpp"
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::paper {

namespace {

void add(std::vector<SheetWords>& standings, SheetTone tone, std::string words) {
  standings.push_back({std::move(words), tone});
}

void add_present(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  if (!facts.planned() || !facts.before || !facts.before->model || facts.before->safe()) return;
  add(standings, SheetTone::bad,
      "As it is fitted now it is NOT SAFE: a clearance is under its limit, now or with the chain worn. Do not turn it "
      "through the overlap before that is put right.");
}

void add_readings(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  const Measured& measured = facts.build.measured;
  if (measured.lobe.empty())
    return add(standings, SheetTone::warning,
               "The lobes were not read with wheel and indicator: all of this goes by the drive as it is drawn.");
  const Result<DegreeRead> read = read_degree(facts.engine, measured, facts.build.instruments);
  if (!read) return add(standings, SheetTone::bad, to_text(read.problems().front()));
  for (const SlipFound& slip : read->slips)
    add(standings, SheetTone::bad,
        fmt::format("Readings are written wrongly: {}. All of this goes by the drive as it is drawn.", slip.words));
}

// Worn out, by any of what `chain` looks at.
void add_chains(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  const Fitted& fitted = facts.after.mechanism.fitted();
  constexpr double any_band_deg = 2.0;
  for (std::size_t i = 0; i < facts.engine.loops.size(); ++i) {
    const std::string which = facts.engine.loops.size() > 1 ? fmt::format("Chain {}", i + 1) : std::string("The chain");
    const double limit_percent = facts.engine.loops[i].chain.wear_limit_percent;
    if (fitted.elongation_percent >= limit_percent)
      add(standings, SheetTone::bad,
          fmt::format("{} is {} % longer than new, its wear limit is {} %: renew it.", which,
                      figure(fitted.elongation_percent, 2), figure(limit_percent, 2)));
    const Result<WearStudy> study = wear_study(facts.engine, fitted, any_band_deg, i);
    if (!study) continue;
    for (const RideOut& sprocket : study->at_limit)
      if (fitted.elongation_percent >= sprocket.climbs_at_percent)
        add(standings, SheetTone::bad, fmt::format("{} climbs the teeth of \"{}\".", which, sprocket.sprocket));
    if (study->runs_out_percent && fitted.elongation_percent >= *study->runs_out_percent)
      add(standings, SheetTone::bad, fmt::format("{} can be taken up no more.", which));
  }
}

// What was counted on the chain when the readings were taken, against what was fitted then.
void add_pins(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  const Measured& measured = facts.build.measured;
  for (const PinCount& count : measured.pins) {
    const std::string camshaft = count.camshaft.empty() ? facts.engine.camshafts.front().name : count.camshaft;
    const auto lay = lay_from_count(facts.engine, measured.with, camshaft, count.pins);
    if (!lay)
      add(standings, SheetTone::bad, fmt::format("{} pins from mark to mark fit no lay of the chain.", count.pins));
    else if (lay->lay != lay_of(measured.with, camshaft))
      add(standings, SheetTone::bad, fmt::format("The count of pins says the chain lies otherwise: {}.", lay->words));
  }
}

void add_keys(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  for (const KeyReading& reading : facts.build.measured.key) {
    const Result<KeyFit> fit = key_fit(facts.engine, facts.build.measured, reading.shaft, facts.build.instruments);
    if (!fit)
      add(standings, SheetTone::warning, to_text(fit.problems().front()));
    else if (is_out_of_limits(*fit))
      add(standings, SheetTone::bad, fmt::format("Key of \"{}\": {}", reading.shaft, fit->words));
    else
      add(standings, SheetTone::good, fmt::format("Key of \"{}\": {}", reading.shaft, fit->words));
  }
}

void add_alignment(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  if (!facts.build.measured.gap)
    return add(standings, SheetTone::warning, "Alignment: the straight-edge was not read.");
  const Result<Alignment> found = align(facts.engine, facts.build);
  if (!found) return add(standings, SheetTone::bad, to_text(found.problems().front()));
  const SheetTone tone = !found->within ? SheetTone::bad : !found->within_now ? SheetTone::warning : SheetTone::good;
  add(standings, tone, found->words);
}

void add_end_float(const SheetFacts& facts, std::vector<SheetWords>& standings) {
  if (facts.build.measured.float_mm.empty()) return add(standings, SheetTone::warning, "End float was not read.");
  const Result<EndFloat> found = end_float(facts.engine, facts.build);
  if (!found) return add(standings, SheetTone::bad, to_text(found.problems().front()));
  const SheetTone tone = is_outside(found->verdict)               ? SheetTone::bad
                         : found->verdict == FloatVerdict::inside ? SheetTone::good
                                                                  : SheetTone::warning;
  add(standings, tone, found->words);
}

SheetWords clearance_verdict(const SheetFacts& facts) {
  const Stage& after = facts.after;
  const char* what = facts.planned() ? "As planned" : "As fitted";
  if (!after.model)
    return {fmt::format("{}, the clearances could not be worked out: measure them before the engine is turned.", what),
            SheetTone::warning};
  if (!after.judged.safe() || !after.judged_worn.safe())
    return {fmt::format("NOT SAFE. {}, a clearance is under its limit, now or once the chain has worn: do not turn the "
                        "engine so.",
                        what),
            SheetTone::bad};
  if (!after.safe())
    return {fmt::format("NOT SAFE. {}, the drive cannot be put together any more once its chain has worn to the limit.",
                        what),
            SheetTone::bad};
  if (after.doubtful())
    return {fmt::format("{}, the valves are over their limits, now and with the chain worn, but too near to tell: "
                        "measure before trusting it.",
                        what),
            SheetTone::warning};
  return {
      fmt::format("{}, the valves keep clear by the limits, now and with the chain worn. Confirm it physically.", what),
      SheetTone::good};
}

bool any(const std::vector<SheetWords>& standings, SheetTone tone) {
  return std::ranges::any_of(standings, [tone](const SheetWords& one) { return one.tone == tone; });
}

} // namespace

std::vector<SheetWords> standings_of(const SheetFacts& facts) {
  std::vector<SheetWords> standings;
  add_present(facts, standings);
  add_readings(facts, standings);
  add_chains(facts, standings);
  add_pins(facts, standings);
  add_keys(facts, standings);
  add_alignment(facts, standings);
  add_end_float(facts, standings);
  return standings;
}

// No better than the worst of what stands below it.
SheetWords verdict_of(const SheetFacts& facts, const std::vector<SheetWords>& standings) {
  SheetWords verdict = clearance_verdict(facts);
  if (verdict.tone == SheetTone::bad) return verdict;
  if (any(standings, SheetTone::bad)) {
    verdict.tone = SheetTone::bad;
    verdict.words += " But something below is out of its limits.";
  } else if (verdict.tone == SheetTone::good && any(standings, SheetTone::warning)) {
    verdict.tone = SheetTone::warning;
    verdict.words += " Something below is still to be done.";
  }
  return verdict;
}

} // namespace phasewright::paper
