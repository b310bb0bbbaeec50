#include "bench/plan.hpp"

#include "bench/clearance_read.hpp"
#include "bench/degree.hpp"
#include "bench/in_parallel.hpp"
#include "bench/plan_clearance.hpp"
#include "bench/plan_options.hpp"
#include "bench/plan_wanted.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

namespace phasewright {

struct PlanOptions::Held {
  explicit Held(const Choices& all) : choices(all), combinations(choices.combinations()) {}

  Choices choices;
  std::vector<Combination> combinations;
  std::vector<StateVerdict> verdicts; // by combination
  std::vector<std::uint32_t> order;   // combinations, best first
};

namespace {

// More combinations than this are nobody's shelf, and a file from a stranger must not take all memory.
constexpr std::size_t most_options = 100000;

std::optional<double> figure(double mm) {
  return std::isnan(mm) ? std::nullopt : std::optional(mm);
}

// Errors that differ by rounding only must not decide the order.
std::uint64_t error_rank(double error_deg) {
  return static_cast<std::uint64_t>(std::llround(std::fabs(error_deg) * 1e9));
}

// What an option is ranked by, packed: unsafe, error, changes. Then its place in the order of combinations.
struct Rank {
  std::uint64_t key = 0;
  std::uint32_t place = 0;

  friend bool operator<(const Rank& a, const Rank& b) { return a.key != b.key ? a.key < b.key : a.place < b.place; }
};

Rank rank_of(const PlanOption& option, bool safe, std::size_t place) {
  constexpr std::uint64_t most_changes = 31;
  const std::uint64_t error = std::min(error_rank(option.worst_error_deg), std::uint64_t{1} << 57);
  const auto changes = std::min(static_cast<std::uint64_t>(option.changes), most_changes);
  return {(safe ? 0 : std::uint64_t{1} << 63) | error << 5 | changes, static_cast<std::uint32_t>(place)};
}

// The camshafts that move inlet and exhaust valves; where there is none, the first planned.
std::array<std::size_t, 2> valve_camshafts(const Mechanism& now, const Plan& plan) {
  std::array<std::size_t, 2> camshafts{};
  for (std::size_t kind = 0; kind < 2; ++kind) {
    const ValveMotion* motion = now.motion(valve_kinds[kind]);
    camshafts[kind] = motion != nullptr ? motion->camshaft_index() : plan.camshafts[0].camshaft;
  }
  return camshafts;
}

// What a combination comes to, but for its clearances.
PlanOption option_of(const Choices& choices, const Combination& combination) {
  const Choices::Set made = choices.set(combination);
  PlanOption option;
  option.crank_key_deg = choices.cranks[combination.crank].key_deg;
  option.changes = made.changes;
  for (std::size_t i = 0; i < choices.planned; ++i) {
    option.cams[i] = choices.cams[i][combination.cams[i]].setting;
    option.cams[i].slot_deg = made.slot_deg[i];
    option.phase_deg[i] = made.phase_deg[i];
    option.error_deg[i] = made.phase_deg[i] - choices.cranks[combination.crank].target_deg[i];
    if (std::fabs(option.error_deg[i]) > std::fabs(option.worst_error_deg))
      option.worst_error_deg = option.error_deg[i];
  }
  return option;
}

PlanState state_of(const Choices& choices, const Combination& combination) {
  const Choices::Set made = choices.set(combination);
  PlanState state;
  for (std::size_t kind = 0; kind < 2; ++kind)
    state.extra_deg[kind] = made.phase_deg[most_planned + kind] - choices.base_deg[most_planned + kind];
  state.by_crank_deg = choices.cranks[combination.crank].moves[0];
  return state;
}

// The phases that the options span, by kind of valve, against what is fitted.
struct Span {
  std::array<double, 2> from_deg{};
  std::array<double, 2> to_deg{};
};

Span span_of(const Choices& choices, const std::vector<Combination>& combinations) {
  Span span;
  span.from_deg = span.to_deg = state_of(choices, combinations.front()).extra_deg;
  for (const Combination& combination : combinations) {
    const PlanState state = state_of(choices, combination);
    for (std::size_t kind = 0; kind < 2; ++kind) {
      span.from_deg[kind] = std::min(span.from_deg[kind], state.extra_deg[kind]);
      span.to_deg[kind] = std::max(span.to_deg[kind], state.extra_deg[kind]);
    }
  }
  return span;
}

void sort_ranks(std::vector<Rank>& ranks) {
  const auto middle = ranks.begin() + static_cast<std::ptrdiff_t>(ranks.size() / 2);
  in_parallel(2, 1, [&](std::size_t begin, std::size_t end) {
    if (begin == 0) std::sort(ranks.begin(), middle);
    if (end == 2) std::sort(middle, ranks.end());
  });
  std::inplace_merge(ranks.begin(), middle, ranks.end());
}

// All options with their clearances, best first.
PlanOptions ranked_options(const Engine& engine, const Mechanism& now, const Build& build, const Choices& choices,
                           const Plan& plan, const PlanModels& models) {
  // So many that a thread is worth its start.
  constexpr std::size_t a_share = 2000;
  auto held = std::make_shared<PlanOptions::Held>(choices);
  const std::vector<Combination>& combinations = held->combinations;
  const Span span = span_of(choices, combinations);
  const OptionsJudge judge(now, models, build.target, span.from_deg, span.to_deg);
  const bool assembled = drives_a_chain(engine);
  std::vector<StateVerdict>& verdicts = held->verdicts;
  verdicts.resize(combinations.size());
  std::vector<Rank> ranks(combinations.size());
  in_parallel(combinations.size(), assembled ? 1 : a_share, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) {
      const PlanOption option = option_of(choices, combinations[i]);
      verdicts[i] = assembled ? judge.judge_assembled(fitted_with(engine, plan, option))
                              : judge.judge(state_of(choices, combinations[i]));
      ranks[i] = rank_of(option, verdicts[i].safe(), i);
    }
  });
  sort_ranks(ranks);
  held->order.reserve(ranks.size());
  for (const Rank& rank : ranks) held->order.push_back(rank.place);
  return PlanOptions(std::move(held));
}

