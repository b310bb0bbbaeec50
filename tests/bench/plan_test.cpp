#include "bench/plan_words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/volumes.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::overhead_engine;
using phasewright::testing::pocketed_engine;
using phasewright::testing::small_engine;

namespace {

Build worn_build() {
  Build build;
  build.fitted.elongation_percent = 0.9;
  build.fitted.centre_change_mm = -0.10;
  build.target.inlet_centre_deg = 104.0;
  build.stock.crank_key_deg = {0, 1, 2, 3, 4};
  build.stock.cam_key_deg = {0, 1, 2, 3};
  return build;
}

// What a target with one aim asks for.
Result<double> aimed_deg(const Engine& engine, const Build& build) {
  const Result<std::vector<double>> phases = target_phases_deg(engine, build);
  if (!phases) return phases.problems();
  REQUIRE(phases->size() == 1);
  return phases->front();
}

Plan planned(const Engine& engine, const Build& build, int lay_reach = 1) {
  Result<Plan> plan = plan_corrections(engine, build, lay_reach);
  REQUIRE(plan.ok());
  return *std::move(plan);
}

} // namespace

TEST_CASE("every combination is there once, either way round", "[plan]") {
  const Plan plan = planned(small_engine(), worn_build());
  CHECK(plan.options.size() == 3U * 9U * 7U);
  std::set<std::tuple<int, double, double>> seen;
  for (const PlanOption& option : plan.options)
    seen.insert({option.cams[0].lay, option.crank_key_deg, option.cams[0].cam_key_deg});
  CHECK(seen.size() == plan.options.size());
}

TEST_CASE("each option has the phase and clearance of the drive so fitted", "[plan]") {
  const Engine engine = small_engine();
  const Build build = worn_build();
  const Plan plan = planned(engine, build, 2);
  const Mechanism now = *Mechanism::assemble(engine, build.fitted);
  const ClearanceModel model = *ClearanceModel::make(now, build.measured);
  double worst_mm = 0.0;
  for (const PlanOption& option : plan.options) {
    const Fitted fitted = fitted_with(engine, plan, option);
    const Mechanism then = *Mechanism::assemble(engine, fitted);
    CHECK_THAT(option.phase_deg[0], WithinAbs(then.drive().phase_deg(), 1e-11));
    CHECK_THAT(option.error_deg[0], WithinAbs(option.phase_deg[0] - 2.0, 1e-12));
    const ClearanceModel moved = model.mounted_on(then);
    const ClearanceModel later = model.mounted_on(*Mechanism::assemble(engine, worn(engine, fitted)));
    worst_mm = std::fmax(worst_mm, std::fabs(option.now_mm[0] - moved.least(ValveKind::inlet).least_mm));
    worst_mm = std::fmax(worst_mm, std::fabs(option.now_mm[1] - moved.least(ValveKind::exhaust).least_mm));
    worst_mm = std::fmax(worst_mm, std::fabs(option.worn_mm[0] - later.least(ValveKind::inlet).least_mm));
    worst_mm = std::fmax(worst_mm, std::fabs(option.worn_mm[1] - later.least(ValveKind::exhaust).least_mm));
  }
  // What the curve and the chain's ripple cost against solving each drive.
  CHECK(worst_mm < 0.01);
}

TEST_CASE("safe options come first, then the least error, then the fewest changes", "[plan]") {
  const Plan plan = planned(small_engine(), worn_build());
  for (std::size_t i = 1; i < plan.options.size(); ++i) {
    const PlanOption& a = plan.options[i - 1];
    const PlanOption& b = plan.options[i];
    REQUIRE(a.safe >= b.safe);
    if (a.safe != b.safe) continue;
    REQUIRE(std::fabs(a.error_deg[0]) <= std::fabs(b.error_deg[0]) + 1e-9);
    if (std::fabs(std::fabs(a.error_deg[0]) - std::fabs(b.error_deg[0])) < 1e-10) REQUIRE(a.changes <= b.changes);
  }
}

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

