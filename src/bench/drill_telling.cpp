#include "bench/drill_bench.hpp"
#include "bench/drill_card.hpp"
#include "bench/drill_judge.hpp"
#include "mechanics/judgement.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace phasewright {

namespace {

constexpr double beyond_doubt = 1e3; // where readings plainly say otherwise, whatever their figures are out by

bool names(const NamedFaults& named, const std::string& key) {
  return std::ranges::find(named, key) != named.end();
}

// How far a figure lies outside of a range.
double outside(double figure, double least, double most) {
  return std::max({0.0, least - figure, figure - most});
}

bool same_set(const NamedFaults& a, const NamedFaults& b) {
  return a.size() == b.size() && std::ranges::all_of(a, [&](const std::string& key) { return names(b, key); });
}

} // namespace

DrillTelling::DrillTelling(const Drill& drill, std::optional<Explainer> explainer, const Measured& measured,
                           const std::vector<LashReading>& lash)
    : card_(drill.card), truth_(drill.truth), explainer_(std::move(explainer)), gap_(measured.gap.has_value()) {
  if (!measured.float_mm.empty())
    float_of_ = measured.float_of.empty() ? drill.engine().camshafts.front().name : measured.float_of;
  for (const LashReading& reading : lash) lash_.push_back(reading.valve);
}

Result<DrillTelling> DrillTelling::make(const Drill& drill, const TakenReadings& taken) {
  const Measured& measured = taken.measured;
  // A stop alone says nothing of the engine.
  if (measured.lobe.empty() && measured.clearance.empty() && measured.pins.empty())
    return DrillTelling(drill, std::nullopt, measured, taken.lash);
  Result<Explainer> explainer =
      Explainer::make(drill.engine(), drill.given.fitted, measured, drill.given.instruments, drill.given.tolerances);
  if (!explainer) return explainer.problems();
  return DrillTelling(drill, *std::move(explainer), measured, taken.lash);
}

DrillTelling DrillTelling::careful(const Drill& drill) {
  Measured measured;
  measured.gap.emplace();
  measured.float_of = drill.float_of;
  if (!drill.float_of.empty()) measured.float_mm = {0.0};
  std::vector<LashReading> lash;
  for (const ValveKind kind : valve_kinds)
    if (drill.truth->mechanism.motion(kind) != nullptr) lash.push_back({kind, 0.0});
  return DrillTelling(drill, drill.card->explainer, measured, lash);
}

double DrillTelling::apart_by_gap(const NamedFaults& named) const {
  if (!gap_) return 0.0;
  const Engine& engine = card_->drawn.engine();
  const double limit_mm = engine.loops[0].chain.alignment_mm;
  const double square_mm = tilt_limit_mm(engine);
  constexpr double any = std::numeric_limits<double>::infinity();
  const double u_mm = u_feeler_mm(*card_);
  const double tilt_mm = std::fabs(truth_->tilt_mm);
  const double u_tilt_mm = std::sqrt(2.0) * u_mm;
  if (names(named, key_tilted)) return outside(tilt_mm, square_mm + told_apart_from * u_tilt_mm, any) / u_tilt_mm;
  double least_mm = -limit_mm;
  double most_mm = limit_mm;
  const double surely_mm = told_apart_from * u_mm;
  if (names(named, key_behind)) {
    least_mm = limit_mm + surely_mm;
    most_mm = any;
  }
  if (names(named, key_proud)) {
    most_mm = -limit_mm - surely_mm;
    least_mm = -any;
  }
  return std::hypot(outside(truth_->behind_mm, least_mm, most_mm) / u_mm, outside(tilt_mm, 0.0, square_mm) / u_tilt_mm);
}

double DrillTelling::apart_by_float(const NamedFaults& named) const {
  const Engine& engine = card_->drawn.engine();
  const auto seat = engine.cam_seats.find(float_of_);
  if (seat == engine.cam_seats.end() || !seat->second.end_float_mm) return 0.0;
  const auto [least_mm, most_mm] = *seat->second.end_float_mm;
  const double float_mm = truth_->float_mm.at(float_of_);
  const double u_mm = u_indicator_mm(*card_);
  const double surely_mm = told_apart_from * u_mm;
  if (names(named, key_of_float(engine, float_of_, true))) return std::max(0.0, most_mm + surely_mm - float_mm) / u_mm;
  if (names(named, key_of_float(engine, float_of_, false)))
    return std::max(0.0, float_mm - least_mm + surely_mm) / u_mm;
  return outside(float_mm, least_mm, most_mm) / u_mm;
}

double DrillTelling::apart_by_lash(const NamedFaults& named) const {
  double squares = 0.0;
  for (const ValveKind kind : lash_) {
    const double off_mm = truth_->mechanism.motion(kind)->gear().lash_mm - card_->drawn.motion(kind)->gear().lash_mm;
    const bool is_named = std::ranges::any_of(named, [&](const std::string& key) {
      const DrillFault* fault = find_fault(*card_, key);
      return fault != nullptr && fault->kind == DrillKind::lash && fault->of == to_word(kind);
    });
    if (is_named && off_mm == 0.0) return beyond_doubt;
    if (!is_named) squares += std::pow(off_mm / u_feeler_mm(*card_), 2);
  }
  return std::sqrt(squares);
}

double DrillTelling::apart(const NamedFaults& named) const {
  const double beside = std::hypot(apart_by_gap(named), apart_by_float(named), apart_by_lash(named));
  // Dear to work out, and needless then.
  if (!explainer_ || beside >= told_apart_from) return beside;
  std::vector<FaultAmount> present;
  NamedFaults truly;
  for (const HiddenFault& fault : truth_->faults)
    if (find_weighed(*card_, fault.key) != nullptr) {
      present.push_back({fault.key, fault.amount});
      truly.push_back(fault.key);
    }
  std::vector<FaultWithin> within;
  NamedFaults weighed;
  for (const std::string& key : named)
    if (find_weighed(*card_, key) != nullptr) {
      within.push_back(fault_within(*card_, key));
      weighed.push_back(key);
    }
  return same_set(weighed, truly) ? beside : std::hypot(explainer_->apart(present, within), beside);
}

bool DrillTelling::tells_apart(const NamedFaults& named) const {
  return apart(named) >= told_apart_from;
}

std::vector<NamedFaults> DrillTelling::left() const {
  NamedFaults truly;
  for (const HiddenFault& fault : truth_->faults) truly.push_back(fault.key);
  std::vector<NamedFaults> left{truly};
  const auto add = [&](const NamedFaults& named) {
    if (!same_set(named, truly) && !tells_apart(named)) left.push_back(named);
  };
  add({});
  const std::vector<DrillFault>& faults = card_->faults;
  for (const DrillFault& fault : faults) add({fault.key});
  if (truly.size() < 2) return left;
  for (std::size_t i = 0; i < faults.size(); ++i)
    for (std::size_t k = i + 1; k < faults.size(); ++k)
      if (go_together(*card_, faults[i], faults[k])) add({faults[i].key, faults[k].key});
  return left;
}

} // namespace phasewright
