#include "bench/plan_clearance.hpp"

#include "bench/plan_verdicts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

constexpr std::array both_kinds{ValveKind::inlet, ValveKind::exhaust};

// A figure read off a curve this close to its limit is solved for that very drive, so that no verdict hangs on the
// curve's error, which is under 0.02 mm.
constexpr double doubtful_mm = 0.03;

// One kind of valve at every option: the phase of the camshaft that moves it, and its least axial clearance off a curve
// of that.
class KindOptions {
public:
  KindOptions(const Mechanism& now, const Fitted& fitted, const PlanModels& models, ValveKind kind, const Plan& plan)
      : models_(models), kind_(kind) {
    if (!models.now.has(kind)) return;
    const Engine& engine = now.engine();
    const std::size_t camshaft = now.motion(kind)->camshaft_index();
    fitted_phase_deg_ = now.drive().phase_deg(camshaft);
    Fitted later = fitted;
    later.elongation_percent = models.worn_percent;
    wear_deg_ = Drive::phase_deg(engine, later, camshaft) - Drive::phase_deg(engine, fitted, camshaft);
    const double rest_deg = fitted_phase_deg_ - Drive::set_phase_deg(engine, fitted, camshaft);
    extra_deg_.reserve(plan.options.size());
    for (const PlanOption& option : plan.options)
      extra_deg_.push_back((camshaft == plan.camshaft
                                ? option.phase_deg
                                : rest_deg + Drive::set_phase_deg(engine, fitted_with(fitted, option), camshaft)) -
                           fitted_phase_deg_);
    const auto [low, high] = std::ranges::minmax(extra_deg_);
    low_deg_ = std::min(low, low + wear_deg_);
    least_mm_ = models.now.phase_curve(kind, low_deg_, std::max(high, high + wear_deg_) + 2.0 * step_deg, step_deg);
  }

  [[nodiscard]] bool there() const { return !least_mm_.empty(); }
  // Crank degrees by which that option's camshaft stands ahead of what is fitted, now and worn, as the model of what is
  // fitted now sees it.
  [[nodiscard]] double extra_deg(std::size_t option) const { return extra_deg_.empty() ? 0.0 : extra_deg_[option]; }
  [[nodiscard]] double wear_deg() const { return wear_deg_; }

  // Nothing when the engine has no such valve.
  [[nodiscard]] std::optional<double> now_mm(std::size_t option) const { return at(extra_deg(option)); }
  [[nodiscard]] std::optional<double> worn_mm(std::size_t option) const { return at(extra_deg(option) + wear_deg_); }

  // Solved for that very drive. `by_crank_deg`: what of its phase the crank's key is more than the fitted one.
  void solve(std::size_t option, double by_crank_deg, std::optional<double>& now_mm,
             std::optional<double>& worn_mm) const {
    if (!there()) return;
    now_mm = models_.now.least_axial(kind_, extra_deg_[option], by_crank_deg).least_mm;
    worn_mm = models_.worn.least_axial(kind_, extra_deg_[option], by_crank_deg).least_mm;
  }

private:
  static constexpr double step_deg = 0.5;

  [[nodiscard]] std::optional<double> at(double extra_deg) const {
    if (least_mm_.empty()) return std::nullopt;
    const double place =
        std::clamp((extra_deg - low_deg_) / step_deg, 0.0, static_cast<double>(least_mm_.size()) - 1.0);
    const auto before = std::min(static_cast<std::size_t>(place), least_mm_.size() - 2);
    const double share = place - static_cast<double>(before);
    return least_mm_[before] + share * (least_mm_[before + 1] - least_mm_[before]);
  }

  const PlanModels& models_;
  ValveKind kind_;
  std::vector<double> extra_deg_; // by option
  double fitted_phase_deg_ = 0.0;
  double wear_deg_ = 0.0;
  double low_deg_ = 0.0;
  std::vector<double> least_mm_;
};

// Whether a camshaft's setting also moves the teeth of a later chain against each other. Where none does, lay and keys
// turn the camshafts by exact amounts and shift the crank's angle, and leave the drive what it is.
bool drives_a_chain(const Engine& engine) {
  return std::ranges::any_of(engine.loops, [&engine](const Loop& loop) {
    const std::optional<SprocketPlace> driver = find_sprocket(engine, loop.driven_from);
    return driver && !sprocket_at(engine, *driver).camshaft.empty();
  });
}

class OptionsJudge {
public:
  OptionsJudge(const Plan& plan, const Build& shelf, const Mechanism& now, const PlanModels& models)
      : fitted_(shelf.fitted), target_(shelf.target), mechanism_(now),
        models_(models), kinds_{KindOptions(now, shelf.fitted, models, ValveKind::inlet, plan),
                                KindOptions(now, shelf.fitted, models, ValveKind::exhaust, plan)},
        aside_(now, models.now, shelf.target), assembled_(drives_a_chain(now.engine())) {}

