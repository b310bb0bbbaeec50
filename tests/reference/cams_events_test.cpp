#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// The 4-5-6-7 polynomial by its powers, a row each `step_deg` cam degrees; `round_mm`: as printed on a maker's sheet.
LobeTable table_of(const LobePolynomial& lobe, double step_deg, double round_mm) {
  LobeTable table;
  const double flank_deg = lobe.duration_deg / 4.0;
  const int rows = static_cast<int>(std::ceil(flank_deg / step_deg));
  for (int i = -rows; i <= rows; ++i) {
    const double x = std::fmax(0.0, 1.0 - std::fabs(i * step_deg) / flank_deg);
    double lift_mm =
        lobe.lift_mm * (35 * std::pow(x, 4) - 84 * std::pow(x, 5) + 70 * std::pow(x, 6) - 20 * std::pow(x, 7));
    if (round_mm > 0.0) lift_mm = std::round(lift_mm / round_mm) * round_mm;
    table.cam_deg.push_back(i * step_deg);
    table.lift_mm.push_back(lift_mm);
  }
  return table;
}

struct Both {
  KindEvents inlet, exhaust;
  Events events;
};

Both events_of(const Engine& engine) {
  const Result<Mechanism> mechanism = Mechanism::assemble(engine, Fitted{});
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  const Result<Events> events = valve_events(*mechanism);
  INFO((events ? std::string() : to_text(events.problems())));
  REQUIRE(events.ok());
  return {*events->camshafts[0].inlet, *events->camshafts[0].exhaust, *events};
}

// Both lobes in rows.
Engine in_rows(Engine engine, double step_deg, double round_mm) {
  for (std::optional<ValveGear>* gear : {&engine.camshafts[0].inlet, &engine.camshafts[0].exhaust})
    (*gear)->lobe = table_of(std::get<LobePolynomial>((*gear)->lobe), step_deg, round_mm);
  return engine;
}

Engine engine_with_polynomials() {
  Engine engine = small_engine();
  engine.camshafts[0].inlet->base_radius_mm = engine.camshafts[0].exhaust->base_radius_mm = 24.0;
  return engine;
}

double apart_deg(double a, double b) {
  return std::fabs(std::remainder(a - b, 720.0));
}

} // namespace

TEST_CASE("a table each second cam degree has the events of the lobe it was taken from", "[events]") {
  const Engine engine = engine_with_polynomials();
  const Both closed = events_of(engine), rows = events_of(in_rows(engine, 2.0, 0.0));
  for (const auto& [a, b] : {std::pair{closed.inlet, rows.inlet}, std::pair{closed.exhaust, rows.exhaust}}) {
    CHECK_THAT(apart_deg(a.at_check.opens_deg, b.at_check.opens_deg), WithinAbs(0.0, 0.02));
    CHECK_THAT(apart_deg(a.at_check.closes_deg, b.at_check.closes_deg), WithinAbs(0.0, 0.02));
    CHECK_THAT(apart_deg(a.centre_crank_deg, b.centre_crank_deg), WithinAbs(0.0, 0.02));
    CHECK_THAT(a.centre_deg, WithinAbs(b.centre_deg, 0.02));
    CHECK_THAT(apart_deg(a.at_lash.opens_deg, b.at_lash.opens_deg), WithinAbs(0.0, 0.02));
    CHECK_THAT(apart_deg(a.at_lash.closes_deg, b.at_lash.closes_deg), WithinAbs(0.0, 0.02));
    CHECK_THAT(a.greatest_lift_mm, WithinAbs(b.greatest_lift_mm, 1e-5));
  }
}

// Rectangles every hundredth of a degree under the lesser lift, half way between: off by less than the square of that.
TEST_CASE("the overlap's area is the sum under the lesser lift", "[events]") {
  for (const double step_deg : {0.0, 2.0}) {
    const Engine engine =
        step_deg > 0.0 ? in_rows(engine_with_polynomials(), step_deg, 0.0) : engine_with_polynomials();
    const Mechanism mechanism = *Mechanism::assemble(engine, Fitted{});
    double sum = 0.0;
    for (int i = 0; i < 72000; ++i) {
      const double crank_deg = 0.01 * (i + 0.5);
      sum += 0.01 * std::fmin(mechanism.valve_lift_mm(ValveKind::inlet, 1, crank_deg),
                              mechanism.valve_lift_mm(ValveKind::exhaust, 1, crank_deg));
    }
    const Events events = *valve_events(mechanism);
    REQUIRE(events.overlap_area_mm_deg.has_value());
    CHECK(sum > 1.0);
    CHECK_THAT(*events.overlap_area_mm_deg, WithinAbs(sum, 1e-4));
  }
}

namespace {

// Of one lobe and its like as the other valve's, 1.3 to 1 with 0.3 mm of lash, centres 216 crank degrees apart.
struct Costs {
  double opens_deg = 0, at_lash_deg = 0, greatest_mm = 0, overlap_area = 0;
};

Costs costs(const LobeProfile& lobe) {
  constexpr double lash_tappet_mm = 0.3 / 1.3;
  Costs found;
  found.opens_deg = 2.0 * degrees(lobe.crossings_rad(1.27).value()[0]);
  found.at_lash_deg = 2.0 * degrees(lobe.crossings_rad(lash_tappet_mm).value()[0]);
  found.greatest_mm = 1.3 * (lobe.greatest_lift_mm() - lash_tappet_mm);
  for (int i = -18000; i < 18000; ++i) {
    const double cam_rad = radians(0.005 * (i + 0.5));
    const auto valve_mm = [&](double rad) { return std::fmax(0.0, 1.3 * (lobe.lift_mm(rad) - lash_tappet_mm)); };
    found.overlap_area += 0.01 * std::fmin(valve_mm(cam_rad - radians(54.0)), valve_mm(cam_rad + radians(54.0)));
  }
  return found;
}

} // namespace

// Prints what coarse and rounded tables cost; run by name: test_cams "[.table]". Of the lobe alone: rounded rows so
// near to each other may be refused under a flat face, as their spline's wrinkles undercut it.
TEST_CASE("what coarse and rounded tables cost", "[.table]") {
  const LobePolynomial polynomial{.lift_mm = 6.9, .duration_deg = 330.0, .rise_deg = {}};
  const Costs closed = costs(*LobeProfile::make(polynomial, "lobe"));
  std::printf(
      "4-5-6-7 lobe, 6.9 mm at the tappet over 330 crank degrees, check 1.27 mm, ratio 1.3, lash 0.3 mm, centres 108\n"
      "closed form: greatest lift %.4f mm, overlap area %.3f mm deg\n"
      "rows      cam deg  opens, crank deg  at lash, crank deg  greatest lift mm  overlap area mm deg\n",
      closed.greatest_mm, closed.overlap_area);
  int printed = 0;
  for (const double round_mm : {0.0, 0.001, 0.01})
    for (const double step_deg : {1.0, 2.0, 5.0, 10.0}) {
      const Costs rows = costs(*LobeProfile::make(table_of(polynomial, step_deg, round_mm), "lobe"));
      std::printf("%-8s  %7g  %+16.4f  %+18.4f  %+16.5f  %+19.4f\n",
                  round_mm == 0.0    ? "exact"
                  : round_mm < 0.005 ? "to 0.001"
                                     : "to 0.01",
                  step_deg, rows.opens_deg - closed.opens_deg, rows.at_lash_deg - closed.at_lash_deg,
                  rows.greatest_mm - closed.greatest_mm, rows.overlap_area - closed.overlap_area);
      ++printed;
    }
  CHECK(printed == 12);
}
