#include "viewer/workbench.hpp"

#include <algorithm>
#include <cassert>

namespace phasewright::viewer {

namespace {

constexpr int cycle_deg = 720;
constexpr std::size_t undo_depth = 500; // a snapshot is a few hundred bytes

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

std::string first_words(const Problems& problems) {
  const Problem& problem = problems.front();
  std::string words = problem.key.empty() ? problem.found : problem.key + ": " + problem.found;
  const auto add = [&words](const std::string& more) {
    if (!more.empty()) words += (words.empty() ? "" : "; ") + more;
  };
  if (!problem.allowed.empty()) add("allowed: " + problem.allowed);
  add(problem.advice);
  return words;
}

bool has_valve_in_head(const Engine& engine) {
  return engine.inlet_valve || engine.exhaust_valve;
}

// Clearances now and with the chain at its wear limit, and whether they are within the limits.
void judge_clearance(State& state, const ClearanceModel& model) {
  state.clearances = model.least();
  if (!state.clearances.inlet && !state.clearances.exhaust) return;
  state.judged = judge(model, state.clearances, state.target);
  bool safe = state.judged.safe();
  const auto worn_mechanism =
      Mechanism::assemble(state.mechanism.engine(), worn(state.mechanism.engine(), state.mechanism.fitted()));
  if (worn_mechanism) {
    state.model_worn = model.mounted_on(*worn_mechanism);
    state.worn = state.model_worn->least();
    state.judged_worn = judge(*state.model_worn, state.worn, state.target);
    safe = safe && state.judged_worn.safe();
  } else {
    state.clearance_fault = "with the chain at its wear limit: " + first_words(worn_mechanism.problems());
    safe = false;
  }
  state.safe = safe;
}

} // namespace

bool same_readings(const std::vector<ClearanceReading>& a, const std::vector<ClearanceReading>& b) {
  return std::ranges::equal(a, b, [](const ClearanceReading& one, const ClearanceReading& other) {
    return one.valve == other.valve && one.crank_deg == other.crank_deg && one.clearance_mm == other.clearance_mm;
  });
}

bool operator==(const Document& a, const Document& b) {
  return a.fitted == b.fitted && a.planned == b.planned && same_readings(a.readings, b.readings);
}

bool State::doubtful() const {
  if (safe != true) return false;
  const auto wild = [this](ValveKind kind) { return model && model->has(kind) && model->fit(kind).wild; };
  return !judged.too_near_to_tell().empty() || !judged_worn.too_near_to_tell().empty() ||
         std::ranges::any_of(valve_kinds, wild);
}

const ClearanceDetail& State::detail() const {
  assert(model);
  if (!detail_) detail_ = clearance_detail(*model, model_worn ? &*model_worn : nullptr, target);
  return *detail_;
}

const std::array<PhaseBand, 2>& State::bands() const {
  const ClearanceDetail& known = detail();
  if (!bands_) bands_ = phase_bands(*model, model_worn ? &*model_worn : nullptr, known);
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

bool same_fit(const Fitted& a, const Fitted& b, const Engine& engine) {
  const auto spelt_out = [&engine](Fitted fitted) {
    for (const Camshaft& camshaft : engine.camshafts) {
      fitted.lay_of[camshaft.name] = lay_of(fitted, camshaft.name);
      fitted.cam_key_of[camshaft.name] = cam_key_of(fitted, camshaft.name);
      fitted.holes_of[camshaft.name] = holes_of(fitted, camshaft.name);
      fitted.slot_of[camshaft.name] = slot_of(fitted, camshaft.name);
      fitted.found_of[camshaft.name] = found_of(fitted, camshaft.name);
    }
    std::erase_if(fitted.lay_of, [](const auto& entry) { return entry.second == 0; });
    fitted.lay = 0;
    fitted.cam_key_deg = 0;
    fitted.holes = {};
    fitted.slot_deg = 0;
    fitted.found_deg = 0;
    return fitted;
  };
  return spelt_out(a) == spelt_out(b);
}

int lay_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft) {
  return camshaft < engine.camshafts.size() ? lay_of(fitted, engine.camshafts[camshaft].name) : fitted.lay;
}

double cam_key_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft) {
  return camshaft < engine.camshafts.size() ? cam_key_of(fitted, engine.camshafts[camshaft].name) : fitted.cam_key_deg;
}

