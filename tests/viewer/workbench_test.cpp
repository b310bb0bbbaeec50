#include "viewer/workbench.hpp"

#include "support/catch.hpp"

#include <algorithm>
#include <limits>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

Workbench demo(std::size_t option = 0) {
  const Result<Opened> opened = open_demo();
  REQUIRE(opened.ok());
  Result<Workbench> bench = Workbench::open(*opened, option);
  REQUIRE(bench.ok());
  return *std::move(bench);
}

} // namespace

TEST_CASE("the bench opens with the plan's first option tried") {
  const Workbench bench = demo();
  REQUIRE(bench.tried_option() == 0U);
  CHECK_THAT(bench.planned().phase.phase_deg, WithinAbs(bench.plan().options[0].phase_deg[0], 1e-9));
  CHECK_THAT(bench.planned().standing.now.inlet->least_mm,
             WithinAbs(*bench.plan().options[0].now(ValveKind::inlet), 1e-3));
  CHECK_THAT(bench.planned().standing.worn.exhaust->least_mm,
             WithinAbs(*bench.plan().options[0].worn(ValveKind::exhaust), 1e-3));
  CHECK_FALSE(bench.can_undo());
}

TEST_CASE("an option that is not in the list is refused") {
  const Result<Opened> opened = open_demo();
  const Result<Workbench> bench = Workbench::open(*opened, 100000);
  REQUIRE_FALSE(bench.ok());
  CHECK(bench.problems().front().found == "100001");
}

TEST_CASE("a tooth of lay moves the plan by 720 over the cam's teeth, and undo brings it back") {
  Workbench bench = demo();
  const double before = bench.planned().phase.phase_deg;
  Fitted changed = bench.document().planned;
  changed.lay += 1;
  REQUIRE(bench.change_planned(changed, "chain laid"));
  CHECK_THAT(bench.planned().phase.phase_deg - before,
             WithinAbs(720.0 / bench.engine().loops[0].sprockets[1].teeth, 1e-9));
  CHECK(bench.undo_what() == "chain laid");
  bench.undo();
  CHECK(bench.planned().phase.phase_deg == before);
  CHECK(bench.can_redo());
  bench.redo();
  CHECK(bench.document().planned == changed);
}

TEST_CASE("a new change ends what could be redone") {
  Workbench bench = demo();
  REQUIRE(bench.try_option(1));
  bench.undo();
  REQUIRE(bench.try_option(2));
  CHECK_FALSE(bench.can_redo());
}

TEST_CASE("what cannot be assembled is refused, with the reason, and changes nothing") {
  Workbench bench = demo();
  const Document before = bench.document();
  const std::uint64_t revision = bench.revision();
  Fitted changed = before.fitted;
  changed.centre_change_mm = 5.0; // the chain does not reach
  CHECK_FALSE(bench.change_fitted(changed, "centres"));
  CHECK_FALSE(bench.refusal().empty());
  CHECK(bench.document() == before);
  CHECK(bench.revision() == revision);
  CHECK_FALSE(bench.can_undo());
}

TEST_CASE("a figure that is none is refused") {
  Workbench bench = demo();
  Fitted changed = bench.document().planned;
  changed.cam_key_deg = std::numeric_limits<double>::quiet_NaN();
  CHECK_FALSE(bench.change_planned(changed, "cam key"));
  CHECK_FALSE(bench.refusal().empty());
}

TEST_CASE("the plan follows what is fitted where it had the same") {
  Workbench bench = demo();
  Fitted fitted = bench.document().fitted;
  const double cam_key = bench.document().planned.cam_key_deg;
  REQUIRE(cam_key != fitted.cam_key_deg);
  fitted.elongation_percent = 0.5;
  fitted.cam_key_deg = 1.0;
  REQUIRE(bench.change_fitted(fitted, "elongation"));
  CHECK(bench.document().planned.elongation_percent == 0.5);
  CHECK(bench.document().planned.cam_key_deg == cam_key);
  CHECK(bench.build().fitted == fitted);
}

TEST_CASE("nothing is computed when nothing changes, and the plan only for what is fitted") {
  Workbench bench = demo();
  const int before = bench.computations();
  REQUIRE(bench.change_planned(bench.document().planned, "nothing"));
  CHECK(bench.computations() == before);
  CHECK_FALSE(bench.can_undo());
  Fitted changed = bench.document().planned;
  changed.crank_key_deg += 1.0;
  REQUIRE(bench.change_planned(changed, "crank key"));
  CHECK(bench.computations() == before + 1);
}

TEST_CASE("curves are those of the mechanism, a degree apart") {
  const Workbench bench = demo();
  const std::vector<float>& lift = bench.planned().curves.lift_mm[0];
  REQUIRE(lift.size() == 721);
  CHECK_THAT(static_cast<double>(lift[106]),
             WithinAbs(bench.planned().mechanism.valve_lift_mm(ValveKind::inlet, 1, 106.0), 1e-6));
  REQUIRE(bench.piston_drop_mm().size() == 721);
  CHECK_THAT(static_cast<double>(bench.piston_drop_mm()[180]), WithinAbs(bench.engine().block.stroke_mm, 1e-5));
  const std::vector<float>& clearance = bench.planned().curves.clearance_mm[0];
  REQUIRE(clearance.size() == 721);
  CHECK(static_cast<double>(*std::min_element(clearance.begin(), clearance.end())) >=
        bench.planned().standing.now.inlet->least_mm - 1e-6);
}
