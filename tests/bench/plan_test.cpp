#include "bench/planned.hpp"

#include "bench/plan_words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::planned;
using phasewright::testing::small_engine;
using phasewright::testing::twin_build;
using phasewright::testing::worn_build;

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

TEST_CASE("a build that cannot be assembled has no plan", "[plan]") {
  Engine engine = small_engine();
  engine.loops[0].chain.links = 50;
  CHECK_FALSE(plan_corrections(engine, worn_build()).ok());
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
