// What readings find of a camshaft, and what goes by it: plans, clearances read beside, comparisons of before and
// after.
#include "bench/clearance_read.hpp"
#include "bench/degree.hpp"
#include "bench/plan_words.hpp"
#include "mechanics/events.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

// What is read, without any error, off an engine with `really` fitted.
Measured read_off(const Engine& engine, const Fitted& really) {
  const Mechanism mechanism = *Mechanism::assemble(engine, really);
  Measured measured;
  measured.stop_deg = {*foretell_stop(mechanism.slider_crank(), 20.0)};
  for (const ValveKind valve : {ValveKind::inlet, ValveKind::exhaust}) {
    LobeReading reading;
    reading.valve = valve;
    reading.lift_mm = 4.0;
    const FlankPair pair = *foretell_pair(mechanism, reading);
    reading.opens_deg = pair.opens.crank_deg;
    reading.closes_deg = pair.closes.crank_deg;
    measured.lobe.push_back(reading);
  }
  const ClearanceModel gaps = *ClearanceModel::make(mechanism, {});
  measured.clearance = {{ValveKind::inlet, 12.0, gaps.at(ValveKind::inlet, 12.0)},
                        {ValveKind::exhaust, 710.0, gaps.at(ValveKind::exhaust, 710.0)}};
  return measured;
}

// By the file the marks face; what was read has the chain a tooth back.
Build tooth_back(const Engine& engine) {
  Fitted really;
  really.lay = -1;
  Build build;
  build.measured = read_off(engine, really);
  build.target.phase_deg = 0.0;
  return build;
}

double tooth_deg(const Engine& engine) {
  return 720.0 / engine.loops[0].sprockets[1].teeth;
}

Plan planned(const Engine& engine, const Build& build, int lay_reach = 1) {
  Result<Plan> plan = plan_corrections(engine, build, lay_reach);
  REQUIRE(plan.ok());
  return *std::move(plan);
}

DegreeRead degree_of(const Engine& engine, const Measured& measured) {
  Result<DegreeRead> read = read_degree(engine, measured, {});
  REQUIRE(read.ok());
  return *std::move(read);
}

} // namespace

TEST_CASE("clearances are taken to have been read where the lobes show the camshaft", "[found]") {
  const Engine engine = small_engine();
  const Build build = tooth_back(engine);
  const Mechanism as_filed = *Mechanism::assemble(engine, build.fitted);
  // They were read without error, so the closed gaps are those drawn.
  const ClearanceModel model = *clearance_as_read(as_filed, build);
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    CHECK_THAT(model.fit(kind).correction_mm, WithinAbs(0.0, 0.01));
  // With the tooth forward that a plan would have, they stand as drawn.
  const Plan plan = planned(engine, build);
  const PlanOption best = plan.options.front();
  CHECK(best.cams[0].lay == 1);
  const ClearanceModel drawn = *ClearanceModel::make(as_filed, {});
  CHECK_THAT(best.now_mm[0], WithinAbs(drawn.least(ValveKind::inlet).least_mm, 0.03));
  CHECK_THAT(best.now_mm[1], WithinAbs(drawn.least(ValveKind::exhaust).least_mm, 0.03));
}

TEST_CASE("what was fitted foretells the change without what readings found", "[found]") {
  const Engine engine = small_engine();
  const Build build = tooth_back(engine);
  const Plan plan = planned(engine, build);
  REQUIRE(plan.options.front().cams[0].lay == 1);
  const Build after = fitted_build(engine, build, plan, plan.options.front());
  REQUIRE_THAT(found_of(after.fitted, "cam"), WithinAbs(-tooth_deg(engine), 0.1));
  const DegreeRead before = degree_of(engine, after.history.back());

  Measured moved = read_off(engine, {});
  moved.with = after.fitted;
  const PhaseChange done = phase_changes(before, degree_of(engine, moved)).at(0);
  CHECK_THAT(done.deg, WithinAbs(tooth_deg(engine), 0.1));
  CHECK_THAT(done.foretold_deg, WithinAbs(tooth_deg(engine), 1e-9));

  Measured left_as_it_was = build.measured;
  left_as_it_was.with = after.fitted;
  const PhaseChange undone = phase_changes(before, degree_of(engine, left_as_it_was)).at(0);
  CHECK_THAT(undone.deg, WithinAbs(0.0, 0.1));
  CHECK_THAT(undone.foretold_deg, WithinAbs(tooth_deg(engine), 1e-9));
}

TEST_CASE("a plan goes by readings that show something else than earlier ones found", "[found]") {
  const Engine engine = small_engine();
  const Build build = tooth_back(engine);
  const Plan plan = planned(engine, build);
  CHECK(plan.goes_by_readings);
  Build after = fitted_build(engine, build, plan, plan.options.front());
  after.measured = read_off(engine, {});
  after.measured.with = after.fitted;
  CHECK_FALSE(planned(engine, after).goes_by_readings);
  CHECK_THAT(planned(engine, after).camshafts[0].fitted_phase_deg, WithinAbs(0.0, 0.1));
  // The tooth that was to be laid forward was not.
  after.measured = build.measured;
  after.measured.with = after.fitted;
  const Plan again = planned(engine, after);
  CHECK(again.goes_by_readings);
  CHECK_THAT(again.camshafts[0].fitted_phase_deg, WithinAbs(-tooth_deg(engine), 0.1));
}

TEST_CASE("where readings find whole teeth nothing is said of marks that face or do not", "[found]") {
  const Engine engine = small_engine();
  const Plan plan = planned(engine, tooth_back(engine));
  CHECK(teeth_found(engine, plan, 0) == -1);
  const std::vector<std::string> notes = option_notes(engine, plan, plan.options.front());
  const auto says = [&](const char* words) {
    return std::ranges::any_of(notes, [&](const std::string& note) { return note.find(words) != std::string::npos; });
  };
  CHECK(says("1 tooth back"));
  CHECK_FALSE(says("no longer face"));
}

TEST_CASE("no part is wanted that goes with a tooth which is not allowed", "[found]") {
  Build build;
  build.target.phase_deg = tooth_deg(small_engine()) + 1.0;
  build.target.min_clearance_inlet_mm = build.target.min_clearance_exhaust_mm = 0.0;
  const auto off_the_marks = [](const WantedPart& part) { return part.lay != 0; };
  CHECK(std::ranges::any_of(planned(small_engine(), build, 1).wanted, off_the_marks));
  CHECK(std::ranges::none_of(planned(small_engine(), build, 0).wanted, off_the_marks));
}
