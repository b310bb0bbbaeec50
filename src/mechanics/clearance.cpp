#include "mechanics/clearance.hpp"

#include "geometry/angle.hpp"
#include "mechanics/gap_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr std::array both_kinds{ValveKind::inlet, ValveKind::exhaust};

const std::optional<Valve>& valve_of(const Engine& engine, ValveKind kind) {
  return kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve;
}

// The build on which the readings were taken.
Result<Mechanism> when_measured(const Mechanism& asked, const Measured& measured) {
  const std::shared_ptr<const Engine>& engine = measured.engine ? measured.engine : asked.engine_shared();
  if (engine == asked.engine_shared() && measured.with == asked.fitted()) return asked;
  return Mechanism::assemble(engine, measured.with);
}

// What the readings of one kind say of the gap of the engine they were taken on.
std::vector<SingleGap> gaps_read(const Mechanism& then, const CrownGap& gap, ValveKind kind, const Measured& measured,
                                 const Instruments& instruments) {
  std::vector<SingleGap> found;
  for (const ClearanceReading& reading : measured.clearance) {
    if (reading.valve != kind) continue;
    const auto drawn_mm = [&](double crank_deg) {
      return gap.axial_mm(then.valve_lift_mm(kind, 1, crank_deg), then.piston_drop_mm(1, crank_deg));
    };
    constexpr double aside_deg = 0.05;
    const double per_deg_mm =
        (drawn_mm(reading.crank_deg + aside_deg) - drawn_mm(reading.crank_deg - aside_deg)) / (2.0 * aside_deg);
    found.push_back({reading.clearance_mm - drawn_mm(reading.crank_deg), u_of_limit(instruments.indicator_mm),
                     u_of_limit(instruments.wheel_deg) * per_deg_mm});
  }
  return found;
}

} // namespace

Result<ClearanceModel> ClearanceModel::make(const Mechanism& mechanism, const Measured& measured,
                                            const Instruments& instruments) {
  ClearanceModel model(mechanism);
  model.wheel_u_deg_ = u_of_limit(instruments.wheel_deg);
  Problems problems;
  // Readings belong to what was on the bench when they were taken, which need not be what is asked about.
  Result<Mechanism> then =
      measured.clearance.empty() ? Result<Mechanism>(mechanism) : when_measured(mechanism, measured);
  if (!then) return then.problems();
  for (const ValveKind kind : both_kinds) {
    const ValveMotion* motion = mechanism.motion(kind);
    if (motion == nullptr) continue;
    if (!valve_of(mechanism.engine(), kind)) {
      problems.push_back(
          problem_at(fmt::format("valve.{}", to_word(kind)), "nothing", "the valve that its lobe moves"));
      continue;
    }
    Result<CrownGap> gap = CrownGap::make(mechanism.engine(), kind);
    if (!gap) {
      problems.insert(problems.end(), gap.problems().begin(), gap.problems().end());
      continue;
    }
    std::vector<SingleGap> read;
    // What the drawing says beyond the engine that was measured (a faced block, a deeper pocket) comes on top.
    if (valve_of(then->engine(), kind)) {
      Result<CrownGap> gap_then = CrownGap::make(then->engine(), kind);
      if (!gap_then) {
        problems.insert(problems.end(), gap_then.problems().begin(), gap_then.problems().end());
        continue;
      }
      read = gaps_read(*then, *gap_then, kind, measured, instruments);
    }
    GapFit fit = fit_gap(read, u_of_limit(instruments.dimension_mm));
    fit.wild = !(std::fabs(fit.correction_mm) <= wild_over_mm(instruments.dimension_mm));
    model.kinds_[kind == ValveKind::inlet ? 0 : 1] = Kind{*motion, *std::move(gap), std::move(fit)};
  }
  if (!problems.empty()) return problems;
  if (model.kinds_[0] && model.kinds_[1]) model.pair_ = ValvePair::make(mechanism.engine());
  return model;
}

ClearanceModel ClearanceModel::mounted_on(const Mechanism& other) const {
  ClearanceModel moved(*this);
  moved.mechanism_ = other;
  for (std::optional<Kind>& kind : moved.kinds_) {
    if (!kind) continue;
    const ValveMotion& motion = *other.motion(kind->motion.kind());
    kind->motion = lash_taken_up_ ? motion.with_lash(0.0) : motion;
  }
  return moved;
}

ClearanceModel ClearanceModel::lash_taken_up() const {
  ClearanceModel moved(*this);
  moved.lash_taken_up_ = true;
  for (std::optional<Kind>& kind : moved.kinds_)
    if (kind) kind->motion = kind->motion.with_lash(0.0);
  return moved;
}

bool ClearanceModel::has(ValveKind kind) const {
  return kinds_[kind == ValveKind::inlet ? 0 : 1].has_value();
}

const GapFit& ClearanceModel::fit(ValveKind kind) const {
  return of(kind).fit;
}

double ClearanceModel::seat_lift_mm(ValveKind kind, double crank_deg, double extra_phase_deg,
                                    double by_crank_deg) const {
  const Kind& one = of(kind);
  const double camshaft_rad =
      mechanism_.drive().camshaft_rad(radians(crank_deg + by_crank_deg), one.motion.camshaft_index()) +
      radians(extra_phase_deg - by_crank_deg) / 2.0;
  return one.motion.valve_lift_mm(one.motion.from_nose_rad(camshaft_rad, 0.0)) - one.fit.correction_mm;
}

double ClearanceModel::at(ValveKind kind, double crank_deg) const {
  return of(kind).gap.axial_mm(seat_lift_mm(kind, crank_deg), mechanism_.slider_crank().drop_mm(crank_deg));
}

double ClearanceModel::distance_at(ValveKind kind, double crank_deg) const {
  return of(kind).gap.distance_mm(seat_lift_mm(kind, crank_deg), mechanism_.slider_crank().drop_mm(crank_deg));
}

std::optional<double> ClearanceModel::between_at(double crank_deg) const {
  if (!pair_) return std::nullopt;
  return pair_->distance_mm(seat_lift_mm(ValveKind::inlet, crank_deg), seat_lift_mm(ValveKind::exhaust, crank_deg));
}

Clearances ClearanceModel::least() const {
  Clearances clearances;
  if (has(ValveKind::inlet)) clearances.inlet = least(ValveKind::inlet);
  if (has(ValveKind::exhaust)) clearances.exhaust = least(ValveKind::exhaust);
  clearances.between = least_between();
  return clearances;
}

double wear_limit_percent(const Engine& engine) {
  double limit_percent = 0.0;
  for (const Loop& loop : engine.loops) limit_percent = std::max(limit_percent, loop.chain.wear_limit_percent);
  return limit_percent;
}

Fitted worn(const Engine& engine, const Fitted& fitted) {
  const auto can_be = [&engine](const Fitted& some) { return Drive::assemble(engine, some).ok(); };
  Fitted at_limit = fitted;
  at_limit.elongation_percent = std::max(fitted.elongation_percent, wear_limit_percent(engine));
  if (at_limit.elongation_percent == fitted.elongation_percent || can_be(at_limit) || !can_be(fitted)) return at_limit;
  Fitted last = fitted;
  constexpr double near_enough_percent = 1e-4;
  while (at_limit.elongation_percent - last.elongation_percent > near_enough_percent) {
    Fitted middle = fitted;
    middle.elongation_percent = (last.elongation_percent + at_limit.elongation_percent) / 2.0;
    (can_be(middle) ? last : at_limit) = middle;
  }
  return last;
}

} // namespace phasewright
