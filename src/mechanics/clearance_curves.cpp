// Clearance against phase and against crank angle.
#include "geometry/angle.hpp"
#include "mechanics/camshaft_table.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/phase_search.hpp"

#include <boost/math/tools/toms748_solve.hpp>

#include <cmath>
#include <memory>

namespace phasewright {

namespace {

std::size_t curve_points(double from, double to, double step) {
  return static_cast<std::size_t>(std::floor((to - from) / step + 1e-9)) + 1;
}

// How far the phase can go one way before the least clearance comes to the limit; nothing within 60 degrees.
std::optional<double> to_limit_deg(const PhaseSearch& search, double limit_mm, double way) {
  constexpr double farthest_deg = 60.0;
  constexpr double step_deg = 2.0;
  const auto over_mm = [&](double deg) { return search.least(deg).mm - limit_mm; };
  double near_mm = over_mm(0.0);
  if (near_mm == 0.0) return 0.0;
  for (double deg = 0.0; deg < farthest_deg; deg += step_deg) {
    const double near_deg = way * deg;
    const double far_deg = way * (deg + step_deg);
    const double far_mm = over_mm(far_deg);
    if (far_mm == 0.0) return far_deg;
    if ((near_mm < 0.0) != (far_mm < 0.0)) {
      const bool rising = near_deg < far_deg;
      boost::uintmax_t looks = 100;
      const auto [low, high] = boost::math::tools::toms748_solve(
          over_mm, rising ? near_deg : far_deg, rising ? far_deg : near_deg, rising ? near_mm : far_mm,
          rising ? far_mm : near_mm, boost::math::tools::eps_tolerance<double>(40), looks);
      return (low + high) / 2.0;
    }
    near_mm = far_mm;
  }
  return std::nullopt;
}

} // namespace

// Where the least is, the clearance does not change with the crank's angle, so all that a degree of advance does is to
// move the valve by half a cam degree.
double ClearanceModel::slope_mm_per_deg(ValveKind kind, double at_crank_deg) const {
  const ValveMotion& motion = of(kind).motion;
  const double camshaft_rad = mechanism_.drive().camshaft_rad(radians(at_crank_deg), motion.camshaft_index());
  return 0.0 - motion.valve_state(motion.from_nose_rad(camshaft_rad, 0.0)).per_rad_mm * radians(0.5);
}

double ClearanceModel::u_of_least_mm(ValveKind kind, double at_crank_deg) const {
  return std::hypot(of(kind).fit.u_mm, slope_mm_per_deg(kind, at_crank_deg) * wheel_u_deg_);
}

ClearanceQuality ClearanceModel::quality(ValveKind kind, double limit_mm) const {
  const Kind& one = of(kind);
  ClearanceQuality made;
  const double crank_deg = least_axial(kind).at_crank_deg;
  made.slope_mm_per_deg = slope_mm_per_deg(kind, crank_deg);
  made.u_mm = u_of_least_mm(kind, crank_deg);
  const CamshaftTable table(mechanism_.drive(), mechanism_.engine(), one.motion.camshaft_index());
  const PhaseSearch search(one.motion, one.gap, mechanism_.slider_crank(), table, one.fit.correction_mm);
  made.retard_to_limit_deg = to_limit_deg(search, limit_mm, -1.0);
  made.advance_to_limit_deg = to_limit_deg(search, limit_mm, 1.0);
  return made;
}

PhaseCurve ClearanceModel::phase_curve(double from_deg, double to_deg, double step_deg) const {
  PhaseCurve curve;
  for (std::size_t i = 0; i < curve_points(from_deg, to_deg, step_deg); ++i)
    curve.extra_deg.push_back(from_deg + static_cast<double>(i) * step_deg);
  for (const ValveKind kind : valve_kinds)
    if (has(kind)) curve.least_mm[kind == ValveKind::inlet ? 0 : 1] = phase_curve(kind, from_deg, to_deg, step_deg);
  return curve;
}

std::vector<double> ClearanceModel::phase_curve(ValveKind kind, double from_deg, double to_deg, double step_deg) const {
  const Kind& one = of(kind);
  const CamshaftTable table(mechanism_.drive(), mechanism_.engine(), one.motion.camshaft_index());
  const PhaseSearch search(one.motion, one.gap, mechanism_.slider_crank(), table, one.fit.correction_mm);
  std::vector<double> least_mm(curve_points(from_deg, to_deg, step_deg));
  for (std::size_t i = 0; i < least_mm.size(); ++i)
    least_mm[i] = search.least(from_deg + static_cast<double>(i) * step_deg).mm;
  return least_mm;
}

ClearanceModel::LeastAt ClearanceModel::least_at(ValveKind kind) const {
  const Kind& one = of(kind);
  const auto table =
      std::make_shared<const CamshaftTable>(mechanism_.drive(), mechanism_.engine(), one.motion.camshaft_index());
  const PhaseSearch search(one.motion, one.gap, mechanism_.slider_crank(), *table, one.fit.correction_mm);
  return [table, search](double extra_phase_deg, double by_crank_deg) {
    return search.least(extra_phase_deg, by_crank_deg).mm;
  };
}

CycleSweep ClearanceModel::sweep(double step_deg) const {
  CycleSweep made;
  made.step_deg = step_deg;
  const std::size_t steps = curve_points(0.0, 720.0, step_deg);
  const auto at_deg = [step_deg](std::size_t i) { return static_cast<double>(i) * step_deg; };
  std::vector<double> drop_mm(steps);
  for (std::size_t i = 0; i < steps; ++i) drop_mm[i] = mechanism_.slider_crank().drop_mm(at_deg(i));
  std::vector<double> camshaft_rad(steps);
  std::optional<std::size_t> filled_for;
  for (const ValveKind kind : valve_kinds) {
    if (!has(kind)) continue;
    const Kind& one = of(kind);
    if (filled_for != one.motion.camshaft_index()) {
      const CamshaftTable table(mechanism_.drive(), mechanism_.engine(), one.motion.camshaft_index());
      for (std::size_t i = 0; i < steps; ++i) camshaft_rad[i] = table.camshaft_rad(radians(at_deg(i)));
      filled_for = one.motion.camshaft_index();
    }
    std::vector<double>& axial_mm = made.axial_mm[kind == ValveKind::inlet ? 0 : 1];
    axial_mm.resize(steps);
    for (std::size_t i = 0; i < steps; ++i)
      axial_mm[i] = one.gap.closed_mm(drop_mm[i]) + one.fit.correction_mm -
                    one.motion.valve_lift_mm(one.motion.from_nose_rad(camshaft_rad[i], 0.0));
  }
  return made;
}

CycleLooks ClearanceModel::looks() const {
  std::array<std::optional<CycleLooks::Valve>, 2> valves;
  for (std::size_t i = 0; i < valves.size(); ++i)
    if (kinds_[i]) valves[i] = CycleLooks::Valve{kinds_[i]->motion, kinds_[i]->gap, kinds_[i]->fit.correction_mm};
  return {mechanism_, valves, pair_};
}

} // namespace phasewright
