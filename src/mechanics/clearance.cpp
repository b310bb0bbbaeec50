#include "mechanics/clearance.hpp"

#include "geometry/angle.hpp"

#include <boost/math/tools/minima.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

std::size_t index_of(ValveKind kind) {
  return kind == ValveKind::inlet ? 0 : 1;
}

const std::optional<Valve>& valve_of(const Engine& engine, ValveKind kind) {
  return kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve;
}

// Head face to crown with the valve shut at TDC, as drawn.
double drawn_gap_mm(const Engine& engine, ValveKind kind) {
  const Valve& valve = *valve_of(engine, kind);
  return valve.closed_height_mm + engine.block.deck_mm + valve.pocket.depth_mm;
}

// The build on which the readings were taken.
Result<Mechanism> when_measured(const Mechanism& asked, const Measured& measured) {
  const std::shared_ptr<const Engine>& engine = measured.engine ? measured.engine : asked.engine_shared();
  if (engine == asked.engine_shared() && measured.with == asked.fitted()) return asked;
  return Mechanism::assemble(engine, measured.with);
}

std::optional<Problem> valve_fault(const Valve& valve, ValveKind kind) {
  if (valve.inclination_deg != 0.0)
    return problem_at(fmt::format("valve.{}.inclination_deg", to_word(kind)), fmt::format("{}", valve.inclination_deg),
                      "0", "clearance of inclined valves is not covered yet");
  if (valve.pocket.depth_mm > 0.0 && !(valve.pocket.radius_mm > valve.head_mm / 2.0))
    return problem_at(fmt::format("valve.{}.pocket.radius_mm", to_word(kind)),
                      fmt::format("{} mm", valve.pocket.radius_mm), fmt::format("more than {} mm", valve.head_mm / 2.0),
                      "the head would not enter its pocket");
  return std::nullopt;
}

} // namespace

Result<ClearanceModel> ClearanceModel::make(const Mechanism& mechanism, const Measured& measured) {
  ClearanceModel model(mechanism);
  Problems problems;
  // Readings belong to what was on the bench when they were taken, which need not be what is asked about.
  Result<Mechanism> then =
      measured.clearance.empty() ? Result<Mechanism>(mechanism) : when_measured(mechanism, measured);
  if (!then) return then.problems();
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const std::optional<Valve>& valve = valve_of(mechanism.engine(), kind);
    if (mechanism.motion(kind) == nullptr) continue;
    if (!valve) {
      problems.push_back(
          problem_at(fmt::format("valve.{}", to_word(kind)), "nothing", "the valve that its lobe moves"));
      continue;
    }
    if (std::optional<Problem> wrong = valve_fault(*valve, kind)) {
      problems.push_back(*std::move(wrong));
      continue;
    }
    double gap_mm = drawn_gap_mm(mechanism.engine(), kind);
    double sum_mm = 0.0;
    int count = 0;
    for (const ClearanceReading& reading : measured.clearance) {
      if (reading.valve != kind) continue;
      sum_mm += reading.clearance_mm + then->valve_lift_mm(kind, 1, reading.crank_deg) -
                then->piston_drop_mm(1, reading.crank_deg);
      ++count;
    }
    // What the drawing says beyond the engine that was measured (a faced block, a deeper pocket) comes on top.
    if (count > 0 && valve_of(then->engine(), kind)) gap_mm += sum_mm / count - drawn_gap_mm(then->engine(), kind);
    model.closed_gap_mm_[index_of(kind)] = gap_mm;
  }
  if (!problems.empty()) return problems;
  return model;
}

ClearanceModel ClearanceModel::mounted_on(const Mechanism& other) const {
  ClearanceModel moved(other);
  moved.closed_gap_mm_ = closed_gap_mm_;
  return moved;
}

bool ClearanceModel::has(ValveKind kind) const {
  return closed_gap_mm_[index_of(kind)].has_value();
}

