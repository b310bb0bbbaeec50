#include "bench/plan_clearance.hpp"

#include "bench/in_parallel.hpp"
#include "bench/plan_curve.hpp"
#include "bench/plan_verdicts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

namespace phasewright {

namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

// States that differ by rounding only are one.
long long rounded(double deg) {
  return std::llround(deg * 1e9);
}

} // namespace

bool drives_a_chain(const Engine& engine) {
  return std::ranges::any_of(engine.loops, [&engine](const Loop& loop) {
    const std::optional<SprocketPlace> driver = find_sprocket(engine, loop.driven_from);
    return driver && !sprocket_at(engine, *driver).camshaft.empty();
  });
}

struct OptionsJudge::Held {
  Held(const Mechanism& now, const PlanModels& made, const Target& wanted)
      : mechanism(now), models(made), target(wanted), aside(now, made.now, wanted) {}

  // Of the axial clearance, now and worn. What is not there has room enough.
  [[nodiscard]] bool axial_enough(const StateVerdict& verdict) const {
    for (std::size_t kind = 0; kind < 2; ++kind) {
      if (!curve[kind]) continue;
      const double limit_mm = axial_limit_mm(target, valve_kinds[kind]);
      if (!(verdict.now_mm[kind] >= limit_mm) || !(verdict.worn_mm[kind] >= limit_mm)) return false;
    }
    return true;
  }

  [[nodiscard]] std::optional<ClearanceCriterion> aside_fault(const PlanState& state) const {
    const AsideVerdict worst =
        std::max(aside.verdict(state.extra_deg[0], state.extra_deg[1]),
                 aside.verdict(state.extra_deg[0] + wear_deg[0], state.extra_deg[1] + wear_deg[1]));
    if (!worst.doubt()) return worst.too_close;
    const std::tuple key(rounded(state.extra_deg[0]), rounded(state.extra_deg[1]), rounded(state.by_crank_deg));
    return solved_aside.value(key, [&] { return solve_aside(state); });
  }

  // Solved for that very drive.
  [[nodiscard]] std::optional<ClearanceCriterion> solve_aside(const PlanState& state) const {
    for (const ClearanceModel* model : {&models.now, &models.worn}) {
      for (std::size_t kind = 0; kind < 2; ++kind)
        if (model->has(valve_kinds[kind]) &&
            !(model->least_any_way(valve_kinds[kind], state.extra_deg[kind], state.by_crank_deg).distance_mm >=
              any_way_limit_mm(target, valve_kinds[kind])))
          return ClearanceCriterion::any_way;
      const std::optional<ValveToValve> between =
          model->least_between(state.extra_deg[0], state.extra_deg[1], state.by_crank_deg);
      if (between && !(between->least_mm >= target.min_valve_to_valve_mm)) return ClearanceCriterion::between;
    }
    return std::nullopt;
  }

  const Mechanism& mechanism;
  const PlanModels& models;
  const Target& target;
  std::array<std::optional<LimitedCurve>, 2> curve;      // nothing where the engine has no such valve
  std::array<std::optional<LimitedCurve>, 2> worn_curve; // of the worn chain's own model
  std::array<double, 2> wear_deg{};
  AsideVerdicts aside;
  Remembered<std::tuple<long long, long long, long long>, std::optional<ClearanceCriterion>> solved_aside;
};

OptionsJudge::OptionsJudge(const Mechanism& now, const PlanModels& models, const Target& target,
                           std::array<double, 2> from_deg, std::array<double, 2> to_deg)
    : held_(std::make_unique<Held>(now, models, target)) {
  Fitted later = now.fitted();
  later.elongation_percent = models.worn_percent;
  // Two curves of each kind, all of them alike in work.
  in_parallel(4, 1, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) {
      const std::size_t kind = i / 2;
      const bool worn = i % 2 == 1;
      if (!models.now.has(valve_kinds[kind])) continue;
      (worn ? held_->worn_curve : held_->curve)[kind].emplace(worn ? models.worn : models.now, valve_kinds[kind],
                                                              axial_limit_mm(target, valve_kinds[kind]), from_deg[kind],
                                                              to_deg[kind]);
    }
  });
  for (std::size_t kind = 0; kind < 2; ++kind) {
    if (!models.now.has(valve_kinds[kind])) continue;
    const std::size_t camshaft = now.motion(valve_kinds[kind])->camshaft_index();
    held_->wear_deg[kind] = Drive::phase_deg(now.engine(), later, camshaft) - now.drive().phase_deg(camshaft);
  }
}

OptionsJudge::~OptionsJudge() = default;

StateVerdict OptionsJudge::judge(const PlanState& state) const {
  StateVerdict verdict;
  for (std::size_t kind = 0; kind < 2; ++kind) {
    const bool there = held_->curve[kind].has_value();
    verdict.now_mm[kind] = there ? held_->curve[kind]->at_mm(state.extra_deg[kind], state.by_crank_deg) : none;
    verdict.worn_mm[kind] = there ? held_->worn_curve[kind]->at_mm(state.extra_deg[kind], state.by_crank_deg) : none;
  }
  // What is too close along the axis needs no other reason.
  if (!held_->axial_enough(verdict))
    verdict.unsafe_by = ClearanceCriterion::axial;
  else
    verdict.unsafe_by = held_->aside_fault(state);
  return verdict;
}

StateVerdict OptionsJudge::judge_assembled(const Fitted& fitted) const {
  StateVerdict verdict;
  verdict.now_mm = verdict.worn_mm = {none, none};
  Fitted then = fitted;
  for (const bool worn : {false, true}) {
    if (worn) then.elongation_percent = held_->models.worn_percent;
    const Result<Mechanism> mechanism = held_->mechanism.refitted(then);
    if (!mechanism) {
      verdict.goes_together = false;
      continue;
    }
    const Clearances least = held_->models.now.mounted_on(*mechanism).least();
    std::array<double, 2>& mm = worn ? verdict.worn_mm : verdict.now_mm;
    for (std::size_t kind = 0; kind < 2; ++kind)
      if (const auto& one = least_of(least, valve_kinds[kind])) mm[kind] = one->least_mm;
    const std::vector<JudgedClearance> close = phasewright::judge(least, held_->target).too_close();
    if (!close.empty() && !verdict.unsafe_by) verdict.unsafe_by = close.front().criterion;
  }
  return verdict;
}

} // namespace phasewright
