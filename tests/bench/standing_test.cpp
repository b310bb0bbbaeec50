// What is said of one state is what the plan says of it, and what the clearances are.
#include "bench/planned.hpp"

#include "bench/standing.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <algorithm>

using namespace phasewright;
using phasewright::testing::planned;
using phasewright::testing::small_engine;
using phasewright::testing::worn_build;

TEST_CASE("every option of a plan stands as the plan says, now and worn", "[standing]") {
  Build build = worn_build();
  build.target.min_clearance_inlet_mm = 2.5;
  build.target.min_clearance_exhaust_mm = 3.0;
  const Engine engine = small_engine();
  const Plan plan = planned(engine, build);
  int unsafe = 0;
  for (const PlanOption& option : plan.options) {
    const Result<Mechanism> mechanism = Mechanism::assemble(engine, fitted_with(engine, plan, option));
    REQUIRE(mechanism.ok());
    const Standing standing = standing_of(*mechanism, build);
    REQUIRE(standing.safe().has_value());
    CHECK(*standing.safe() == option.safe);
    CHECK(standing.unsafe() == !option.safe);
    // The plan reads its figures off a curve, good to a thousandth of a millimetre or so.
    CHECK_THAT(standing.now.inlet->least_mm, WithinAbs(option.now_mm[0], 0.01));
    CHECK_THAT(standing.worn.exhaust->least_mm, WithinAbs(option.worn_mm[1], 0.01));
    unsafe += standing.unsafe();
  }
  CHECK(unsafe > 0);
  CHECK(unsafe < static_cast<int>(plan.options.size()));
}

TEST_CASE("what is safe now and not with the chain worn is not safe", "[standing]") {
  Build build;
  const Engine engine = small_engine();
  const Mechanism mechanism = *Mechanism::assemble(engine, build.fitted);
  const Standing open = standing_of(mechanism, build);
  REQUIRE(open.safe() == true);
  // The worn chain retards the camshaft: the exhaust valve shuts later, and nearer to the piston.
  const double now_mm = open.now.exhaust->least_mm;
  const double worn_mm = open.worn.exhaust->least_mm;
  REQUIRE(worn_mm < now_mm);
  build.target.min_clearance_exhaust_mm = (now_mm + worn_mm) / 2.0;
  const Standing between = standing_of(mechanism, build);
  CHECK(between.judged.safe());
  CHECK(between.safe() == false);
  CHECK_FALSE(between.doubtful());
  build.target.min_clearance_exhaust_mm = worn_mm - 1e-3;
  const Standing just = standing_of(mechanism, build);
  CHECK(just.safe() == true);
  CHECK(just.doubtful());
}

TEST_CASE("without valves in the head it is neither safe nor not", "[standing]") {
  Engine engine = small_engine();
  engine.inlet_valve.reset();
  engine.exhaust_valve.reset();
  const Standing none = standing_of(*Mechanism::assemble(engine, {}), {});
  CHECK_FALSE(none.safe().has_value());
  CHECK_FALSE(none.unsafe());
  CHECK_FALSE(none.doubtful());
  CHECK_FALSE(none.fault.empty());
  // A valve that one lobe lacks: why there is no judgement is said.
  engine = small_engine();
  engine.exhaust_valve.reset();
  const Standing half = standing_of(*Mechanism::assemble(engine, {}), {});
  CHECK_FALSE(half.safe().has_value());
  CHECK(half.fault.find("valve.exhaust") != std::string::npos);
}
