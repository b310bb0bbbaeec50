#include "bench/plan.hpp"
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/events.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// The second method's own figures of the small engine: 4-5-6-7 lobes, slider-crank by the crank pin's place.
double law_mm(double from_nose_deg) {
  const double x = 1.0 - std::fabs(from_nose_deg) / 82.5;
  return x <= 0.0 ? 0.0 : 6.9 * (35 * std::pow(x, 4) - 84 * std::pow(x, 5) + 70 * std::pow(x, 6) - 20 * std::pow(x, 7));
}

double from_nose_deg(ValveKind kind, double camshaft_deg, int cylinder) {
  static constexpr std::array later_deg{0.0, 540.0, 180.0, 360.0}; // firing order 1-3-4-2, 180 crank degrees apart
  const double nose_deg = kind == ValveKind::inlet ? 106.0 / 2.0 : -110.0 / 2.0;
  return std::remainder(camshaft_deg - nose_deg - later_deg[static_cast<std::size_t>(cylinder - 1)] / 2.0, 360.0);
}

double lift_mm(ValveKind kind, double camshaft_deg, int cylinder = 1) {
  return std::fmax(0.0, 1.3 * law_mm(from_nose_deg(kind, camshaft_deg, cylinder)) - 0.3);
}

double drop_mm(double crank_deg) {
  const double side = 43.5 * std::sin(radians(crank_deg));
  return 43.5 + 152.0 - 43.5 * std::cos(radians(crank_deg)) - std::sqrt((152.0 - side) * (152.0 + side));
}

template <class Above>
double halved(double low, double high, Above above) { // where `above` turns from false at `low` to true at `high`
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    (above(middle) ? high : low) = middle;
  }
  return 0.5 * (low + high);
}

Fitted random_fitted(std::mt19937& random) {
  Fitted fitted;
  fitted.lay = whole_between(random, -1, 1);
  fitted.crank_key_deg = between(random, -4.0, 4.0);
  fitted.cam_key_deg = between(random, -3.0, 3.0);
  fitted.elongation_percent = between(random, 0.0, 1.5);
  fitted.centre_change_mm = between(random, -0.2, 0.1);
  return fitted;
}

// Farthest the camshaft swings from its tooth mean (crank degrees), looked up all round.
double ripple_deg(const Drive& drive) {
  double most_deg = 0.0;
  for (int i = 0; i < 7200; ++i) {
    const double crank_deg = 0.1 * i;
    const double lead_deg = 2.0 * degrees(drive.camshaft_rad(radians(crank_deg))) - crank_deg - drive.phase_deg();
    most_deg = std::fmax(most_deg, std::fabs(lead_deg));
  }
  return most_deg;
}

} // namespace

// Closed form and halving in place of the program's root finder: exactly through the drive's camshaft, and within the
// chain's ripple by cam = (crank + phase) / 2, which knows nothing of the chain.
TEST_CASE("events fall where the polynomial reaches the level", "[events]") {
  std::mt19937 random(30);
  for (int i = 0; i < 40; ++i) {
    const Mechanism mechanism = *Mechanism::assemble(small_engine(), random_fitted(random));
    const Drive& drive = mechanism.drive();
    const double ripple = ripple_deg(drive) + 1e-6;
    CHECK(ripple < 0.05);
    const Events events = *valve_events(mechanism);
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const KindEvents& found = kind == ValveKind::inlet ? *events.camshafts[0].inlet : *events.camshafts[0].exhaust;
      const double nose_deg = kind == ValveKind::inlet ? 106.0 : -110.0;
      for (const bool at_check : {true, false}) {
        const OpenSpan& span = at_check ? found.at_check : found.at_lash;
        const double level_mm = at_check ? 1.27 : 0.3 / 1.3;
        const auto lifted = [&](double crank_deg) {
          return law_mm(from_nose_deg(kind, degrees(drive.camshaft_rad(radians(crank_deg))), 1)) > level_mm;
        };
        const double mean_nose_deg = nose_deg - drive.phase_deg();
        const double opens_deg = halved(mean_nose_deg - 170.0, mean_nose_deg, lifted);
        const double closes_deg = halved(mean_nose_deg + 170.0, mean_nose_deg, lifted);
        CHECK_THAT(wrap_180(span.opens_deg - opens_deg), WithinAbs(0.0, 1e-9));
        CHECK_THAT(wrap_180(span.closes_deg - closes_deg), WithinAbs(0.0, 1e-9));
        CHECK_THAT(span.duration_deg, WithinAbs(closes_deg - opens_deg, 2e-9));
        const double half_deg = 2.0 * halved(82.5, 0.0, [&](double cam_deg) { return law_mm(cam_deg) > level_mm; });
        CHECK_THAT(wrap_180(span.opens_deg - (mean_nose_deg - half_deg)), WithinAbs(0.0, ripple));
        CHECK_THAT(wrap_180(span.closes_deg - (mean_nose_deg + half_deg)), WithinAbs(0.0, ripple));
      }
      CHECK_THAT(found.lift_at_tdc_mm, WithinAbs(lift_mm(kind, degrees(drive.camshaft_rad(0.0))), 1e-12));
      CHECK_THAT(found.centre_deg, WithinAbs(std::fabs(nose_deg - drive.phase_deg()), ripple));
    }
  }
}