double ClearanceModel::gap_mm(ValveKind kind, double crank_deg, double extra_phase_deg, double by_crank_deg) const {
  const ValveMotion& gear = *mechanism_.motion(kind);
  const double camshaft_rad =
      mechanism_.drive().camshaft_rad(radians(crank_deg + by_crank_deg), gear.camshaft_index()) +
      radians(extra_phase_deg - by_crank_deg) / 2.0;
  return *closed_gap_mm_[index_of(kind)] - gear.valve_lift_mm(gear.from_nose_rad(camshaft_rad, 0.0)) +
         mechanism_.slider_crank().drop_mm(crank_deg);
}

double ClearanceModel::at(ValveKind kind, double crank_deg) const {
  return gap_mm(kind, crank_deg, 0.0, 0.0);
}

LeastClearance ClearanceModel::least(ValveKind kind, double extra_phase_deg, double by_crank_deg) const {
  // A valve nears the piston only while it is open; shut, the gap is least at TDC. The open span is looked over in
  // steps and the nearest step refined.
  const ValveMotion& gear = *mechanism_.motion(kind);
  const auto gap = [&](double crank_deg) { return gap_mm(kind, crank_deg, extra_phase_deg, by_crank_deg); };
  const double shift_deg = mechanism_.drive().phase_deg(gear.camshaft_index()) + extra_phase_deg;
  const double from_deg = degrees(2.0 * (gear.nose_rad() + gear.lobe().opens_rad())) - shift_deg;
  const double to_deg = degrees(2.0 * (gear.nose_rad() + gear.lobe().closes_rad())) - shift_deg;
  LeastClearance least;
  least.at_crank_deg = 0.0;
  least.least_mm = gap(0.0);
  if (const double firing_mm = gap(360.0); firing_mm < least.least_mm) {
    least.at_crank_deg = 360.0;
    least.least_mm = firing_mm;
  }
  constexpr double step_deg = 3.0;
  const int steps = static_cast<int>(std::ceil((to_deg - from_deg) / step_deg));
  double nearest_deg = least.at_crank_deg;
  double nearest_mm = least.least_mm;
  for (int i = 0; i <= steps; ++i) {
    const double crank_deg = from_deg + i * step_deg;
    if (const double mm = gap(crank_deg); mm < nearest_mm) {
      nearest_mm = mm;
      nearest_deg = crank_deg;
    }
  }
  if (nearest_mm < least.least_mm) {
    least.least_mm = nearest_mm;
    least.at_crank_deg = nearest_deg;
  }
  const auto [at_deg, mm] =
      boost::math::tools::brent_find_minima(gap, nearest_deg - step_deg, nearest_deg + step_deg, 30);
  if (mm < least.least_mm) {
    least.least_mm = mm;
    least.at_crank_deg = at_deg;
  }
  least.at_crank_deg = wrap_720(least.at_crank_deg);
  const Valve& valve = *valve_of(mechanism_.engine(), kind);
  if (valve.pocket.depth_mm > 0.0) least.radial_mm = valve.pocket.radius_mm - valve.head_mm / 2.0;
  return least;
}

Clearances ClearanceModel::least() const {
  Clearances clearances;
  if (has(ValveKind::inlet)) clearances.inlet = least(ValveKind::inlet);
  if (has(ValveKind::exhaust)) clearances.exhaust = least(ValveKind::exhaust);
  return clearances;
}

bool clear_enough(std::optional<double> least_mm, double limit_mm) {
  return !least_mm || *least_mm >= limit_mm;
}

bool within_limits(const Clearances& clearances, const Target& target) {
  const auto enough = [](const std::optional<LeastClearance>& clearance, double limit_mm) {
    return clear_enough(clearance ? std::optional(clearance->least_mm) : std::nullopt, limit_mm);
  };
  return enough(clearances.inlet, target.min_clearance_inlet_mm) &&
         enough(clearances.exhaust, target.min_clearance_exhaust_mm);
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
