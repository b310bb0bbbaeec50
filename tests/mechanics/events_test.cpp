#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::mirrored;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

Events events_of(const Engine& engine, const Fitted& fitted = {}) {
  const Mechanism mechanism = *Mechanism::assemble(engine, fitted);
  Result<Events> events = valve_events(mechanism);
  REQUIRE(events.ok());
  return *events;
}

// The chain's polygon effect moves an event by this much at most on 19/38 teeth (crank degrees; its peak-to-peak is
// 0.02 cam degrees in the exact strand kinematics).
constexpr double ripple_deg = 0.03;

} // namespace

TEST_CASE("in the reference assembly the card holds", "[events]") {
  const Events events = events_of(small_engine());
  REQUIRE(events.camshafts.size() == 1);
  CHECK_THAT(events.camshafts[0].inlet->centre_deg, WithinAbs(106.0, ripple_deg));
  CHECK_THAT(events.camshafts[0].exhaust->centre_deg, WithinAbs(110.0, ripple_deg));
  CHECK_THAT(events.camshafts[0].exhaust->centre_crank_deg, WithinAbs(610.0, ripple_deg));
  CHECK_THAT(*events.separation_deg, WithinAbs(108.0, ripple_deg));
  CHECK_THAT(events.camshafts[0].inlet->greatest_lift_mm, WithinAbs(6.9 * 1.3 - 0.3, 1e-12));
}

namespace {

// Second method: the law itself solved for a tappet lift by halving, the cam taken at half the crank's angle. Crank
// degrees from the lobe's centre to either side.
double half_width_deg(double level_mm) {
  double low = 0.0, high = 82.5;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    const double x = 1.0 - middle / 82.5;
    const double lift = 6.9 * (35 * std::pow(x, 4) - 84 * std::pow(x, 5) + 70 * std::pow(x, 6) - 20 * std::pow(x, 7));
    (lift > level_mm ? low : high) = middle;
  }
  return 2.0 * low;
}

} // namespace

TEST_CASE("events are where the law reaches the check lift", "[events]") {
  const Events events = events_of(small_engine());
  const KindEvents& inlet = *events.camshafts[0].inlet;
  const double check_deg = half_width_deg(1.27);
  CHECK_THAT(inlet.at_check.duration_deg, WithinAbs(2.0 * check_deg, 2.0 * ripple_deg));
  CHECK_THAT(inlet.at_check.opens_deg, WithinAbs(wrap_720(106.0 - check_deg), ripple_deg));
  CHECK_THAT(inlet.at_check.closes_deg, WithinAbs(106.0 + check_deg, ripple_deg));
  const double lash_deg = half_width_deg(0.3 / 1.3);
  CHECK_THAT(inlet.at_lash.closes_deg, WithinAbs(106.0 + lash_deg, ripple_deg));
  const KindEvents& exhaust = *events.camshafts[0].exhaust;
  CHECK_THAT(*events.overlap_deg, WithinAbs(2.0 * check_deg - 216.0, 2.0 * ripple_deg));
  CHECK_THAT(exhaust.at_lash.opens_deg, WithinAbs(610.0 - lash_deg, ripple_deg));
}

TEST_CASE("at its events the valve train has the very lift", "[events]") {
  Engine engine = small_engine();
  for (const CheckAt check_at : {CheckAt::tappet, CheckAt::valve}) {
    engine.camshafts[0].check_at = check_at;
    const Mechanism mechanism = *Mechanism::assemble(engine, {});
    const Events events = *valve_events(mechanism);
    const double at_valve_mm = check_at == CheckAt::valve ? 1.27 : 1.27 * 1.3 - 0.3;
    for (const std::optional<KindEvents>& of : {events.camshafts[0].inlet, events.camshafts[0].exhaust}) {
      CHECK_THAT(mechanism.valve_lift_mm(of->kind, 1, of->at_check.opens_deg), WithinAbs(at_valve_mm, 1e-9));
      CHECK_THAT(mechanism.valve_lift_mm(of->kind, 1, of->at_check.closes_deg), WithinAbs(at_valve_mm, 1e-9));
      CHECK_THAT(mechanism.valve_lift_mm(of->kind, 1, of->at_lash.opens_deg), WithinAbs(0.0, 1e-9));
      CHECK(mechanism.valve_lift_mm(of->kind, 1, of->at_lash.opens_deg + 1.0) > 0.0);
      CHECK(mechanism.valve_lift_mm(of->kind, 1, of->at_lash.closes_deg + 1.0) == 0.0);
    }
  }
}