TEST_CASE("the target may be a phase, a lobe centre or an event", "[plan]") {
  const Engine engine = small_engine();
  Build build;
  CHECK(*aimed_deg(engine, build) == 0.0);
  build.target.phase_deg = -3.0;
  CHECK(*aimed_deg(engine, build) == -3.0);
  build.target = {};
  build.target.inlet_centre_deg = 104.0;
  CHECK(*aimed_deg(engine, build) == 2.0);
  build.target = {};
  // Closing 5 degrees earlier than the card asks for 5 degrees of advance; opening 5 earlier too.
  const Result<double> card = [&] {
    build.target.event = TargetEvent{EventKind::inlet_closes, 0.0, 1.27};
    return aimed_deg(engine, build);
  }();
  build.target.event = TargetEvent{EventKind::inlet_closes, *card - 5.0, 0.0};
  CHECK_THAT(*aimed_deg(engine, build), WithinAbs(5.0, 1e-12));
  build.target.event = TargetEvent{EventKind::exhaust_opens, 0.0, 1.27};
  const double exhaust_opens_deg = -*aimed_deg(engine, build);
  build.target.event->deg = exhaust_opens_deg + 5.0;
  CHECK_THAT(*aimed_deg(engine, build), WithinAbs(5.0, 1e-12));
  build.target.event = TargetEvent{EventKind::inlet_closes, 40.0, 7.5};
  CHECK(to_text(aimed_deg(engine, build).problems()) ==
        "target.event: found at 7.5 mm lift, allowed less than the inlet lobe's lift\n");
}

TEST_CASE("slots are set to hit the target where they reach it", "[plan]") {
  Build build = worn_build();
  build.stock = {};
  build.stock.slots_deg = {{-8.0, 8.0}};
  const Plan plan = planned(small_engine(), build, 0);
  REQUIRE(plan.options.size() == 2); // as it is set, and as it should be
  CHECK_THAT(plan.options[0].error_deg[0], WithinAbs(0.0, 1e-11));
  build.stock.slots_deg = {{-1.0, 1.0}};
  CHECK(planned(small_engine(), build, 0).options[0].cams[0].slot_deg == 1.0);
}

TEST_CASE("hole pairs move the cam by i/h - j/s turns, half a tooth at most", "[plan]") {
  Build build;
  build.stock.vernier = Vernier{10, 11};
  const Plan plan = planned(small_engine(), build, 0);
  CHECK(plan.options.size() > 2);
  for (const PlanOption& option : plan.options) {
    const double turns = option.cams[0].holes.hub_hole / 10.0 - option.cams[0].holes.sprocket_hole / 11.0;
    CHECK_THAT(option.phase_deg[0], WithinAbs(720.0 * (turns - std::round(turns)), 1e-10));
    CHECK(std::fabs(option.phase_deg[0]) <= 360.0 / 38.0 + 1e-9);
  }
}

TEST_CASE("words tell how to fit an option", "[plan]") {
  const Engine engine = small_engine();
  const Plan plan = planned(engine, worn_build());
  const auto words = [&](int lay, double crank_key, double cam_key) {
    const auto found = std::ranges::find_if(plan.options, [&](const PlanOption& o) {
      return o.cams[0].lay == lay && o.crank_key_deg == crank_key && o.cams[0].cam_key_deg == cam_key;
    });
    REQUIRE(found != plan.options.end());
    return option_words(engine, plan, *found);
  };
  CHECK(words(0, 0, 0) == "straight keys, chain as marked");
  CHECK(words(0, 0, 2) == "cam key 2°, shaft half leading");
  CHECK(words(1, 0, -3) == "chain 1 tooth forward; cam key 3°, shaft half trailing");
  CHECK(words(-1, 4, 0) == "chain 1 tooth back; crank key 4°, sprocket half leading");
}

TEST_CASE("hole pairs that come to the same angle are one correction", "[plan]") {
  Build build;
  build.stock.vernier = Vernier{10, 10};
  CHECK(planned(small_engine(), build, 0).options.size() == 1); // every pair is a whole number of tenths, or no help
}

