// Which camshafts a target is about, and the phases it asks for.
#include "bench/plan.hpp"
#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "mechanics/volumes.hpp"

#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace phasewright {

namespace {

constexpr double farthest_deg = 60.0;

std::optional<std::size_t> camshaft_of(const Engine& engine, ValveKind kind) {
  const auto found = std::ranges::find_if(engine.camshafts, [kind](const Camshaft& camshaft) {
    return (kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust).has_value();
  });
  if (found == engine.camshafts.end()) return std::nullopt;
  return static_cast<std::size_t>(found - engine.camshafts.begin());
}

bool is_exhaust(EventKind kind) {
  return kind == EventKind::exhaust_opens || kind == EventKind::exhaust_closes;
}

Result<double> event_phase_deg(const Mechanism& reference, const TargetEvent& wanted) {
  const bool opens = wanted.kind == EventKind::inlet_opens || wanted.kind == EventKind::exhaust_opens;
  const ValveKind kind = is_exhaust(wanted.kind) ? ValveKind::exhaust : ValveKind::inlet;
  const auto fault = [](std::string found, std::string allowed) {
    return problem_at("target.event", std::move(found), std::move(allowed));
  };
  const ValveMotion* gear = reference.motion(kind);
  if (gear == nullptr) return fault(fmt::format("an {} event", to_word(kind)), "events of valves the engine has");
  const Camshaft& camshaft = reference.engine().camshafts[gear->camshaft_index()];
  const double lift_mm = wanted.at_lift_mm > 0.0 ? wanted.at_lift_mm : camshaft.check_lift_mm;
  const LiftedAt at = camshaft.check_at == CheckAt::tappet ? LiftedAt::tappet : LiftedAt::valve;
  const std::optional<OpenSpan> span = open_span(reference, kind, 1, lift_mm, at);
  if (!span)
    return fault(fmt::format("at {} mm lift", lift_mm), fmt::format("less than the {} lobe's lift", to_word(kind)));
  const double card_deg = event_figure_deg(wanted.kind, opens ? span->opens_deg : span->closes_deg);
  // Advance makes every event earlier: figures before a dead centre grow, those after it shrink.
  return opens ? wanted.deg - card_deg : card_deg - wanted.deg;
}

Result<double> centre_phase_deg(const Engine& engine, ValveKind kind, double centre_deg) {
  const std::optional<std::size_t> camshaft = camshaft_of(engine, kind);
  if (!camshaft)
    return problem_at(fmt::format("target.{}_centre_deg", to_word(kind)),
                      fmt::format("an engine without {} lobes", to_word(kind)), "phase_deg");
  const Camshaft& card = engine.camshafts[*camshaft];
  // Inlet centres are counted after TDC and exhaust centres before it.
  return kind == ValveKind::inlet ? card.inlet->centre_deg - centre_deg : centre_deg - card.exhaust->centre_deg;
}

// The phase nearest to 0 at which `off` is 0; nothing when it has no change of sign within reach.
std::optional<double> nearest_root_deg(const std::function<double(double)>& off) {
  constexpr double step_deg = 1.0;
  std::optional<double> nearest;
  const auto look = [&](double from_deg, double to_deg) {
    const double low = std::min(from_deg, to_deg);
    const double high = std::max(from_deg, to_deg);
    const double at_low = off(low);
    const double at_high = off(high);
    if (!std::isfinite(at_low) || !std::isfinite(at_high) || (at_low < 0.0) == (at_high < 0.0)) return;
    boost::uintmax_t looks = 100;
    const auto [a, b] = boost::math::tools::toms748_solve(off, low, high, at_low, at_high,
                                                          boost::math::tools::eps_tolerance<double>(45), looks);
    const double root = (a + b) / 2.0;
    if (!nearest || std::fabs(root) < std::fabs(*nearest)) nearest = root;
  };
  for (double deg = 0.0; deg < farthest_deg && !nearest; deg += step_deg) {
    look(deg, deg + step_deg);
    look(-deg, -deg - step_deg);
  }
  return nearest;
}

// A lift of No. 1 at overlap TDC with its camshaft so much further advanced.
double lift_at_tdc_mm(const ValveMotion& motion, const Drive& drive, double extra_deg) {
  const double camshaft_rad = drive.camshaft_rad(0.0, motion.camshaft_index()) + radians(extra_deg) / 2.0;
  return motion.valve_lift_mm(motion.from_nose_rad(camshaft_rad, 0.0));
}

// Inlet and exhaust valve open alike at overlap TDC. `moved`: the camshaft that is planned; another stays as it is
// fitted.
Result<double> equal_lift_phase_deg(const Mechanism& reference, const Build& build, std::size_t moved) {
  const ValveMotion* inlet = reference.motion(ValveKind::inlet);
  const ValveMotion* exhaust = reference.motion(ValveKind::exhaust);
  if (inlet == nullptr || exhaust == nullptr)
    return problem_at("target.equal_lift_at_tdc", "an engine without both valves", "another aim");
  const Engine& engine = reference.engine();
  const auto extra_deg = [&](const ValveMotion& motion, double phase_deg) {
    return motion.camshaft_index() == moved ? phase_deg
                                            : Drive::phase_deg(engine, build.fitted, motion.camshaft_index());
  };
  const std::optional<double> phase_deg = nearest_root_deg([&](double phase) {
    return lift_at_tdc_mm(*inlet, reference.drive(), extra_deg(*inlet, phase)) -
           lift_at_tdc_mm(*exhaust, reference.drive(), extra_deg(*exhaust, phase));
  });
  if (!phase_deg)
    return problem_at("target.equal_lift_at_tdc", "lifts that are equal at no phase within 60 degrees", "another aim");
  return *phase_deg;
}

// From the volume at inlet closing, lash taken up.
Result<double> ratio_phase_deg(const Mechanism& reference, double wanted) {
  const auto fault = [](std::string found, std::string allowed) {
    return problem_at("target.effective_ratio", std::move(found), std::move(allowed));
  };
  if (reference.motion(ValveKind::inlet) == nullptr) return fault("an engine without inlet lobes", "another aim");
  const std::optional<OpenSpan> span = open_span(reference, ValveKind::inlet, 1, 0.0, LiftedAt::valve);
  if (!span) return fault("an inlet valve that never opens", "another aim");
  const auto ratio_at = [&](double phase_deg) {
    return compression(reference.engine().block, wrap_720(span->closes_deg - phase_deg)).effective_ratio;
  };
  const std::optional<double> phase_deg = nearest_root_deg([&](double phase) { return ratio_at(phase) - wanted; });
  if (phase_deg) return *phase_deg;
  double low = ratio_at(0.0);
  double high = low;
  for (double deg = -farthest_deg; deg <= farthest_deg; deg += 1.0) {
    low = std::min(low, ratio_at(deg));
    high = std::max(high, ratio_at(deg));
  }
  return fault(fmt::format("{}", wanted), fmt::format("{:.2f} to {:.2f}, within 60 degrees of the card", low, high));
}

} // namespace