TEST_CASE("phase moves every event by itself", "[events]") {
  Fitted fitted;
  fitted.crank_key_deg = 4.0;
  const Events card = events_of(small_engine());
  const Events advanced = events_of(small_engine(), fitted);
  CHECK_THAT(advanced.camshafts[0].inlet->centre_deg, WithinAbs(102.0, ripple_deg));
  CHECK_THAT(advanced.camshafts[0].exhaust->centre_deg, WithinAbs(114.0, ripple_deg));
  CHECK_THAT(advanced.camshafts[0].inlet->at_check.closes_deg,
             WithinAbs(card.camshafts[0].inlet->at_check.closes_deg - 4.0, 2.0 * ripple_deg));
  CHECK(advanced.camshafts[0].inlet->lift_at_tdc_mm > card.camshafts[0].inlet->lift_at_tdc_mm);
  CHECK(advanced.camshafts[0].exhaust->lift_at_tdc_mm < card.camshafts[0].exhaust->lift_at_tdc_mm);
}

TEST_CASE("other cylinders have the same events, later by the firing order", "[events]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  const KindEvents first = *(*valve_events(mechanism, 1)).camshafts[0].inlet;
  const KindEvents third = *(*valve_events(mechanism, 3)).camshafts[0].inlet;
  CHECK_THAT(third.at_check.closes_deg, WithinAbs(first.at_check.closes_deg + 180.0, 2.0 * ripple_deg));
  CHECK_THAT(third.centre_deg, WithinAbs(106.0, 2.0 * ripple_deg));
}

// Four cylinders firing 1-3-4-2, each a half turn after the one before; the same engine built the other way round.
TEST_CASE("every cylinder of either rotation has the events of the law", "[events]") {
  const double check_deg = half_width_deg(1.27);
  const double lash_deg = half_width_deg(0.3 / 1.3);
  const int order[4] = {1, 3, 4, 2};
  const Mechanism clockwise = *Mechanism::assemble(small_engine(), {});
  const Mechanism anticlockwise = *Mechanism::assemble(mirrored(small_engine()), {});
  for (int i = 0; i < 4; ++i) {
    const double tdc_deg = 180.0 * i;
    const Events one = *valve_events(clockwise, order[i]);
    const Events other = *valve_events(anticlockwise, order[i]);
    for (const Events& events : {one, other}) {
      const KindEvents& inlet = *events.camshafts[0].inlet;
      const KindEvents& exhaust = *events.camshafts[0].exhaust;
      CHECK_THAT(wrap_720(inlet.at_check.opens_deg - tdc_deg), WithinAbs(wrap_720(106.0 - check_deg), ripple_deg));
      CHECK_THAT(wrap_720(inlet.at_check.closes_deg - tdc_deg), WithinAbs(106.0 + check_deg, ripple_deg));
      CHECK_THAT(wrap_720(inlet.at_lash.closes_deg - tdc_deg), WithinAbs(106.0 + lash_deg, ripple_deg));
      CHECK_THAT(wrap_720(exhaust.at_check.opens_deg - tdc_deg), WithinAbs(610.0 - check_deg, ripple_deg));
      CHECK_THAT(wrap_720(exhaust.at_lash.closes_deg - tdc_deg), WithinAbs(610.0 + lash_deg - 720.0, ripple_deg));
      CHECK_THAT(inlet.centre_deg, WithinAbs(106.0, ripple_deg));
      CHECK_THAT(exhaust.centre_deg, WithinAbs(110.0, ripple_deg));
      CHECK_THAT(*events.separation_deg, WithinAbs(108.0, ripple_deg));
      CHECK_THAT(*events.overlap_deg, WithinAbs(2.0 * check_deg - 216.0, 2.0 * ripple_deg));
    }
    CHECK_THAT(other.camshafts[0].inlet->at_check.opens_deg,
               WithinAbs(one.camshafts[0].inlet->at_check.opens_deg, 1e-9));
    CHECK_THAT(*other.overlap_area_mm_deg, WithinAbs(*one.overlap_area_mm_deg, 1e-6));
  }
}

