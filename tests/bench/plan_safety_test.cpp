#include "bench/planned.hpp"

#include "bench/plan_clearance.hpp"
#include "bench/plan_words.hpp"
#include "mechanics/judgement.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::overhead_engine;
using phasewright::testing::planned;
using phasewright::testing::pocketed_engine;
using phasewright::testing::small_engine;
using phasewright::testing::twin_build;
using phasewright::testing::worn_build;

TEST_CASE("an option is unsafe by either valve, now or worn", "[plan]") {
  Build build = worn_build();
  build.target.min_clearance_inlet_mm = 2.5;
  build.target.min_clearance_exhaust_mm = 3.0;
  const Plan plan = planned(small_engine(), build, 2);
  int unsafe = 0;
  for (const PlanOption& option : plan.options) {
    const bool enough =
        option.now_mm[0] >= 2.5 && option.worn_mm[0] >= 2.5 && option.now_mm[1] >= 3.0 && option.worn_mm[1] >= 3.0;
    CHECK(option.safe == enough);
    unsafe += !option.safe;
  }
  CHECK(unsafe > 0);
  CHECK(unsafe < static_cast<int>(plan.options.size()));
}

namespace {

// Limits set between the curve's figure and the drive's own: the verdict must be the drive's.
void check_verdicts_near_a_limit(const Engine& engine, Build build) {
  const Mechanism now = *Mechanism::assemble(engine, build.fitted);
  const ClearanceModel model = *ClearanceModel::make(now, build.measured);
  const Plan plan = planned(engine, build);
  const auto exact = [&](const PlanOption& option, ValveKind kind) {
    const Fitted then = fitted_with(engine, plan, option);
    return std::fmin(model.mounted_on(*Mechanism::assemble(engine, then)).least(kind).least_mm,
                     model.mounted_on(*Mechanism::assemble(engine, worn(engine, then))).least(kind).least_mm);
  };
  const PlanOption chosen = plan.options[10];
  for (const double aside_mm : {-1e-9, 1e-9}) {
    build.target.min_clearance_inlet_mm = exact(chosen, ValveKind::inlet) + aside_mm;
    build.target.min_clearance_exhaust_mm = 0.0;
    const Plan closer = planned(engine, build);
    const auto again = std::ranges::find_if(closer.options, [&](const PlanOption& o) {
      return o.cams[0].lay == chosen.cams[0].lay && o.crank_key_deg == chosen.crank_key_deg &&
             o.cams[0].cam_key_deg == chosen.cams[0].cam_key_deg;
    });
    CHECK(again->safe == (aside_mm < 0.0));
  }
  for (const PlanOption& option : planned(engine, build).options)
    CHECK(option.safe == (exact(option, ValveKind::inlet) >= build.target.min_clearance_inlet_mm &&
                          exact(option, ValveKind::exhaust) >= build.target.min_clearance_exhaust_mm));
}

} // namespace

TEST_CASE("near a limit the verdict is that of the drive itself", "[plan]") {
  check_verdicts_near_a_limit(small_engine(), worn_build());
}

namespace {

// `safe` of every option against all that ClearanceModel judges of the drive so fitted.
int unsafe_options(const Engine& engine, const Build& build, ClearanceCriterion by) {
  const ClearanceModel model = *ClearanceModel::make(*Mechanism::assemble(engine, build.fitted), build.measured);
  int found = 0;
  const Plan plan = planned(engine, build);
  for (const PlanOption& option : plan.options) {
    const Fitted now = fitted_with(engine, plan, option);
    bool safe = true;
    for (const Fitted& fitted : {now, worn(engine, now)})
      safe = safe && within_limits(model.mounted_on(*Mechanism::assemble(engine, fitted)).least(), build.target);
    INFO(option_words(engine, plan, option));
    CHECK(option.safe == safe);
    CHECK(option.unsafe_by.has_value() != option.safe);
    found += option.unsafe_by == by;
  }
  return found;
}

} // namespace

TEST_CASE("no option is safe that another distance than the axial one forbids", "[plan]") {
  Build build = worn_build();
  build.stock.crank_key_deg = {0, 2};
  build.stock.cam_key_deg = {0, 3};
  // Over a flat the leaning inlet valve is nearer straight down than along its axis.
  Engine flat = pocketed_engine(small_engine());
  flat.block.crown = {};
  flat.inlet_valve->pocket = flat.exhaust_valve->pocket = {};
  flat.inlet_valve->closed_height_mm = flat.exhaust_valve->closed_height_mm = 9.0;
  const auto model_of = [](const Engine& engine, const Build& of) {
    return *ClearanceModel::make(*Mechanism::assemble(engine, of.fitted), of.measured);
  };
  const LeastClearance as_fitted = model_of(flat, build).least(ValveKind::inlet);
  REQUIRE(as_fitted.distance_mm < as_fitted.least_mm - 0.02);
  build.target.min_clearance_inlet_mm = build.target.min_clearance_radial_mm =
      (as_fitted.distance_mm + as_fitted.least_mm) / 2.0;
  build.target.min_clearance_exhaust_mm = build.target.min_valve_to_valve_mm = 0.0;
  CHECK(unsafe_options(flat, build, ClearanceCriterion::any_way) > 0);
  // In pockets the shut head's distance from its wall is all there is.
  build.target = {};
  build.target.min_clearance_inlet_mm = build.target.min_clearance_exhaust_mm = 1.6;
  build.target.min_clearance_radial_mm = 1.55;
  build.target.min_valve_to_valve_mm = 0.0;
  CHECK(unsafe_options(pocketed_engine(small_engine()), build, ClearanceCriterion::any_way) > 0);
}