TEST_CASE("valves and pistons of every cylinder move as the closed forms say", "[cycle]") {
  std::mt19937 random(31);
  static constexpr std::array later_deg{0.0, 540.0, 180.0, 360.0};
  for (int i = 0; i < 20; ++i) {
    const Mechanism mechanism = *Mechanism::assemble(small_engine(), random_fitted(random));
    for (int k = 0; k < 100; ++k) {
      const double crank_deg = between(random, -1000.0, 2000.0);
      const double camshaft_deg = degrees(mechanism.drive().camshaft_rad(radians(crank_deg)));
      const Pose pose = mechanism.pose(crank_deg);
      REQUIRE(pose.valves.size() == 8);
      REQUIRE(pose.pistons.size() == 4);
      for (const ValvePose& valve : pose.valves) {
        CHECK_THAT(valve.lift_mm, WithinAbs(lift_mm(valve.valve, camshaft_deg, valve.cylinder), 1e-11));
        CHECK(valve.lift_mm == mechanism.valve_lift_mm(valve.valve, valve.cylinder, crank_deg));
      }
      for (const PistonPose& piston : pose.pistons)
        CHECK_THAT(piston.drop_mm,
                   WithinAbs(drop_mm(crank_deg - later_deg[static_cast<std::size_t>(piston.cylinder - 1)]), 1e-11));
    }
  }
}

// Every hundredth of a degree of the cycle. The step leaves at most (0.005 deg)^2 / 2 of the gap's curvature, under
// 1e-6 mm. Phases reach from the valve meeting the piston to where it is nearest shut at dead centre.
TEST_CASE("the least clearance is that of a walk round the whole cycle", "[clearance]") {
  constexpr double closed_gap_mm = 4.5 + 0.35;
  const Mechanism mechanism = [] {
    Fitted fitted;
    fitted.elongation_percent = 0.9;
    fitted.centre_change_mm = -0.1;
    return *Mechanism::assemble(small_engine(), fitted);
  }();
  const ClearanceModel model = *ClearanceModel::make(mechanism, {});
  constexpr int looks = 72000;
  std::vector<double> camshaft_deg(looks), gap_mm(looks);
  for (std::size_t i = 0; i < looks; ++i) {
    const double crank_deg = 0.01 * static_cast<double>(i);
    camshaft_deg[i] = degrees(mechanism.drive().camshaft_rad(radians(crank_deg)));
    gap_mm[i] = closed_gap_mm + drop_mm(crank_deg);
  }
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    for (const double extra_deg : {-360.0, -130.0, -60.0, -20.0, -5.0, 0.0, 3.0, 18.95, 45.0, 75.0, 140.0, 300.0}) {
      INFO(to_word(kind) << " at " << extra_deg);
      double least_mm = 1e9;
      for (std::size_t i = 0; i < looks; ++i)
        least_mm = std::fmin(least_mm, gap_mm[i] - lift_mm(kind, camshaft_deg[i] + extra_deg / 2.0));
      const LeastClearance found = model.least(kind, extra_deg);
      CHECK_THAT(found.least_mm, WithinAbs(least_mm, 1e-5));
      CHECK(found.at_crank_deg >= 0.0);
      CHECK(found.at_crank_deg < 720.0);
      const double there_deg = degrees(mechanism.drive().camshaft_rad(radians(found.at_crank_deg))) + extra_deg / 2.0;
      CHECK_THAT(closed_gap_mm + drop_mm(found.at_crank_deg) - lift_mm(kind, there_deg),
                 WithinAbs(found.least_mm, 1e-11));
    }
  }
}

namespace {

Build random_build(std::mt19937& random) {
  Build build;
  build.fitted = random_fitted(random);
  build.target.phase_deg = between(random, -4.0, 4.0);
  // Limits near what the phases give, so that some options are safe and some not.
  build.target.min_clearance_inlet_mm = between(random, 2.0, 3.5);
  build.target.min_clearance_exhaust_mm = between(random, 2.0, 3.5);
  build.stock.crank_key_deg = {2.0, between(random, 0.5, 4.0)};
  build.stock.cam_key_deg = {0.0, between(random, 0.5, 3.0)};
  if (random() % 2 == 0) {
    // Counts of holes are the stock's, and go with what is fitted, as the file reader has it.
    build.stock.vernier = Vernier{whole_between(random, 6, 12), whole_between(random, 6, 13)};
    build.fitted.vernier = *build.stock.vernier;
    build.fitted.holes = {whole_between(random, 0, 1), whole_between(random, 0, 1)};
  }
  if (random() % 2 == 0) build.stock.slots_deg = {{-1.0, 1.5}};
  return build;
}

using OrderKey = std::tuple<bool, long long, int>;

OrderKey order_key(bool safe, double error_deg, int changes) {
  return {!safe, std::llround(std::fabs(error_deg) * 1e7), changes};
}

} // namespace