// What is fitted, with what the readings found; of a camshaft that they find nothing of, what the build says itself.
Fitted base_of(const Engine& engine, const Build& build, bool& goes_by_readings) {
  Fitted base = fitted_as_read(engine, build);
  goes_by_readings = base != build.fitted;
  if (build.stock.vernier) base.vernier = *build.stock.vernier;
  return base;
}

// What is aimed for with each crank key, when the key moves what the aim is held against. Keys with which it can be had
// nowhere are left out. `aimed_at`: the build in the state in which the aim is to be met; `preset_deg`: how much of the
// phase is gone by then.
Problems set_crank_targets(const Engine& engine, const Build& aimed_at, double preset_deg, Plan& plan,
                           Choices& choices) {
  Problems problems;
  Build with_key = aimed_at;
  const auto target_deg = [&](double key_deg) -> std::optional<double> {
    with_key.fitted.crank_key_deg = key_deg;
    const Result<std::vector<double>> targets_deg = target_phases_deg(engine, with_key);
    if (targets_deg) return targets_deg->front() - preset_deg;
    problems = targets_deg.problems();
    return std::nullopt;
  };
  for (const CrankChoice& crank : choices.cranks)
    for (const double key_deg : {crank.key_deg, -crank.key_deg + 0.0})
      if (const std::optional<double> deg = target_deg(key_deg)) plan.target_by_crank_key[key_deg] = *deg;
  std::erase_if(choices.cranks,
                [&](const CrankChoice& crank) { return !plan.target_by_crank_key.contains(crank.key_deg); });
  for (CrankChoice& crank : choices.cranks) crank.target_deg[0] = plan.target_by_crank_key.at(crank.key_deg);
  return choices.cranks.empty() ? problems : Problems{};
}

} // namespace

PlanOptions::PlanOptions(std::shared_ptr<const Held> held) : held_(std::move(held)), size_(held_->order.size()) {}