  void judge(std::size_t index, PlanOption& option) {
    option.clearance_inlet_mm = kinds_[0].now_mm(index);
    option.clearance_exhaust_mm = kinds_[1].now_mm(index);
    option.worn_inlet_mm = kinds_[0].worn_mm(index);
    option.worn_exhaust_mm = kinds_[1].worn_mm(index);
    option.unsafe_by = std::nullopt;
    const double by_crank_deg = option.crank_key_deg - fitted_.crank_key_deg;
    const bool doubtful = is_doubtful(option);
    if (doubtful && !assembled_) {
      kinds_[0].solve(index, by_crank_deg, option.clearance_inlet_mm, option.worn_inlet_mm);
      kinds_[1].solve(index, by_crank_deg, option.clearance_exhaust_mm, option.worn_exhaust_mm);
    }
    // What is too close along the axis by more than doubt needs no other reason.
    if (!(doubtful && assembled_) && !axial_enough(option)) {
      option.unsafe_by = ClearanceCriterion::axial;
    } else {
      const AsideVerdict aside = std::max(verdict_aside(index, 0.0), verdict_aside(index, 1.0));
      if (assembled_ && (doubtful || aside.doubt())) {
        solve_assembled(option);
      } else if (aside.doubt()) {
        option.unsafe_by = solve_aside(index, by_crank_deg);
      } else {
        option.unsafe_by = aside.too_close;
      }
    }
    option.safe = !option.unsafe_by;
  }

private:
  [[nodiscard]] double limit_mm(std::size_t kind) const { return axial_limit_mm(target_, both_kinds[kind]); }

  [[nodiscard]] bool is_doubtful(const PlanOption& option) const {
    const auto near = [](const std::optional<double>& mm, double limit_mm) {
      return mm && std::fabs(*mm - limit_mm) < doubtful_mm;
    };
    return near(option.clearance_inlet_mm, limit_mm(0)) || near(option.worn_inlet_mm, limit_mm(0)) ||
           near(option.clearance_exhaust_mm, limit_mm(1)) || near(option.worn_exhaust_mm, limit_mm(1));
  }

  [[nodiscard]] bool axial_enough(const PlanOption& option) const {
    return clear_enough(option.clearance_inlet_mm, limit_mm(0)) && clear_enough(option.worn_inlet_mm, limit_mm(0)) &&
           clear_enough(option.clearance_exhaust_mm, limit_mm(1)) && clear_enough(option.worn_exhaust_mm, limit_mm(1));
  }

  // `worn`: 0 now, 1 at the wear limit.
  [[nodiscard]] AsideVerdict verdict_aside(std::size_t index, double worn) {
    return aside_.verdict(kinds_[0].extra_deg(index) + worn * kinds_[0].wear_deg(),
                          kinds_[1].extra_deg(index) + worn * kinds_[1].wear_deg());
  }

  // Solved for that very drive.
  [[nodiscard]] std::optional<ClearanceCriterion> solve_aside(std::size_t index, double by_crank_deg) const {
    const double inlet_deg = kinds_[0].extra_deg(index);
    const double exhaust_deg = kinds_[1].extra_deg(index);
    for (const ClearanceModel* model : {&models_.now, &models_.worn}) {
      for (const ValveKind kind : both_kinds)
        if (model->has(kind) &&
            !(model->least_any_way(kind, kind == ValveKind::inlet ? inlet_deg : exhaust_deg, by_crank_deg)
                  .distance_mm >= any_way_limit_mm(target_, kind)))
          return ClearanceCriterion::any_way;
      const std::optional<ValveToValve> between = model->least_between(inlet_deg, exhaust_deg, by_crank_deg);
      if (between && !(between->least_mm >= target_.min_valve_to_valve_mm)) return ClearanceCriterion::between;
    }
    return std::nullopt;
  }

  void solve_assembled(PlanOption& option) const {
    Fitted then = fitted_with(fitted_, option);
    for (const bool worn : {false, true}) {
      std::optional<double>& inlet_mm = worn ? option.worn_inlet_mm : option.clearance_inlet_mm;
      std::optional<double>& exhaust_mm = worn ? option.worn_exhaust_mm : option.clearance_exhaust_mm;
      if (worn) then.elongation_percent = models_.worn_percent;
      const Result<Mechanism> mechanism = Mechanism::assemble(mechanism_.engine_shared(), then);
      if (!mechanism) {
        // Such a drive cannot be put together, so nothing about it is safe.
        if (inlet_mm) inlet_mm = std::numeric_limits<double>::lowest();
        if (exhaust_mm) exhaust_mm = std::numeric_limits<double>::lowest();
        option.unsafe_by = ClearanceCriterion::axial;
        continue;
      }
      const Clearances least = models_.now.mounted_on(*mechanism).least();
      if (inlet_mm) inlet_mm = least.inlet->least_mm;
      if (exhaust_mm) exhaust_mm = least.exhaust->least_mm;
      const std::vector<JudgedClearance> close = phasewright::judge(least, target_).too_close();
      if (!close.empty() && !option.unsafe_by) option.unsafe_by = close.front().criterion;
    }
  }

  const Fitted& fitted_;
  const Target& target_;
  const Mechanism& mechanism_;
  const PlanModels& models_;
  std::array<KindOptions, 2> kinds_;
  AsideVerdicts aside_;
  bool assembled_;
};

} // namespace

void judge_options(Plan& plan, const Build& shelf, const Mechanism& now, const PlanModels& models) {
  OptionsJudge judge(plan, shelf, now, models);
  for (std::size_t i = 0; i < plan.options.size(); ++i) judge.judge(i, plan.options[i]);
}

} // namespace phasewright