// Second method: the lesser lift summed every thousandth of a degree over half a turn about overlap TDC. The rule of
// trapezia is good to h^2 / 12 times the change of slope there, and h^2 / 8 times its step where the lifts cross.
TEST_CASE("the overlap area is that under the lesser lift", "[events]") {
  const auto summed_mm_deg = [](const Mechanism& mechanism, double tdc_deg, int cylinder) {
    constexpr int steps_per_deg = 1000;
    double sum = 0.0;
    for (int i = -90 * steps_per_deg; i < 90 * steps_per_deg; ++i) {
      const double deg = tdc_deg + static_cast<double>(i) / steps_per_deg;
      sum += std::fmin(mechanism.valve_lift_mm(ValveKind::inlet, cylinder, deg),
                       mechanism.valve_lift_mm(ValveKind::exhaust, cylinder, deg));
    }
    return sum / steps_per_deg;
  };
  const Mechanism four = *Mechanism::assemble(small_engine(), {});
  CHECK_THAT(*valve_events(four, 1)->overlap_area_mm_deg, WithinAbs(summed_mm_deg(four, 0.0, 1), 1e-6));
  CHECK_THAT(*valve_events(four, 4)->overlap_area_mm_deg, WithinAbs(summed_mm_deg(four, 360.0, 4), 1e-6));
  CHECK(*valve_events(four)->overlap_area_mm_deg > 10.0);
  Fitted fitted;
  fitted.cam_key_of = {{"inlet", 3.0}};
  const Mechanism twin = *Mechanism::assemble(mirrored(overhead_engine()), fitted);
  CHECK_THAT(*valve_events(twin)->overlap_area_mm_deg, WithinAbs(summed_mm_deg(twin, 0.0, 1), 1e-6));
  Engine apart = small_engine();
  apart.camshafts[0].inlet->centre_deg = 155.0;
  apart.camshafts[0].exhaust->centre_deg = 155.0;
  apart.camshafts[0].inlet->lash_mm = apart.camshafts[0].exhaust->lash_mm = 1.5;
  const Events none = events_of(apart);
  CHECK(*none.overlap_at_lash_deg < 0.0);
  CHECK(*none.overlap_area_mm_deg == 0.0);
}

TEST_CASE("events can be had at any lift, at tappet or valve", "[events]") {
  const Mechanism mechanism = *Mechanism::assemble(small_engine(), {});
  for (const double lift_mm : {0.05, 1.0, 4.0}) {
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const OpenSpan at_valve = *open_span(mechanism, kind, 2, lift_mm, LiftedAt::valve);
      CHECK_THAT(mechanism.valve_lift_mm(kind, 2, at_valve.opens_deg), WithinAbs(lift_mm, 1e-9));
      CHECK_THAT(mechanism.valve_lift_mm(kind, 2, at_valve.closes_deg), WithinAbs(lift_mm, 1e-9));
      const OpenSpan at_tappet = *open_span(mechanism, kind, 2, (lift_mm + 0.3) / 1.3, LiftedAt::tappet);
      CHECK_THAT(at_tappet.duration_deg, WithinAbs(at_valve.duration_deg, 1e-8));
    }
  }
  CHECK_FALSE(open_span(mechanism, ValveKind::inlet, 1, 9.0, LiftedAt::valve).has_value());
  CHECK(open_span(mechanism, ValveKind::inlet, 1, 8.6, LiftedAt::valve).has_value());
}

TEST_CASE("a check lift or lash that the lobe never reaches is refused", "[events]") {
  Engine engine = small_engine();
  engine.camshafts[0].check_lift_mm = 8.0;
  const Result<Events> check = valve_events(*Mechanism::assemble(engine, {}));
  REQUIRE_FALSE(check.ok());
  CHECK(to_text(check.problems()[0]) ==
        "camshaft[1].check_lift_mm: found 8 mm, allowed less than 6.900 mm, the inlet's greatest lift");
  engine = small_engine();
  engine.camshafts[0].exhaust->lash_mm = 9.5;
  const Result<Events> lash = valve_events(*Mechanism::assemble(engine, {}));
  REQUIRE_FALSE(lash.ok());
  CHECK(to_text(lash.problems()[0]) ==
        "camshaft[1].exhaust.lash_mm: found 9.5 mm, allowed less than 8.970 mm; the valve would never open");
}

