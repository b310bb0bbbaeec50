// The figures behind the plots: what a lobe does, clearance against phase, the piston on the valves' scale.
#include "viewer/plot.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "viewer/workbench.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

Workbench demo(const Overrides& overrides = {}) {
  const Result<Opened> opened = open_demo(overrides);
  REQUIRE(opened.ok());
  Result<Workbench> bench = Workbench::open(*opened);
  INFO((bench ? std::string() : to_text(bench.problems())));
  REQUIRE(bench.ok());
  return *std::move(bench);
}

} // namespace

TEST_CASE("ticks are round and no more than asked for") {
  CHECK(round_ticks(0.0, 8.0, 5) == std::vector<double>{0.0, 2.0, 4.0, 6.0, 8.0});
  CHECK(round_ticks(-0.9, 1.1, 4) == std::vector<double>{-0.5, 0.0, 0.5, 1.0});
  for (const double high : {0.0037, 0.9, 13.0, 470.0}) CHECK(round_ticks(0.0, high, 6).size() <= 7);
  CHECK(round_ticks(1.0, 1.0, 4).empty());
}

TEST_CASE("a plot's heights run from its low to its high") {
  const PlotFrame plot{
      .left = 0, .right = 100, .top = 10, .bottom = 110, .low_deg = -50, .high_deg = 50, .high = 3, .low = -1};
  CHECK(plot.y(3.0) == 10.0f);
  CHECK(plot.y(-1.0) == 110.0f);
  CHECK(plot.x(0.0) == 50.0f);
}

TEST_CASE("velocity, acceleration and jerk are the slopes of what stands above them, by cam degrees") {
  // A polynomial lobe is smooth enough for its slopes to be taken by differences.
  const Workbench bench =
      demo({"camshaft.inlet.lobe={ kind = \"polynomial-4567\", lift_mm = 5.0, duration_deg = 340 }"});
  const ValveMotion& motion = *bench.fitted().mechanism.motion(ValveKind::inlet);
  const LobeCurve curve = lobe_curve(motion, 0.05);
  for (std::size_t m = 0; m + 1 < motions; ++m) {
    const double most = std::abs(
        *std::ranges::max_element(curve.value[m + 1], [](double a, double b) { return std::abs(a) < std::abs(b); }));
    REQUIRE(most > 0.0);
    double worst = 0.0;
    for (std::size_t i = 1; i + 1 < curve.cam_deg.size(); ++i) {
      const double slope =
          (curve.value[m][i + 1] - curve.value[m][i - 1]) / (curve.cam_deg[i + 1] - curve.cam_deg[i - 1]);
      worst = std::max(worst, std::abs(slope - curve.value[m + 1][i]));
    }
    INFO("order " << m + 1);
    CHECK(worst < 0.01 * most);
  }
}

TEST_CASE("a lobe's curve begins and ends on its base circle and reaches its lift") {
  const Workbench bench = demo();
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const LobeCurve* curve = bench.lobe_curve(kind);
    REQUIRE(curve != nullptr);
    const auto& lift = curve->value[static_cast<std::size_t>(Motion::lift)];
    CHECK(lift.front() == 0.0);
    CHECK(lift.back() == 0.0);
    CHECK_THAT(std::ranges::max(lift),
               WithinAbs(bench.fitted().mechanism.motion(kind)->lobe().greatest_lift_mm(), 1e-3));
  }
}

TEST_CASE("the band against phase stands on the least clearance, as wide there as its uncertainty says") {
  const Workbench bench = demo();
  const Target& target = bench.build().target;
  const ClearanceDetail& detail = bench.planned().detail();
  const std::array<PhaseBand, 2>& bands = bench.planned().bands();
  int crossings = 0;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const PhaseBand& band = bands[static_cast<std::size_t>(kind)];
    REQUIRE(band.extra_deg.size() == 41);
    CHECK(band.extra_deg.front() == -20.0);
    CHECK(band.extra_deg.back() == 20.0);
    const double least_mm = least_of(bench.planned().standing.now, kind)->least_mm;
    CHECK_THAT(band.least_mm[20], WithinAbs(least_mm, 1e-3));
    const ClearanceQuality& quality = *detail.quality[static_cast<std::size_t>(kind)];
    CHECK_THAT(band.half_mm[20], WithinRel(2.0 * quality.u_mm, 0.02));
    // Crossing its limit where the quality says.
    if (quality.advance_to_limit_deg && *quality.advance_to_limit_deg < 20.0) {
      const auto at = static_cast<std::size_t>(std::lround((*quality.advance_to_limit_deg + 20.0) / 1.0));
      CHECK_THAT(band.least_mm[at], WithinAbs(axial_limit_mm(target, kind), 0.1));
      ++crossings;
    }
  }
  CHECK(crossings > 0);
  // The inlet comes nearer as the cam is advanced, the exhaust as it is retarded.
  CHECK(bands[0].least_mm.back() < bands[0].least_mm.front());
  CHECK(bands[1].least_mm.back() > bands[1].least_mm.front());
}

TEST_CASE("without lash the valves stand nearer") {
  const Workbench bench = demo();
  const ClearanceDetail& detail = bench.planned().detail();
  // Upright valves over a flat crown: by the lash, as long as they are nearest while open.
  CHECK_THAT(bench.planned().standing.now.inlet->least_mm - detail.no_lash.inlet->least_mm,
             WithinAbs(bench.engine().camshafts[0].inlet->lash_mm, 0.02));
}

TEST_CASE("the piston on the valves' scale goes as the crank makes it go") {
  const Workbench bench = demo();
  const std::vector<float>& reach = bench.planned().curves.piston_reach_mm[0];
  REQUIRE(reach.size() == 721);
  // An upright valve over a flat crown: what the piston drops, the valve may open further.
  for (const std::size_t deg : {6U, 30U, 360U, 388U, 700U})
    CHECK_THAT(static_cast<double>(reach[deg] - reach[0]),
               WithinAbs(bench.planned().mechanism.piston_drop_mm(1, static_cast<double>(deg)), 1e-4));
}

TEST_CASE("what the clearance panel alone needs is worked out once, when asked for") {
  const Workbench bench = demo();
  const ClearanceDetail* first = &bench.planned().detail();
  CHECK(&bench.planned().detail() == first);
  const std::array<PhaseBand, 2>* bands = &bench.planned().bands();
  CHECK(&bench.planned().bands() == bands);
}