TEST_CASE("a shelf that nobody has is refused", "[plan]") {
  Build build = worn_build();
  build.stock.crank_key_deg.clear();
  build.stock.cam_key_deg.clear();
  for (int i = 1; i <= 200; ++i) {
    build.stock.crank_key_deg.push_back(0.01 * i);
    build.stock.cam_key_deg.push_back(0.01 * i);
  }
  const Result<Plan> plan = plan_corrections(small_engine(), build);
  REQUIRE_FALSE(plan.ok());
  CHECK(to_text(plan.problems()) ==
        "stock: found 482403 combinations, allowed 100000 or fewer; leave out sizes that are not wanted\n");
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

Build twin_build() {
  Build build;
  build.fitted.lay_of = {{"exhaust", 0}, {"inlet", 0}};
  build.fitted.cam_key_of = {{"exhaust", -1.0}};
  build.fitted.elongation_percent = 0.2;
  build.target.inlet_centre_deg = 104.0;
  build.stock.crank_key_deg = {0, 2};
  build.stock.cam_key_deg = {0, 1, 3};
  return build;
}

} // namespace

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

TEST_CASE("a build that cannot be assembled has no plan", "[plan]") {
  Engine engine = small_engine();
  engine.loops[0].chain.links = 50;
  CHECK_FALSE(plan_corrections(engine, worn_build()).ok());
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

TEST_CASE("a target event names the camshaft that is planned", "[plan]") {
  const Engine engine = overhead_engine();
  Build build = twin_build();
  CHECK(planned_camshafts(engine, build.target) == std::vector<std::size_t>{1});
  CHECK(planned_camshafts(engine, Target{}) == std::vector<std::size_t>{1});
  build.target = {};
  build.target.event = TargetEvent{EventKind::exhaust_closes, 10.0, 0.0};
  CHECK(planned_camshafts(engine, build.target) == std::vector<std::size_t>{0});
  const Plan plan = planned(engine, build);
  CHECK(plan.camshafts[0].camshaft == 0);
  const Mechanism now = *Mechanism::assemble(engine, build.fitted);
  CHECK_THAT(plan.camshafts[0].fitted_phase_deg, WithinAbs(now.drive().phase_deg(0), 1e-12));
}

TEST_CASE("words name the camshaft where there are several", "[plan]") {
  const Engine engine = overhead_engine();
  const Plan plan = planned(engine, twin_build());
  const auto words = [&](int lay, double crank_key, double cam_key) {
    const auto found = std::ranges::find_if(plan.options, [&](const PlanOption& o) {
      return o.cams[0].lay == lay && o.crank_key_deg == crank_key && o.cams[0].cam_key_deg == cam_key;
    });
    REQUIRE(found != plan.options.end());
    return option_words(engine, plan, *found);
  };
  CHECK(words(0, 0, 0) == "straight keys, chain as marked at \"inlet\"");
  CHECK(words(1, -2, 3) == "chain 1 tooth forward at \"inlet\"; cam key 3°, shaft half leading at \"inlet\"; "
                           "crank key 2°, sprocket half trailing");
}

TEST_CASE("a plan for one camshaft leaves the other sprockets' settings alone", "[plan]") {
  const Engine twin = overhead_engine();
  Plan plan;
  plan.camshafts = {{1, 0.0, 0.0, 0.0}};
  plan.base.lay_of = {{"exhaust", 1}};
  plan.base.cam_key_deg = -1.0;
  PlanOption option;
  option.cams[0] = {2, 1.5, {3, 4}, 0.5};
  const Fitted changed = fitted_with(twin, plan, option);
  CHECK(lay_of(changed, "exhaust") == 1);
  CHECK(cam_key_of(changed, "exhaust") == -1.0);
  CHECK(holes_of(changed, "exhaust") == HolePair{});
  CHECK(slot_of(changed, "exhaust") == 0.0);
  CHECK(lay_of(changed, "inlet") == 2);
  CHECK(cam_key_of(changed, "inlet") == 1.5);
  CHECK(holes_of(changed, "inlet") == HolePair{3, 4});
  CHECK(slot_of(changed, "inlet") == 0.5);
  // With one camshaft there is nothing to tell apart, unless the build does.
  plan.camshafts = {{0, 0.0, 0.0, 0.0}};
  plan.base = {};
  CHECK(fitted_with(small_engine(), plan, option).lay == 2);
  plan.base.lay_of = {{"cam", -1}};
  const Fitted named = fitted_with(small_engine(), plan, option);
  CHECK(named.lay == 0);
  CHECK(named.lay_of.at("cam") == 2);
}

TEST_CASE("two camshafts with a centre each are planned together", "[plan]") {
  const Engine engine = overhead_engine();
  Build build = twin_build();
  build.target.exhaust_centre_deg = 112.0;
  const Plan plan = planned(engine, build);
  REQUIRE(plan.camshafts.size() == 2);
  CHECK(plan.camshafts[0].camshaft == 1); // the inlet camshaft's aim comes first
  CHECK(plan.camshafts[1].camshaft == 0);
  CHECK(plan.options.size() == 3U * (3U * 5U) * (3U * 5U));
  for (const PlanOption& option : plan.options) {
    const Mechanism then = *Mechanism::assemble(engine, fitted_with(engine, plan, option));
    REQUIRE_THAT(option.phase_deg[0], WithinAbs(then.drive().phase_deg(1), 1e-11));
    REQUIRE_THAT(option.phase_deg[1], WithinAbs(then.drive().phase_deg(0), 1e-11));
    const double worst = std::fmax(std::fabs(option.error_deg[0]), std::fabs(option.error_deg[1]));
    REQUIRE(std::fabs(option.worst_error_deg) == worst);
  }
  for (std::size_t i = 1; i < plan.options.size(); ++i)
    if (plan.options[i].safe == plan.options[i - 1].safe)
      REQUIRE(std::fabs(plan.options[i - 1].worst_error_deg) <= std::fabs(plan.options[i].worst_error_deg) + 1e-9);
  // One camshaft has one lobe separation: both centres at once cannot be asked of it.
  build.target.inlet_centre_deg = 104.0;
  CHECK(to_text(target_phases_deg(small_engine(), build).problems()) ==
        "target: found inlet and exhaust centre of one camshaft, allowed one of them: they move together\n");
}

TEST_CASE("slots of two camshafts are each set for their own aim", "[plan]") {
  const Engine engine = overhead_engine();
  Build build = twin_build();
  build.stock = {};
  build.stock.slots_deg = {{-8.0, 8.0}};
  build.target.exhaust_centre_deg = 112.0;
  const Plan plan = planned(engine, build, 0);
  CHECK(plan.options.size() == 4);
  CHECK_THAT(plan.options[0].worst_error_deg, WithinAbs(0.0, 1e-11));
  CHECK(plan.options[0].changes == 2);
}

TEST_CASE("the phase of an aim gives what was aimed for", "[plan]") {
  const Engine engine = small_engine();
  const auto at_phase = [&](double phase_deg) {
    Fitted fitted;
    fitted.cam_key_deg = phase_deg / 2.0;
    return *Mechanism::assemble(engine, fitted);
  };
  Build build;
  build.target.equal_lift_at_tdc = true;
  const Mechanism equal = at_phase(*aimed_deg(engine, build));
  // The chain's ripple moves with nothing here; what is left is the difference of two lifts at one crank angle.
  CHECK_THAT(equal.valve_lift_mm(ValveKind::inlet, 1, 0.0) - equal.valve_lift_mm(ValveKind::exhaust, 1, 0.0),
             WithinAbs(0.0, 1e-9));
  build.target = {};
  build.target.effective_ratio = 7.4;
  const Mechanism squeezed = at_phase(*aimed_deg(engine, build));
  const double closes_deg = valve_events(squeezed)->camshafts[0].inlet->at_lash.closes_deg;
  // The ripple of a chain, hundredths of a degree, stands between the card's closing and this one's.
  CHECK_THAT(compression(engine.block, closes_deg).effective_ratio, WithinAbs(7.4, 0.002));
  build.target.effective_ratio = 20.0;
  CHECK_FALSE(aimed_deg(engine, build).ok());
  build.target = {};
  build.target.exhaust_centre_deg = 112.0;
  const Mechanism centred = at_phase(*aimed_deg(engine, build));
  CHECK_THAT(valve_events(centred)->camshafts[0].exhaust->centre_deg, WithinAbs(112.0, 0.03));
}

TEST_CASE("pre-set for wear the phase is on target half way to the wear limit", "[plan]") {
  const Engine engine = small_engine();
  Build build = worn_build();
  build.target.preset_for_wear = true;
  build.stock = {};
  build.stock.slots_deg = {{-8.0, 8.0}};
  const Plan plan = planned(engine, build, 0);
  const Fitted now = fitted_with(engine, plan, plan.options[0]);
  const Fitted later = worn(engine, now);
  CHECK_THAT((Drive::phase_deg(engine, now) + Drive::phase_deg(engine, later)) / 2.0, WithinAbs(2.0, 1e-9));
  CHECK(plan.camshafts[0].wear_deg < -0.5);
}

TEST_CASE("a part that is not on the shelf is named when it would do better and be safe", "[plan]") {
  Build build = worn_build();
  build.stock.crank_key_deg = {4};
  build.stock.cam_key_deg = {};
  build.target.phase_deg = 1.0;
  build.target.inlet_centre_deg.reset();
  const Plan plan = planned(small_engine(), build);
  REQUIRE_FALSE(plan.wanted.empty());
  const WantedPart& best = plan.wanted.front();
  CHECK(best.at == KeyAt::cam);
  CHECK(best.key_deg == 1.5);
  CHECK(best.words == "a cam key 1.5°, shaft half leading with the chain as marked would come within 0.03° crank");
  Fitted fitted = plan.base;
  fitted.cam_key_deg = best.key_deg;
  CHECK_THAT(Drive::phase_deg(small_engine(), fitted) - 1.0, WithinAbs(best.error_deg, 1e-9));
  build.stock.cam_key_deg = {1.5};
  CHECK(planned(small_engine(), build).wanted.empty());
}

TEST_CASE("an option says how its keys look and what else it moves", "[plan]") {
  const Engine engine = small_engine();
  const Plan plan = planned(engine, worn_build());
  const auto found = std::ranges::find_if(plan.options, [](const PlanOption& o) {
    return o.cams[0].lay == 1 && o.crank_key_deg == -2.0 && o.cams[0].cam_key_deg == 3.0;
  });
  REQUIRE(found != plan.options.end());
  const std::vector<KeyPicture> keys = key_pictures(engine, plan, *found);
  REQUIRE(keys.size() == 2);
  // At the cam the shaft half leads, so the upper half is stepped against the running direction; at the crank the
  // sprocket half trails, which is the same way.
  CHECK(keys[0].side == step_side(KeyAt::cam, 3.0, engine.rotation));
  CHECK(keys[1].side == step_side(KeyAt::crank, -2.0, engine.rotation));
  CHECK_THAT(keys[0].step_mm, WithinAbs(engine.cam_seats.at("cam").diameter_mm / 2.0 * std::sin(radians(3.0)), 1e-12));
  CHECK_THAT(std::fabs(wrap_180(keys[1].hub_clock_deg - keys[1].keyway_clock_deg)), WithinAbs(2.0, 1e-9));
  const std::vector<std::string> notes = option_notes(engine, plan, *found);
  const auto says = [&notes](const std::string& words) {
    return std::ranges::any_of(notes, [&](const std::string& note) { return note.find(words) != std::string::npos; });
  };
  CHECK(says("no longer face"));
  CHECK(says("the wrong way round, the cam key"));
  CHECK(says("set it anew"));
}

TEST_CASE("fitting an option keeps the readings in the history", "[plan]") {
  const Engine engine = small_engine();
  Build build = worn_build();
  build.measured.with = build.fitted;
  build.measured.float_mm = {0.1};
  const Plan plan = planned(engine, build);
  const Build after = fitted_build(engine, build, plan, plan.options[0]);
  REQUIRE(after.history.size() == 1);
  CHECK(after.history[0].float_mm == std::vector<double>{0.1});
  CHECK(after.history[0].with == build.fitted);
  CHECK(after.fitted == fitted_with(engine, plan, plan.options[0]));
  CHECK_FALSE(has_readings(after.measured));
}