void set_lay(Fitted& fitted, const Engine& engine, std::size_t camshaft, int teeth) {
  const std::string name = camshaft < engine.camshafts.size() ? engine.camshafts[camshaft].name : "";
  if (engine.camshafts.size() > 1 || fitted.lay_of.contains(name))
    fitted.lay_of[name] = teeth;
  else
    fitted.lay = teeth;
}

void set_cam_key(Fitted& fitted, const Engine& engine, std::size_t camshaft, double deg) {
  const std::string name = camshaft < engine.camshafts.size() ? engine.camshafts[camshaft].name : "";
  if (engine.camshafts.size() > 1 || fitted.cam_key_of.contains(name))
    fitted.cam_key_of[name] = deg;
  else
    fitted.cam_key_deg = deg;
}

Fitted follow(const Fitted& planned, const Fitted& before, const Fitted& after) {
  Fitted next = planned;
  const auto carry = [&](auto field) {
    if (planned.*field == before.*field) next.*field = after.*field;
  };
  carry(&Fitted::lay);
  carry(&Fitted::lay_of);
  carry(&Fitted::crank_key_deg);
  carry(&Fitted::cam_key_deg);
  carry(&Fitted::cam_key_of);
  carry(&Fitted::elongation_percent);
  carry(&Fitted::centre_change_mm);
  carry(&Fitted::vernier);
  carry(&Fitted::holes);
  carry(&Fitted::holes_of);
  carry(&Fitted::slot_deg);
  carry(&Fitted::slot_of);
  carry(&Fitted::found_deg);
  carry(&Fitted::found_of);
  carry(&Fitted::shim_mm);
  return next;
}

Result<std::shared_ptr<const State>> Workbench::compute(const Fitted& fitted, const Measured& measured) {
  ++computations_;
  auto mechanism = Mechanism::assemble(engine_, fitted);
  if (!mechanism) return mechanism.problems();

  auto state = std::make_shared<State>(*std::move(mechanism), build_.target);
  for (std::size_t i = 0; i < engine_->camshafts.size(); ++i) {
    auto breakdown = phase_breakdown(*engine_, fitted, i);
    if (!breakdown) return breakdown.problems();
    state->phases.push_back(*std::move(breakdown));
  }
  if (!state->phases.empty()) state->phase = state->phases[target_camshaft()];
  if (auto events = valve_events(state->mechanism))
    state->events = *std::move(events);
  else
    state->events_fault = first_words(events.problems());
  state->pins_between_marks = phasewright::pins_between_marks(*engine_, state->mechanism.drive());

  if (has_valve_in_head(*engine_)) {
    auto made = ClearanceModel::make(state->mechanism, measured, build_.instruments);
    if (made)
      state->model = *std::move(made);
    else
      state->clearance_fault = first_words(made.problems());
  }
  const ClearanceModel* model = state->model ? &*state->model : nullptr;
  if (model != nullptr) judge_clearance(*state, *model);
  const std::optional<ValveToValve>& between = state->clearances.between;
  state->curves =
      sample(state->mechanism, model, between && between->least_mm < near_times * build_.target.min_valve_to_valve_mm);
  return std::shared_ptr<const State>(std::move(state));
}

Problems Workbench::adopt(const Document& document) {
  const bool reread = !same_readings(document.readings, build_.measured.clearance);
  const bool refit = fitted_ == nullptr || document.fitted != document_.fitted || reread;
  std::shared_ptr<const State> fitted = fitted_;
  std::optional<Plan> plan; // a new one, when what is fitted has changed
  std::string plan_fault;
  Build build = build_;
  if (refit) {
    build.fitted = document.fitted;
    build.measured.clearance = document.readings;
    auto computed = compute(document.fitted, build.measured);
    if (!computed) return computed.problems();
    fitted = *computed;
    // An engine whose clearance cannot be computed yet has no plan, but its drive can still be shown.
    auto made = plan_corrections(*engine_, build);
    plan = made ? *std::move(made) : Plan{};
    plan_fault = made ? "" : first_words(made.problems());
  }
  std::shared_ptr<const State> planned = planned_;
  if (same_fit(document.planned, document.fitted, *engine_)) {
    planned = fitted;
  } else if (refit || planned_ == nullptr || document.planned != document_.planned) {
    auto computed = compute(document.planned, build.measured);
    if (!computed) return computed.problems();
    planned = *computed;
  }
  document_ = document;
  build_ = std::move(build);
  fitted_ = std::move(fitted);
  planned_ = std::move(planned);
  if (plan) {
    plan_ = *std::move(plan);
    plan_fault_ = std::move(plan_fault);
  }
  ++revision_;
  return {};
}

