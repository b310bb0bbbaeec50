#include "viewer/drill_run.hpp"

#include "mechanics/judgement.hpp"

#include <algorithm>

namespace phasewright::viewer {

DrillRun::DrillRun(Drill drill) : drill_(std::move(drill)), bench_(drill_) {
  for (const Camshaft& camshaft : drill_.engine().camshafts)
    if (bench_.count_at(camshaft.name)) counted_.push_back(camshaft.name);
}

void DrillRun::look(double crank_deg, Turning turning) {
  const LookedAt now{crank_deg, turning, number_, where};
  if (looked_at_ == now) return;
  looked_at_ = now;
  const Engine& engine = drill_.engine();
  const ReadingAt at{.crank_deg = crank_deg, .turning = turning, .number = number_};
  shown_ = {};
  shown_.wheel_deg = bench_.wheel_deg(at);
  for (const ValveKind kind : valve_kinds) {
    const auto slot = static_cast<std::size_t>(kind);
    const bool there = std::ranges::any_of(engine.camshafts, [kind](const Camshaft& camshaft) {
      return (kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust).has_value();
    });
    if (!there) continue;
    shown_.indicator_mm[slot] = bench_.indicator_mm(kind, 1, where, at);
    shown_.lash_mm[slot] = bench_.lash_mm(kind, 1, at);
    shown_.to_piston_mm[slot] = bench_.clearance_mm(kind, at);
  }
  for (const Sprocket& sprocket : engine.loops.front().sprockets)
    if (sprocket.wrap == Wrap::inside)
      shown_.gaps.push_back({sprocket.name, bench_.gap_mm(sprocket.name, Edge::near_edge, number_),
                             bench_.gap_mm(sprocket.name, Edge::far_edge, number_)});
  for (const Camshaft& camshaft : engine.camshafts)
    shown_.float_mm.emplace_back(camshaft.name, bench_.float_mm(camshaft.name, number_));
  for (const std::string& camshaft : counted_) shown_.pins.emplace_back(camshaft, bench_.pins(camshaft, crank_deg));
}

std::optional<PistonStop> DrillRun::stop() const {
  return rod_ ? std::optional(bench_.piston_stop(*rod_)) : std::nullopt;
}

void DrillRun::write_lash(ValveKind valve, double lash_mm) {
  std::erase_if(lash_, [valve](const LashReading& reading) { return reading.valve == valve; });
  lash_.push_back({valve, lash_mm});
  read_anew();
}

void DrillRun::name(const std::string& key) {
  if (std::erase(named_, key) > 0) return;
  named_.push_back(key);
  if (static_cast<int>(named_.size()) > faults_of_level(drill_.ask.level)) named_.erase(named_.begin());
}

void DrillRun::plan_work(DrillWork work) {
  if (std::erase(works_, work) == 0) works_.push_back(work);
}

Cure DrillRun::cure(const Fitted& planned) const {
  Cure cure{.fitted = planned, .works = works_, .float_change_mm = {}};
  if (float_change_mm && !drill_.float_of.empty()) cure.float_change_mm[drill_.float_of] = *float_change_mm;
  return cure;
}

Result<DrillHanded> hand_in(const Drill& drill, const NamedFaults& named, const Cure& cure,
                            const TakenReadings& taken) {
  Result<FaultsJudged> faults = judge_faults(drill, named, taken);
  if (!faults) return faults.problems();
  Result<CureJudged> cured = judge_cure(drill, named, cure);
  if (!cured) return cured.problems();
  Result<Debrief> told = debrief(drill, taken);
  if (!told) return told.problems();
  return DrillHanded{*std::move(faults), *std::move(cured), right_cure(drill), *std::move(told)};
}

} // namespace phasewright::viewer