// The trade counts inlet opening before TDC, closing after BDC, exhaust opening before BDC, closing after TDC (SAE J604
// usage; from memory).
TEST_CASE("events are told by the trade's dead centres", "[events]") {
  CHECK(event_words(EventKind::inlet_opens, 715.9) == "4.1° BTDC");
  CHECK(event_words(EventKind::inlet_opens, 3.0) == "3.0° ATDC");
  CHECK(event_words(EventKind::inlet_opens, 0.0) == "0.0° BTDC");
  CHECK(event_words(EventKind::inlet_closes, 222.0) == "42.0° ABDC");
  CHECK(event_words(EventKind::inlet_closes, 170.0) == "10.0° BBDC");
  CHECK(event_words(EventKind::exhaust_opens, 484.0) == "56.0° BBDC");
  CHECK(event_words(EventKind::exhaust_closes, 8.0) == "8.0° ATDC");
  CHECK(event_words(EventKind::exhaust_closes, 719.0) == "1.0° BTDC");
  CHECK_THAT(event_figure_deg(EventKind::inlet_opens, 715.9), WithinAbs(4.1, 1e-9));
  CHECK_THAT(event_figure_deg(EventKind::exhaust_opens, 550.0), WithinAbs(-10.0, 1e-9));
}

// The lobe centre is the middle of the nose by equal lifts (common practice, no source), wherever the nose itself lies.
TEST_CASE("an asymmetric lobe has the card's centre by equal lifts", "[events]") {
  Engine engine = small_engine();
  LobeTable table;
  for (int deg = -70; deg <= 90; ++deg) {
    const double x = 1.0 - std::fabs(deg / (deg < 0 ? 70.0 : 90.0));
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(6.9 * std::pow(x, 4) * (35.0 - 84.0 * x + 70.0 * x * x - 20.0 * x * x * x));
  }
  engine.camshafts[0].inlet->lobe = table;
  engine.camshafts[0].inlet->base_radius_mm = 35.0;
  for (const CheckAt check_at : {CheckAt::tappet, CheckAt::valve}) {
    engine.camshafts[0].check_at = check_at;
    const KindEvents inlet = *events_of(engine).camshafts[0].inlet;
    CHECK_THAT(inlet.centre_deg, WithinAbs(106.0, ripple_deg));
    // The nose comes sooner than the middle: the closing flank is the longer one.
    CHECK(inlet.nose_deg < 100.0);
    CHECK(inlet.nose_deg == inlet.greatest_at_deg);
    const Mechanism mechanism = *Mechanism::assemble(engine, {});
    const double nose_mm = mechanism.valve_lift_mm(ValveKind::inlet, 1, inlet.greatest_at_deg);
    CHECK_THAT(nose_mm, WithinAbs(inlet.greatest_lift_mm, 1e-9));
    for (double deg = 0.0; deg < 720.0; deg += 0.25)
      CHECK(mechanism.valve_lift_mm(ValveKind::inlet, 1, deg) <= nose_mm + 1e-9);
  }
  const KindEvents exhaust = *events_of(small_engine()).camshafts[0].exhaust;
  CHECK_THAT(exhaust.nose_deg, WithinAbs(exhaust.centre_deg, ripple_deg));
  CHECK_THAT(exhaust.greatest_at_deg, WithinAbs(720.0 - exhaust.nose_deg, 1e-9));
}

// Two camshafts at 106 ATDC and 110 BTDC: the key of one moves its own valves only, by twice its angle.
TEST_CASE("each valve's events are those of its own camshaft", "[events]") {
  Fitted fitted;
  fitted.cam_key_of = {{"inlet", 3.0}};
  const Events events = *valve_events(*Mechanism::assemble(overhead_engine(), fitted));
  REQUIRE(events.camshafts.size() == 2);
  CHECK(events.camshafts[0].name == "exhaust");
  CHECK_FALSE(events.camshafts[0].inlet.has_value());
  CHECK_FALSE(events.camshafts[1].exhaust.has_value());
  constexpr double ripple_deg = 0.1;
  CHECK_THAT(events.camshafts[0].exhaust->centre_deg, WithinAbs(110.0, ripple_deg));
  CHECK_THAT(events.camshafts[1].inlet->centre_deg, WithinAbs(100.0, ripple_deg));
  CHECK_THAT(*events.separation_deg, WithinAbs(105.0, ripple_deg));
}