PlanOption PlanOptions::operator[](std::size_t index) const {
  const std::uint32_t place = held_->order[index];
  const StateVerdict& verdict = held_->verdicts[place];
  PlanOption option = option_of(held_->choices, held_->combinations[place]);
  option.now_mm = verdict.now_mm;
  option.worn_mm = verdict.worn_mm;
  option.unsafe_by = verdict.unsafe_by;
  option.goes_together = verdict.goes_together;
  option.safe = verdict.safe();
  return option;
}

std::optional<double> PlanOption::now(ValveKind kind) const {
  return figure(now_mm[kind == ValveKind::inlet ? 0 : 1]);
}

std::optional<double> PlanOption::worn(ValveKind kind) const {
  return figure(worn_mm[kind == ValveKind::inlet ? 0 : 1]);
}

std::optional<double> PlanOption::least(ValveKind kind) const {
  const std::optional<double> at_first = now(kind);
  const std::optional<double> at_last = worn(kind);
  return at_first && at_last ? std::min(*at_first, *at_last) : at_first;
}

double target_with_crank_key(const Plan& plan, std::size_t index, double key_deg) {
  const auto found = plan.target_by_crank_key.find(key_deg);
  return found == plan.target_by_crank_key.end() ? plan.camshafts[index].target_phase_deg : found->second;
}

Fitted fitted_with(const Engine& engine, const Plan& plan, const PlanOption& option) {
  Fitted changed = plan.base;
  changed.crank_key_deg = option.crank_key_deg;
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i)
    set_at(changed, engine, plan.camshafts[i].camshaft, option.cams[i]);
  return changed;
}

Result<Plan> plan_corrections(const Engine& engine, const Build& build, int lay_reach) {
  Plan plan;
  plan.base = base_of(engine, build, plan.goes_by_readings);
  const Result<Mechanism> now = Mechanism::assemble(engine, plan.base);
  if (!now) return now.problems();
  const Result<ClearanceModel> model = clearance_as_read(*now, build);
  if (!model) return model.problems();
  const Fitted later = worn(engine, plan.base);
  Build as_found = build;
  as_found.fitted = plan.base;
  // Half way to the wear limit another camshaft that the aim is held against has moved as well.
  if (build.target.preset_for_wear)
    as_found.fitted.elongation_percent = (plan.base.elongation_percent + later.elongation_percent) / 2.0;
  const Result<std::vector<double>> targets_deg = target_phases_deg(engine, as_found);
  if (!targets_deg) return targets_deg.problems();
  const Result<Mechanism> worn_out = now->refitted(later);
  if (!worn_out) return worn_out.problems();

  const std::vector<std::size_t> camshafts = planned_camshafts(engine, build.target);
  for (std::size_t i = 0; i < camshafts.size(); ++i) {
    PlannedCamshaft planned;
    planned.camshaft = camshafts[i];
    planned.fitted_phase_deg = now->drive().phase_deg(camshafts[i]);
    planned.wear_deg = worn_out->drive().phase_deg(camshafts[i]) - planned.fitted_phase_deg;
    planned.target_phase_deg = (*targets_deg)[i] - (build.target.preset_for_wear ? planned.wear_deg / 2.0 : 0.0);
    plan.camshafts.push_back(planned);
  }
  Choices choices = choices_of(engine, now->drive(), build.stock, plan, valve_camshafts(*now, plan), lay_reach);
  if (choices.count() > most_options)
    return problem_at("stock", fmt::format("{} combinations", choices.count()),
                      fmt::format("{} or fewer", most_options), "leave out sizes that are not wanted");
  if (meets_another_camshaft(engine, build.target)) {
    const double preset_deg = build.target.preset_for_wear ? plan.camshafts[0].wear_deg / 2.0 : 0.0;
    Problems problems = set_crank_targets(engine, as_found, preset_deg, plan, choices);
    if (!problems.empty()) return problems;
  }
  const PlanModels models{*model, model->mounted_on(*worn_out), later.elongation_percent};
  plan.options = ranked_options(engine, *now, build, choices, plan, models);
  plan.wanted = wanted_parts(engine, build, *now, plan, models, lay_reach);
  return plan;
}

} // namespace phasewright