Result<Workbench> Workbench::open(const Opened& opened, std::size_t option) {
  Workbench bench;
  bench.engine_ = opened.engine;
  bench.build_ = opened.build;
  if (const Result<double> target = phasewright::target_phase_deg(*opened.engine, opened.build))
    bench.target_phase_deg_ = *target;
  else
    bench.target_fault_ = first_words(target.problems());
  Problems problems = bench.adopt({opened.build.fitted, opened.build.fitted, opened.build.measured.clearance});
  if (!problems.empty()) return problems;
  for (int deg = 0; deg <= cycle_deg; ++deg)
    bench.piston_drop_mm_.push_back(static_cast<float>(bench.fitted_->mechanism.piston_drop_mm(1, deg)));
  for (const ValveKind kind : valve_kinds)
    if (const ValveMotion* motion = bench.fitted_->mechanism.motion(kind))
      bench.lobe_curves_[static_cast<std::size_t>(kind)] = viewer::lobe_curve(*motion);
  const std::size_t options = bench.plan_.options.size();
  if (option >= std::max<std::size_t>(options, 1))
    return Problem{.file = {},
                   .line = 0,
                   .column = 0,
                   .key = "--plan",
                   .found = std::to_string(option + 1),
                   .allowed = "1 to " + std::to_string(options),
                   .advice = {}};
  if (options > 0) {
    Document start = bench.document_;
    start.planned = bench.settings_of(bench.plan_.options[option]);
    // The best option may be one that cannot be assembled (a chain too short for it); then nothing is tried at first.
    [[maybe_unused]] const Problems ignored = bench.adopt(start);
  }
  return bench;
}

bool Workbench::put(const Document& document, std::string what) {
  refusal_.clear();
  if (document == document_) return true;
  const Document before = document_;
  if (const Problems problems = adopt(document); !problems.empty()) {
    refusal_ = first_words(problems);
    return false;
  }
  undo_.push_back({before, std::move(what)});
  if (undo_.size() > undo_depth) undo_.erase(undo_.begin());
  redo_.clear();
  return true;
}

bool Workbench::change_fitted(const Fitted& fitted, std::string what) {
  return put({fitted, follow(document_.planned, document_.fitted, fitted), document_.readings}, std::move(what));
}

bool Workbench::change_planned(const Fitted& planned, std::string what) {
  return put({document_.fitted, planned, document_.readings}, std::move(what));
}

bool Workbench::change_readings(const std::vector<ClearanceReading>& readings, std::string what) {
  return put({document_.fitted, document_.planned, readings}, std::move(what));
}

const LobeCurve* Workbench::lobe_curve(ValveKind kind) const {
  const auto& curve = lobe_curves_[static_cast<std::size_t>(kind)];
  return curve ? &*curve : nullptr;
}

bool Workbench::try_option(std::size_t index) {
  assert(index < plan_.options.size());
  return change_planned(settings_of(plan_.options[index]), plan_.options[index].words);
}

Fitted Workbench::settings_of(const PlanOption& option) const {
  Fitted settings = fitted_with(document_.fitted, option);
  if (option.holes != HolePair{} && build_.stock.vernier) settings.vernier = *build_.stock.vernier;
  return settings;
}

std::optional<std::size_t> Workbench::tried_option() const {
  for (std::size_t i = 0; i < plan_.options.size(); ++i)
    if (same_fit(settings_of(plan_.options[i]), document_.planned, *engine_)) return i;
  return std::nullopt;
}

void Workbench::undo() {
  if (undo_.empty()) return;
  Entry entry = std::move(undo_.back());
  undo_.pop_back();
  redo_.push_back({document_, entry.what});
  refusal_.clear();
  [[maybe_unused]] const Problems problems = adopt(entry.document);
  assert(problems.empty()); // it stood before
}

void Workbench::redo() {
  if (redo_.empty()) return;
  Entry entry = std::move(redo_.back());
  redo_.pop_back();
  undo_.push_back({document_, entry.what});
  refusal_.clear();
  [[maybe_unused]] const Problems problems = adopt(entry.document);
  assert(problems.empty());
}

} // namespace phasewright::viewer