// Each option fitted and assembled for itself, clearance read off that very mechanism instead of the curve, and put in
// order by a sort of our own. Found: clearances at most 0.004 mm apart, as keys and wear move the chain's ripple. Where
// the valve only just comes nearer open than shut the curve has a corner, and half-degree steps cut it by about 0.01
// mm; the piston is farthest then.
TEST_CASE("a plan is what fitting every option in turn would show", "[plan]") {
  std::mt19937 random(32);
  const Engine engine = small_engine();
  constexpr double shut_mm = 4.5 + 0.35;
  double worst_phase_deg = 0.0, worst_mm = 0.0, worst_corner_mm = 0.0;
  int safe = 0, unsafe = 0;
  for (int i = 0; i < 8; ++i) {
    const Build build = random_build(random);
    const Result<Plan> plan = plan_corrections(engine, build, 1);
    REQUIRE(plan.ok());
    const Mechanism now = *Mechanism::assemble(engine, build.fitted);
    const ClearanceModel model = *ClearanceModel::make(now, build.measured);
    std::vector<OrderKey> planned, sorted;
    for (const PlanOption& option : plan->options) {
      const Fitted fitted = fitted_with(engine, *plan, option);
      const Mechanism then = *Mechanism::assemble(engine, fitted);
      worst_phase_deg = std::fmax(worst_phase_deg, std::fabs(option.phase_deg[0] - then.drive().phase_deg()));
      CHECK_THAT(option.error_deg[0], WithinAbs(option.phase_deg[0] - *build.target.phase_deg, 1e-12));
      const ClearanceModel moved = model.mounted_on(then);
      const ClearanceModel later = model.mounted_on(*Mechanism::assemble(engine, worn(engine, fitted)));
      const auto compare = [&](const ClearanceModel& exact, ValveKind kind, double read_mm, double limit_mm) {
        const double exact_mm = exact.least(kind).least_mm;
        double& worst = exact_mm < shut_mm - 0.1 ? worst_mm : worst_corner_mm;
        worst = std::fmax(worst, std::fabs(read_mm - exact_mm));
        return exact_mm >= limit_mm;
      };
      const double inlet_mm = build.target.min_clearance_inlet_mm, exhaust_mm = build.target.min_clearance_exhaust_mm;
      bool enough = compare(moved, ValveKind::inlet, option.now_mm[0], inlet_mm);
      enough &= compare(moved, ValveKind::exhaust, option.now_mm[1], exhaust_mm);
      enough &= compare(later, ValveKind::inlet, option.worn_mm[0], inlet_mm);
      enough &= compare(later, ValveKind::exhaust, option.worn_mm[1], exhaust_mm);
      CHECK(option.safe == enough);
      (enough ? safe : unsafe) += 1;
      const int changes =
          (option.cams[0].lay != build.fitted.lay) + (option.crank_key_deg != build.fitted.crank_key_deg) +
          (option.cams[0].cam_key_deg != build.fitted.cam_key_deg) + (option.cams[0].holes != build.fitted.holes) +
          (option.cams[0].slot_deg != build.fitted.slot_deg);
      planned.push_back(order_key(option.safe, option.error_deg[0], option.changes));
      sorted.push_back(order_key(enough, then.drive().phase_deg() - *build.target.phase_deg, changes));
    }
    std::ranges::stable_sort(sorted);
    CHECK(planned == sorted);
  }
  CHECK(worst_phase_deg < 1e-12);
  CHECK(worst_mm < 0.005);
  CHECK(worst_corner_mm < 0.015);
  CHECK(safe > 100);
  CHECK(unsafe > 100);
}

// What the trade counts on (common practice, no source): degrees at the cam are two at the crank, advance makes every
// event earlier, and a worn chain lets the cam fall back.
TEST_CASE("the trade's rules of thumb hold", "[phase]") {
  const Engine engine = small_engine();
  const auto phase = [&engine](auto fit) {
    Fitted fitted;
    fit(fitted);
    return Drive::phase_deg(engine, fitted);
  };
  CHECK_THAT(phase([](Fitted& f) { f.lay = 1; }), WithinAbs(360.0 / 19.0, 1e-12));
  CHECK_THAT(phase([](Fitted& f) { f.cam_key_deg = 3.0; }),
             WithinAbs(phase([](Fitted& f) { f.crank_key_deg = 6.0; }), 1e-12));
  CHECK(phase([](Fitted& f) { f.elongation_percent = 1.0; }) < 0.0);
  const auto closes_deg = [&engine](double crank_key_deg) {
    Fitted fitted;
    fitted.crank_key_deg = crank_key_deg;
    return (*valve_events(*Mechanism::assemble(engine, fitted))).camshafts[0].inlet->at_check.closes_deg;
  };
  CHECK(closes_deg(2.0) < closes_deg(0.0));
}