std::vector<std::size_t> planned_camshafts(const Engine& engine, const Target& target) {
  const std::size_t inlet = camshaft_of(engine, ValveKind::inlet).value_or(0);
  const std::size_t exhaust = camshaft_of(engine, ValveKind::exhaust).value_or(0);
  if (target.inlet_centre_deg && target.exhaust_centre_deg && inlet != exhaust) return {inlet, exhaust};
  if (target.exhaust_centre_deg && !target.inlet_centre_deg) return {exhaust};
  if (target.event) return {is_exhaust(target.event->kind) ? exhaust : inlet};
  if (target.inlet_centre_deg || target.effective_ratio) return {inlet};
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i)
    if (engine.camshafts[i].name == target.camshaft) return {i};
  return {inlet};
}

bool meets_another_camshaft(const Engine& engine, const Target& target) {
  const bool other_aim = target.inlet_centre_deg || target.exhaust_centre_deg || target.phase_deg || target.event ||
                         target.effective_ratio;
  return target.equal_lift_at_tdc && !other_aim &&
         camshaft_of(engine, ValveKind::inlet) != camshaft_of(engine, ValveKind::exhaust);
}

Result<std::vector<double>> target_phases_deg(const Engine& engine, const Build& build) {
  const Target& target = build.target;
  const auto one = [](const Result<double>& phase) -> Result<std::vector<double>> {
    if (!phase) return phase.problems();
    return std::vector<double>{*phase};
  };
  if (target.inlet_centre_deg || target.exhaust_centre_deg) {
    std::vector<double> phases;
    for (const ValveKind kind : valve_kinds) {
      const std::optional<double>& centre_deg =
          kind == ValveKind::inlet ? target.inlet_centre_deg : target.exhaust_centre_deg;
      if (!centre_deg) continue;
      const Result<double> phase = centre_phase_deg(engine, kind, *centre_deg);
      if (!phase) return phase.problems();
      phases.push_back(*phase);
    }
    if (phases.size() > planned_camshafts(engine, target).size())
      return problem_at("target", "inlet and exhaust centre of one camshaft", "one of them: they move together");
    return phases;
  }
  if (target.phase_deg) return std::vector<double>{*target.phase_deg};
  if (!target.event && !target.equal_lift_at_tdc && !target.effective_ratio) return std::vector<double>{0.0};
  const Result<Mechanism> reference = Mechanism::assemble(engine, Fitted{});
  if (!reference) return reference.problems();
  if (target.event) return one(event_phase_deg(*reference, *target.event));
  if (target.effective_ratio) return one(ratio_phase_deg(*reference, *target.effective_ratio));
  return one(equal_lift_phase_deg(*reference, build, planned_camshafts(engine, target)[0]));
}

} // namespace phasewright