TEST_CASE("no option is safe whose valves come too close to each other", "[plan]") {
  Build twin = twin_build();
  const Engine engine = pocketed_engine(overhead_engine());
  twin.target.min_clearance_inlet_mm = twin.target.min_clearance_exhaust_mm = 0.0;
  twin.target.min_clearance_radial_mm = 0.0;
  const double now_mm = ClearanceModel::make(*Mechanism::assemble(engine, twin.fitted), {})->least_between()->least_mm;
  twin.target.min_valve_to_valve_mm = now_mm - 0.02;
  const int few = unsafe_options(engine, twin, ClearanceCriterion::between);
  twin.target.min_valve_to_valve_mm = now_mm + 0.02;
  CHECK(unsafe_options(engine, twin, ClearanceCriterion::between) > few);
}

TEST_CASE("of several camshafts one is planned and the clearances are those of both", "[plan]") {
  const Engine engine = overhead_engine(); // the exhaust camshaft is the first, the inlet camshaft the second
  const Build build = twin_build();
  const Plan plan = planned(engine, build);
  REQUIRE(plan.camshafts.size() == 1);
  CHECK(plan.camshafts[0].camshaft == 1);
  CHECK(plan.options.size() == 3U * 3U * 5U);
  const Mechanism now = *Mechanism::assemble(engine, build.fitted);
  const ClearanceModel model = *ClearanceModel::make(now, build.measured);
  const double exhaust_deg = now.drive().phase_deg(0);
  double worst_mm = 0.0;
  for (const PlanOption& option : plan.options) {
    const Fitted fitted = fitted_with(engine, plan, option);
    const Mechanism then = *Mechanism::assemble(engine, fitted);
    CHECK_THAT(option.phase_deg[0], WithinAbs(then.drive().phase_deg(1), 1e-11));
    // The other camshaft goes with the crank key and with nothing else.
    CHECK_THAT(then.drive().phase_deg(0), WithinAbs(exhaust_deg + option.crank_key_deg, 1e-11));
    const Clearances least = model.mounted_on(then).least();
    const Clearances later = model.mounted_on(*Mechanism::assemble(engine, worn(engine, fitted))).least();
    worst_mm = std::fmax(worst_mm, std::fabs(option.now_mm[0] - least.inlet->least_mm));
    worst_mm = std::fmax(worst_mm, std::fabs(option.now_mm[1] - least.exhaust->least_mm));
    worst_mm = std::fmax(worst_mm, std::fabs(option.worn_mm[0] - later.inlet->least_mm));
    worst_mm = std::fmax(worst_mm, std::fabs(option.worn_mm[1] - later.exhaust->least_mm));
  }
  CHECK(worst_mm < 0.01);
}

TEST_CASE("near a limit the verdict is that of the drive itself, with a tensioner and in stages too", "[plan]") {
  check_verdicts_near_a_limit(overhead_engine(), twin_build());
  Build build = worn_build();
  build.fitted.centre_change_mm = 0.0;
  build.fitted.elongation_percent = 0.3;
  check_verdicts_near_a_limit(jackshaft_engine(), build);
}

// There the exhaust camshaft's lay and key also set the teeth of the inlet camshaft's chain against each other.
TEST_CASE("near a limit the verdict is that of the drive itself where a camshaft drives another", "[plan]") {
  const Engine twin = overhead_engine();
  Engine engine = jackshaft_engine();
  engine.camshafts = twin.camshafts;
  engine.cam_seats = twin.cam_seats;
  std::vector<Sprocket>& first = engine.loops[0].sprockets;
  std::vector<Sprocket>& second = engine.loops[1].sprockets;
  first[1].teeth = 36;
  first[1].camshaft = "exhaust";
  first[1].centre_mm = second[0].centre_mm = {0.0, 105.8};
  second[0].teeth = second[1].teeth = 24;
  second[1].camshaft = "inlet";
  second[1].centre_mm = {123.6, 105.8};
  engine.loops[0].chain.links = engine.loops[1].chain.links = 50;
  Build build = twin_build();
  build.target = {};
  build.target.event = TargetEvent{EventKind::exhaust_closes, 5.0, 0.0};
  check_verdicts_near_a_limit(engine, build);
}

TEST_CASE("a drive that does not go together is not safe, and no valve is blamed", "[plan]") {
  const Mechanism now = *Mechanism::assemble(small_engine(), Fitted{});
  const ClearanceModel model = *ClearanceModel::make(now, {});
  const PlanModels models{model, model, 0.0};
  Target target;
  const OptionsJudge judge(now, models, target, {0.0, 0.0}, {0.0, 0.0});
  CHECK(judge.judge_assembled(Fitted{}).safe());
  Fitted impossible;
  impossible.elongation_percent = -1.0;
  const StateVerdict verdict = judge.judge_assembled(impossible);
  CHECK_FALSE(verdict.goes_together);
  CHECK_FALSE(verdict.safe());
}
