#include "bench/plan_verdicts.hpp"

#include "geometry/angle.hpp"

#include <algorithm>

namespace phasewright {

namespace {

// Most phases are clear of everything within half so much either way, and quickly known to be.
constexpr double around_deg = 0.5;
constexpr std::array<double, 2> fineness_deg{1.0, 0.1};
// What keys and wear shift of the chain's ripple may make.
constexpr double ripple_mm = 0.03;

double steepest_mm_per_deg(const ValveMotion& motion) {
  constexpr int looks = 720;
  double steepest_mm_per_rad = 0.0;
  for (int i = 0; i < looks; ++i)
    steepest_mm_per_rad =
        std::max(steepest_mm_per_rad, std::fabs(motion.valve_state(turn_rad * i / looks - pi).per_rad_mm));
  constexpr double between_looks = 1.02;
  return between_looks * steepest_mm_per_rad * radians(0.5);
}

AsideVerdict::Kind told(double figure_mm, double may_differ_mm, double limit_mm) {
  if (figure_mm - may_differ_mm - ripple_mm >= limit_mm) return AsideVerdict::Kind::clear;
  if (figure_mm + may_differ_mm + ripple_mm < limit_mm) return AsideVerdict::Kind::close;
  return AsideVerdict::Kind::doubtful;
}

} // namespace

AsideVerdicts::AsideVerdicts(const Mechanism& mechanism, const ClearanceModel& model, const Target& target)
    : model_(model), looks_(model.looks()), target_(target) {
  for (std::size_t i = 0; i < valve_kinds.size(); ++i) {
    if (!model.has(valve_kinds[i])) continue;
    steepest_mm_per_deg_[i] = steepest_mm_per_deg(*mechanism.motion(valve_kinds[i]));
    // Where that is the axial clearance again, its limit is no higher.
    ask_any_way_[i] = !model.axial_is_all(valve_kinds[i]);
  }
  const std::optional<double> between_mm = model.between_at_least_mm();
  ask_between_ = between_mm && *between_mm < target.min_valve_to_valve_mm;
}

AsideVerdict AsideVerdicts::verdict(double inlet_extra_deg, double exhaust_extra_deg) const {
  AsideVerdict worst;
  const auto take = [&worst](AsideVerdict::Kind kind, ClearanceCriterion criterion) {
    AsideVerdict one;
    one.kind = kind;
    if (kind == AsideVerdict::Kind::close) one.too_close = criterion;
    if (worst < one) worst = one;
  };
  if (ask_any_way_[0]) take(any_way(0, inlet_extra_deg), ClearanceCriterion::any_way);
  if (ask_any_way_[1]) take(any_way(1, exhaust_extra_deg), ClearanceCriterion::any_way);
  if (ask_between_) take(between(inlet_extra_deg, exhaust_extra_deg), ClearanceCriterion::between);
  return worst;
}

AsideVerdict::Kind AsideVerdicts::any_way(std::size_t kind, double extra_deg) const {
  const double limit_mm = any_way_limit_mm(target_, valve_kinds[kind]);
  const int around = static_cast<int>(std::lround(extra_deg / around_deg));
  const bool clear = any_way_clear_[kind].value(around, [&] {
    return looks_.piston_farther_than(limit_mm + ripple_mm + steepest_mm_per_deg_[kind] * around_deg / 2.0,
                                      valve_kinds[kind], around * around_deg);
  });
  if (clear) return AsideVerdict::Kind::clear;

  AsideVerdict::Kind found = AsideVerdict::Kind::doubtful;
  for (int fine = 0; fine < 2 && found == AsideVerdict::Kind::doubtful; ++fine) {
    const double step_deg = fineness_deg[static_cast<std::size_t>(fine)];
    const int place = static_cast<int>(std::lround(extra_deg / step_deg));
    const double node_mm = any_way_mm_[kind].value(
        {fine, {place, 0}}, [&] { return model_.least_any_way(valve_kinds[kind], place * step_deg).distance_mm; });
    found = told(node_mm, steepest_mm_per_deg_[kind] * std::fabs(extra_deg - place * step_deg), limit_mm);
  }
  return found;
}

AsideVerdict::Kind AsideVerdicts::between(double inlet_extra_deg, double exhaust_extra_deg) const {
  const std::pair around{static_cast<int>(std::lround(inlet_extra_deg / around_deg)),
                         static_cast<int>(std::lround(exhaust_extra_deg / around_deg))};
  const bool clear = between_clear_.value(around, [&] {
    return looks_.between_farther_than(target_.min_valve_to_valve_mm + ripple_mm +
                                           (steepest_mm_per_deg_[0] + steepest_mm_per_deg_[1]) * around_deg / 2.0,
                                       around.first * around_deg, around.second * around_deg);
  });
  if (clear) return AsideVerdict::Kind::clear;

  AsideVerdict::Kind found = AsideVerdict::Kind::doubtful;
  for (int fine = 0; fine < 2 && found == AsideVerdict::Kind::doubtful; ++fine) {
    const double step_deg = fineness_deg[static_cast<std::size_t>(fine)];
    const int inlet = static_cast<int>(std::lround(inlet_extra_deg / step_deg));
    const int exhaust = static_cast<int>(std::lround(exhaust_extra_deg / step_deg));
    const double node_mm = between_mm_.value(
        {fine, {inlet, exhaust}}, [&] { return model_.least_between(inlet * step_deg, exhaust * step_deg)->least_mm; });
    found = told(node_mm,
                 steepest_mm_per_deg_[0] * std::fabs(inlet_extra_deg - inlet * step_deg) +
                     steepest_mm_per_deg_[1] * std::fabs(exhaust_extra_deg - exhaust * step_deg),
                 target_.min_valve_to_valve_mm);
  }
  return found;
}

} // namespace phasewright
