#include "viewer/state.hpp"

#include "bench/plan.hpp"
#include "viewer/findings.hpp"

#include <algorithm>
#include <cassert>

namespace phasewright::viewer {

namespace {

constexpr int cycle_deg = 720;

constexpr double near_times = 3.0; // valves that stay further apart than so many limits need no curve

double greatest_of(const std::vector<float>& lift_mm) {
  return lift_mm.empty() ? 0.0 : static_cast<double>(std::ranges::max(lift_mm));
}

// Figured every `step` degrees where `wanted` says so, straight lines between; far_mm elsewhere.
template <class Wanted, class Figure>
std::vector<float> sparse(int step, Wanted wanted, Figure figure) {
  std::vector<float> found(cycle_deg + 1, static_cast<float>(far_mm));
  for (int from = 0; from < cycle_deg; from += step) {
    if (!wanted(from) && !wanted(from + step)) continue;
    const auto known = [&](int deg) {
      float& mm = found[static_cast<std::size_t>(deg)];
      if (mm == static_cast<float>(far_mm)) mm = static_cast<float>(figure(deg));
      return mm;
    };
    const float first = known(from);
    const float last = known(from + step);
    for (int i = 1; i < step; ++i)
      found[static_cast<std::size_t>(from + i)] =
          first + (last - first) * static_cast<float>(i) / static_cast<float>(step);
  }
  return found;
}

// Clearances cost a hundred times what lifts do, and are only looked at where the piston is near.
Curves sample(const Mechanism& mechanism, const ClearanceModel* model, bool between_matters) {
  constexpr int clearance_step_deg = 2; // within 0.01 mm, as the piston goes
  constexpr double seen_mm = 8.0;       // of clearance, on any plot
  constexpr double leaning = 1.3;       // a leaning valve's gap opens slower than the piston drops
  Curves curves;
  for (const ValveKind kind : valve_kinds) {
    if (mechanism.motion(kind) == nullptr) continue;
    const auto slot = static_cast<std::size_t>(kind);
    for (int deg = 0; deg <= cycle_deg; ++deg)
      curves.lift_mm[slot].push_back(static_cast<float>(mechanism.valve_lift_mm(kind, 1, deg)));
  }
  if (model == nullptr) return curves;
  const double near_mm = leaning * (seen_mm + std::max(greatest_of(curves.lift_mm[0]), greatest_of(curves.lift_mm[1])));
  const auto piston_near = [&](int deg) { return mechanism.piston_drop_mm(1, deg) <= near_mm; };
  for (const ValveKind kind : valve_kinds)
    if (mechanism.motion(kind) != nullptr && model->has(kind)) {
      const auto slot = static_cast<std::size_t>(kind);
      curves.clearance_mm[slot] =
          sparse(clearance_step_deg, piston_near, [&](int deg) { return model->at(kind, deg); });
      curves.piston_reach_mm[slot] = curves.clearance_mm[slot];
      for (std::size_t i = 0; i < curves.piston_reach_mm[slot].size(); ++i)
        curves.piston_reach_mm[slot][i] += curves.lift_mm[slot][i]; // far stays far
    }
  if (between_matters)
    curves.between_mm = sparse(
        clearance_step_deg, [](int deg) { return deg <= between_reach_deg || deg >= cycle_deg - between_reach_deg; },
        [&](int deg) { return model->between_at(deg).value_or(far_mm); });
  return curves;
}

} // namespace

const ClearanceDetail& State::detail() const {
  assert(standing.model);
  if (!detail_) detail_ = clearance_detail(*standing.model, worn_model(), target);
  return *detail_;
}

const std::array<PhaseBand, 2>& State::bands() const {
  const ClearanceDetail& known = detail();
  if (!bands_) bands_ = phase_bands(*standing.model, worn_model(), known);
  return *bands_;
}

const State::CylinderEvents& State::cylinder(int number) const {
  const auto found = events_of_.find(number);
  if (found != events_of_.end()) return found->second;
  CylinderEvents made;
  if (auto computed = valve_events(mechanism, number))
    made.events = *std::move(computed);
  else
    made.fault = first_words(computed.problems());
  return events_of_[number] = std::move(made);
}

const std::optional<Events>& State::events_of(int number) const {
  return number == 1 ? events : cylinder(number).events;
}

const std::string& State::events_fault_of(int number) const {
  return number == 1 ? events_fault : cylinder(number).fault;
}

Result<std::shared_ptr<const State>> compute_state(const std::shared_ptr<const Engine>& engine, const Build& build,
                                                   const Fitted& fitted) {
  auto mechanism = Mechanism::assemble(engine, fitted);
  if (!mechanism) return mechanism.problems();

  auto state = std::make_shared<State>(*std::move(mechanism), build.target);
  for (std::size_t i = 0; i < engine->camshafts.size(); ++i) {
    auto breakdown = phase_breakdown(*engine, fitted, i);
    if (!breakdown) return breakdown.problems();
    state->phases.push_back(*std::move(breakdown));
  }
  Build as_fitted = build;
  as_fitted.fitted = fitted;
  if (const Result<std::vector<double>> targets = target_phases_deg(*engine, as_fitted))
    state->target_phase_deg = targets->front();
  else
    state->target_fault = first_words(targets.problems());
  if (!state->phases.empty()) state->phase = state->phases[planned_camshafts(*engine, build.target).front()];
  if (auto events = valve_events(state->mechanism))
    state->events = *std::move(events);
  else
    state->events_fault = first_words(events.problems());
  state->pins_between_marks = phasewright::pins_between_marks(*engine, state->mechanism.drive());

  state->standing = standing_of(state->mechanism, build);
  const ClearanceModel* model = state->standing.model ? &*state->standing.model : nullptr;
  const std::optional<ValveToValve>& between = state->standing.now.between;
  state->curves =
      sample(state->mechanism, model, between && between->least_mm < near_times * build.target.min_valve_to_valve_mm);
  return std::shared_ptr<const State>(std::move(state));
}

} // namespace phasewright::viewer
