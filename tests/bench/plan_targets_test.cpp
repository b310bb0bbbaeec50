#include "bench/planned.hpp"

#include "bench/plan_words.hpp"
#include "mechanics/events.hpp"
#include "mechanics/volumes.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::planned;
using phasewright::testing::small_engine;
using phasewright::testing::twin_build;
using phasewright::testing::worn_build;

namespace {

// What a target with one aim asks for.
Result<double> aimed_deg(const Engine& engine, const Build& build) {
  const Result<std::vector<double>> phases = target_phases_deg(engine, build);
  if (!phases) return phases.problems();
  REQUIRE(phases->size() == 1);
  return phases->front();
}

} // namespace

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

TEST_CASE("lifts equal those of a camshaft that the crank key moves as well", "[plan]") {
  const Engine engine = overhead_engine();
  Build build;
  build.target.equal_lift_at_tdc = true;
  build.stock.crank_key_deg = {0, 3};
  build.stock.slots_deg = {{-12.0, 12.0}};
  const Plan plan = planned(engine, build, 0);
  std::size_t on_target = 0;
  for (const PlanOption& option : plan.options) {
    const Mechanism fitted = *Mechanism::assemble(engine, fitted_with(engine, plan, option));
    const double apart_mm =
        fitted.valve_lift_mm(ValveKind::inlet, 1, 0.0) - fitted.valve_lift_mm(ValveKind::exhaust, 1, 0.0);
    INFO(option.crank_key_deg << " off by " << option.worst_error_deg);
    if (std::fabs(option.worst_error_deg) < 1e-9) {
      ++on_target;
      CHECK_THAT(apart_mm, WithinAbs(0.0, 0.004)); // the chain's ripple, hundredths of a degree
    } else {
      CHECK(std::fabs(apart_mm) > 0.02);
    }
  }
  CHECK(on_target == 3); // the slot set with each crank key, either way round
  for (const WantedPart& part : plan.wanted) CHECK(part.at == KeyAt::cam);
}

TEST_CASE("a crank key the wrong way round is held against the aim it would have then", "[plan]") {
  const Engine engine = overhead_engine();
  Build build;
  build.target.equal_lift_at_tdc = true;
  build.stock.crank_key_deg = {0, 3};
  const Plan plan = planned(engine, build, 0);
  const auto with_key = [&](double key_deg) {
    for (const PlanOption& option : plan.options)
      if (option.crank_key_deg == key_deg) return option;
    FAIL("no option with a crank key of " << key_deg);
    return PlanOption{};
  };
  const PlanOption right = with_key(3.0);
  const PlanOption wrong = with_key(-3.0);
  CHECK_THAT(right.phase_deg[0] - 2.0 * right.crank_key_deg, WithinAbs(wrong.phase_deg[0], 1e-9));
  const std::string off = fmt::format("{:.2f}° off", std::fabs(wrong.error_deg[0]));
  const std::vector<std::string> notes = option_notes(engine, plan, right);
  CHECK(std::ranges::any_of(notes, [&](const std::string& note) {
    return note.find("the wrong way round, the crank key") != std::string::npos && note.find(off) != std::string::npos;
  }));
}

TEST_CASE("pre-set for wear, lifts are equal half way to the wear limit although both camshafts move", "[plan]") {
  const Engine engine = overhead_engine();
  Build build;
  build.target.equal_lift_at_tdc = true;
  build.target.preset_for_wear = true;
  build.stock.slots_deg = {{-12.0, 12.0}};
  const Plan plan = planned(engine, build, 0);
  const PlanOption best = plan.options[0];
  REQUIRE(std::fabs(best.worst_error_deg) < 1e-9);
  Fitted half = fitted_with(engine, plan, best);
  const double now_percent = half.elongation_percent;
  half.elongation_percent = (now_percent + worn(engine, half).elongation_percent) / 2.0;
  REQUIRE(half.elongation_percent > now_percent);
  const Mechanism then = *Mechanism::assemble(engine, half);
  CHECK_THAT(then.valve_lift_mm(ValveKind::inlet, 1, 0.0) - then.valve_lift_mm(ValveKind::exhaust, 1, 0.0),
             WithinAbs(0.0, 0.006)); // the chain's ripple, and that wear is not quite in proportion
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
