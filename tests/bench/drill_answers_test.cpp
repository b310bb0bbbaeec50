// One drill at a time: instruments, answers by few readings, cures, and what is told afterwards.
#include "bench/chain_count.hpp"
#include "bench/drill_bench.hpp"
#include "bench/drill_card.hpp"
#include "bench/drill_engines.hpp"
#include "bench/drill_judge.hpp"
#include "bench/drill_random.hpp"
#include "bench/drill_readings.hpp"
#include "geometry/angle.hpp"
#include "mechanics/events.hpp"

#include <algorithm>
#include <cmath>
#include <set>

using namespace phasewright;
using namespace phasewright::testing;
using Catch::Matchers::WithinAbs;

namespace {

DrillVerdict verdict(const Drill& drill, const NamedFaults& named, const TakenReadings& taken) {
  const Result<FaultsJudged> judged = judge_faults(drill, named, taken);
  INFO((judged ? judged->words : to_text(judged.problems())));
  REQUIRE(judged.ok());
  return judged->verdict;
}

} // namespace

TEST_CASE("the same seed and level give the same drill", "[drill]") {
  const DrillEngine on = single_cam();
  const DrillCourse course = course_of(on);
  std::set<std::string> unlike;
  for (std::uint64_t seed = 0; seed < 12; ++seed)
    for (int level = 1; level <= most_drill_level; ++level) {
      const Drill one = drawn(course, seed, level);
      const Result<Drill> other = draw_drill(on.engine, on.build, {seed, level});
      REQUIRE(other.ok());
      REQUIRE(one.truth->faults.size() == other->truth->faults.size());
      std::string words;
      for (std::size_t i = 0; i < one.truth->faults.size(); ++i) {
        CHECK(one.truth->faults[i].key == other->truth->faults[i].key);
        CHECK(one.truth->faults[i].amount == other->truth->faults[i].amount);
        words += one.truth->faults[i].words;
      }
      unlike.insert(words);
      const Measured a = careful_readings(one).measured;
      const Measured b = careful_readings(*other).measured;
      REQUIRE(a.lobe.size() == b.lobe.size());
      for (std::size_t i = 0; i < a.lobe.size(); ++i) CHECK(a.lobe[i].opens_deg == b.lobe[i].opens_deg);
      CHECK(a.stop_deg == b.stop_deg);
      CHECK(one.given.fitted == other->given.fitted);
      CHECK(one.handed_on == other->handed_on);
    }
  CHECK(unlike.size() > 20);
  for (const int level : {0, 5, -1}) CHECK_FALSE(course.draw({1, level}).ok());
}

TEST_CASE("a drill's random figures are even, and what they ever were", "[drill]") {
  // SplitMix64 started at 1234567 gives 6457827717110365317 first: its authors' test vector, from memory.
  CHECK(SplitMix64(1234567)() == 6457827717110365317u);
  // By the same rules with Python's whole numbers.
  DrillRandom again({7, 2, 1});
  for (const int expected : {901, 428, 782, 80, 431, 737, 826, 954}) CHECK(again.below(1000) == expected);
  CHECK(DrillRandom({7, 2, 1}).within(0.25) == 0.20090710543245022);
  DrillRandom random({7, 2, 1});
  std::array<int, 5> counts{};
  double least = 1.0;
  double most = -1.0;
  for (int i = 0; i < 50000; ++i) {
    ++counts[static_cast<std::size_t>(random.below(5))];
    const double within = random.within(0.25);
    least = std::min(least, within);
    most = std::max(most, within);
  }
  for (const int count : counts) CHECK(std::abs(count - 10000) < 500);
  CHECK(least >= -0.25);
  CHECK(least < -0.249);
  CHECK(most < 0.25);
  CHECK(most > 0.249);
  CHECK_THAT(DrillRandom({1}).stepped(0.2, 0.2, 0.05), WithinAbs(0.2, 0.0));
}

TEST_CASE("faults that an engine or a card cannot have are left out", "[drill]") {
  const DrillCourse bare_course = course_of(bare());
  const DrillCourse stages = course_of(two_stages());
  for (std::uint64_t seed = 0; seed < 60; ++seed)
    for (int level = 1; level <= most_drill_level; ++level) {
      const Drill drill = drawn(bare_course, seed, level);
      for (const DrillFault& fault : drill.faults()) CHECK(fault.kind != DrillKind::end_float);
      CHECK(drill.float_of.empty());
      const TakenReadings taken = careful_readings(drill);
      CHECK(taken.measured.clearance.empty());
      CHECK(taken.measured.float_mm.empty());
      // A key can be turned round or left out only where the card has an offset one.
      const bool any_key = drill.given.fitted.crank_key_deg != 0.0 || drill.given.fitted.cam_key_deg != 0.0;
      if (!any_key)
        for (const DrillFault& fault : drill.faults())
          CHECK((fault.kind != DrillKind::key_turned && fault.kind != DrillKind::key_left_out));
      CHECK(careful_readings(drawn(stages, seed, level)).measured.pins.empty());
    }
}

TEST_CASE("where a tooth would have the valves touch only a card with a key has a drill, and it is taken", "[drill]") {
  DrillEngine on = single_cam();
  Engine engine = *on.engine;
  engine.inlet_valve->closed_height_mm -= 1.7;
  engine.exhaust_valve->closed_height_mm -= 1.7;
  on.engine = std::make_shared<const Engine>(engine);
  on.build.target.min_clearance_inlet_mm = 0.5;
  on.build.target.min_clearance_exhaust_mm = 0.5;
  const DrillCourse course = course_of(on);
  for (std::uint64_t seed = 0; seed < 30; ++seed) {
    const Drill drill = drawn(course, seed, 1);
    CHECK(hides(drill, DrillKind::key_turned));
    const Result<Drill> alone = draw_drill(on.engine, on.build, {seed, 1});
    REQUIRE(alone.ok());
    CHECK(alone->truth->faults.front().words == drill.truth->faults.front().words);
  }
}

TEST_CASE("only readings of others can be wrong by how they were read", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  int without = 0;
  int other = 0;
  for (std::uint64_t seed = 0; seed < 80; ++seed)
    for (int level = 1; level <= most_drill_level; ++level) {
      const Drill drill = drawn(course, seed, level);
      const bool of_reading = hides(drill, DrillKind::wheel_slipped) || hides(drill, DrillKind::turned_back);
      if (of_reading) CHECK(drill.handed_on);
      if (drill.handed_on && !of_reading) ++other;
      CHECK(drill.handed_on == has_readings(drill.given.measured));
      CHECK(drill.given.measured.clearance.empty());
      without += drill.handed_on ? 0 : 1;
    }
  CHECK(other > 10); // so that they give nothing away
  CHECK(without > 100);
}

TEST_CASE("instruments read in their steps, and anew each time", "[drill]") {
  CHECK(step_of_limit(0.5) == 0.5);
  CHECK(step_of_limit(0.01) == 0.01);
  CHECK_THAT(step_of_limit(0.03), WithinAbs(0.02, 1e-15));
  CHECK_THAT(step_of_limit(2.0), WithinAbs(2.0, 1e-15));
  const Drill drill = drawn(course_of(single_cam()), 3, 1);
  const DrillBench bench(drill);
  std::set<double> wheel;
  for (int number = 0; number < 40; ++number) {
    const ReadingAt at{123.37, Turning::forward, number};
    const double deg = bench.wheel_deg(at);
    CHECK(bench.wheel_deg(at) == deg);
    CHECK(std::fabs(wrap_180(deg - 123.37 - drill.truth->wheel_zero_deg)) <= 0.5);
    CHECK(std::fmod(deg, 0.5) == 0.0);
    wheel.insert(deg);
  }
  CHECK(wheel.size() == 2); // one step or the next
  // The stop lets the crank no further than where it meets the piston, on both sides of TDC.
  for (const int rod : {0, 1}) {
    const auto [before, after] = bench.piston_stop(rod);
    CHECK(before < 0.0);
    CHECK(after > 0.0);
    CHECK_THAT(drill.truth->mechanism.slider_crank().drop_mm(before),
               WithinAbs(drill.truth->mechanism.slider_crank().drop_mm(after), 1e-9));
  }
}

TEST_CASE("turned back the camshaft hangs behind, and the indicator shows it", "[drill]") {
  const Drill drill = drawn(course_of(single_cam()), 3, 1);
  const DrillBench bench(drill);
  const Mechanism& real = drill.truth->mechanism;
  const std::optional<OpenSpan> span = open_span(real, ValveKind::inlet, 1, 3.0, LiftedAt::tappet);
  REQUIRE(span.has_value());
  const double flank_deg = span->opens_deg;
  const double forward = bench.indicator_mm(ValveKind::inlet, 1, CheckAt::tappet, {flank_deg, Turning::forward, 1});
  const double backward = bench.indicator_mm(ValveKind::inlet, 1, CheckAt::tappet, {flank_deg, Turning::backward, 1});
  CHECK_THAT(forward, WithinAbs(3.0, 0.0101));
  const HangBack hang = real.drive().hang_back(flank_deg);
  REQUIRE(hang.crank_deg > 0.5);
  const std::optional<OpenSpan> back =
      open_span(real, ValveKind::inlet, 1, backward, LiftedAt::tappet, Turning::backward);
  REQUIRE(back.has_value());
  CHECK(backward > forward + 0.02);
  CHECK(std::fabs(wrap_180(back->opens_deg - flank_deg)) < 0.3); // the indicator's step on that flank
}

TEST_CASE("lash, gap, float and pins are those of the engine as it is", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  const Drill drill = first_hiding(course, 2, DrillKind::lash);
  const DrillBench bench(drill);
  const ValveKind kind = drill.truth->faults[0].of == to_word(ValveKind::inlet) ? ValveKind::inlet : ValveKind::exhaust;
  CHECK_THAT(bench.lash_mm(kind, 1, {360.0, Turning::forward, 1}), WithinAbs(drill.truth->faults[0].amount, 0.02));
  CHECK(bench.lash_mm(ValveKind::inlet, 1, {106.0, Turning::forward, 1}) == 0.0); // its lobe lifts it
  CHECK(bench.indicator_mm(ValveKind::inlet, 1, CheckAt::valve, {360.0, Turning::forward, 1}) < 0.011);

  const Drill off = first_hiding(course, 2, DrillKind::sprocket_off);
  const double behind_mm = off.truth->behind_mm;
  const DrillBench at_sprocket(off);
  const std::string under = behind_mm > 0.0 ? "crank" : "cam";
  CHECK_THAT(at_sprocket.gap_mm(under, Edge::near_edge, 4), WithinAbs(std::fabs(behind_mm), 0.0201));
  CHECK(at_sprocket.gap_mm(behind_mm > 0.0 ? "cam" : "crank", Edge::near_edge, 4) <= 0.02);

  const Drill laid = first_hiding(course, 1, DrillKind::lay);
  const DrillBench counting(laid);
  const std::optional<MarkCount> count = counting.count_at("cam");
  REQUIRE(count.has_value());
  CHECK(counting.pins("cam", (count->from_crank_deg + count->to_crank_deg) / 2.0) == count->pins);
  CHECK_FALSE(counting.pins("cam", count->from_crank_deg - 3.0).has_value());
  const std::optional<LayFromCount> lay = lay_from_count(laid.engine(), laid.given.fitted, "cam", count->pins);
  REQUIRE(lay.has_value());
  CHECK(lay->lay == lay_of(laid.truth->mechanism.fitted(), "cam"));
}

TEST_CASE("what few readings leave open is not scored as if it was known", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  const Drill drill = first_hiding(course, 1, DrillKind::lay);
  const TakenReadings all = careful_readings(drill);
  const NamedFaults truth = true_faults(drill);
  TakenReadings taken;
  // Nothing read: anything may be.
  CHECK(verdict(drill, truth, taken) == DrillVerdict::not_told_yet);
  CHECK(verdict(drill, {}, taken) == DrillVerdict::not_told_yet);
  CHECK(verdict(drill, {"inlet lash"}, taken) == DrillVerdict::not_told_yet);
  // By lobes alone a tooth, a wheel that moved and a camshaft that is off are the same.
  taken.measured.stop_deg = all.measured.stop_deg;
  for (const LobeReading& reading : all.measured.lobe)
    if (reading.at == CheckAt::tappet) taken.measured.lobe.push_back(reading);
  for (const NamedFaults& alike : {truth, NamedFaults{"wheel moved"}, NamedFaults{"camshaft off"}})
    CHECK(verdict(drill, alike, taken) == DrillVerdict::not_told_yet);
  CHECK(verdict(drill, {}, taken) == DrillVerdict::wrong);
  CHECK(verdict(drill, {"read turning back"}, taken) == DrillVerdict::wrong);
  // The count of pins tells.
  taken.measured.pins = all.measured.pins;
  CHECK(verdict(drill, truth, taken) == DrillVerdict::right);
  for (const NamedFaults& other : {NamedFaults{"wheel moved"}, NamedFaults{"camshaft off"}})
    CHECK(verdict(drill, other, taken) == DrillVerdict::wrong);
}

TEST_CASE("a key the wrong way round is not told from a camshaft that is off as much", "[drill]") {
  const Drill drill = first_hiding(course_of(single_cam()), 1, DrillKind::key_turned);
  const TakenReadings all = careful_readings(drill);
  for (const NamedFaults& alike : {true_faults(drill), NamedFaults{"camshaft off"}})
    CHECK(verdict(drill, alike, all) == DrillVerdict::as_far_as_told);
}

TEST_CASE("an answer that is none is refused", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  const auto refused = [](const Drill& drill, const NamedFaults& named, const std::string& said) {
    const Result<FaultsJudged> judged = judge_faults(drill, named);
    REQUIRE_FALSE(judged.ok());
    INFO(to_text(judged.problems()));
    CHECK(to_text(judged.problems()).find(said) != std::string::npos);
    CHECK_FALSE(judge_cure(drill, named, as_the_card(drill)).ok());
  };
  refused(drawn(course, 1, 1), {"tappets made of cheese"}, "answer: found \"tappets made of cheese\"");
  refused(drawn(course, 1, 2), {"inlet lash", "exhaust lash"}, "found 2 faults, allowed 1 at most");
  refused(drawn(course, 1, 4), {"inlet lash", "inlet lash"}, "two that can be at once");
  refused(drawn(course, 1, 4), {"chain one tooth back", "chain one tooth forward"}, "two that can be at once");
  refused(drawn(course, 1, 4), {key_proud, key_tilted}, "two that can be at once");
}

TEST_CASE("an explainer by some of the readings is that of a layout with these alone", "[explain]") {
  const Drill drill = drawn(course_of(single_cam()), 1, 1);
  const DrillCard& card = *drill.card;
  std::vector<OneReading> some{{ReadingOf::stop, 0}, {ReadingOf::stop, 1}, {ReadingOf::lobe, 0}, {ReadingOf::pins, 0}};
  Measured layout;
  layout.stop_deg = card.layout.stop_deg;
  layout.lobe = {card.layout.lobe[0]};
  layout.pins = card.layout.pins;
  const Result<Explainer> made =
      Explainer::make(drill.engine(), drill.given.fitted, layout, drill.given.instruments, drill.given.tolerances);
  REQUIRE(made.ok());
  const Explainer cut = card.explainer.by_only(some);
  for (const std::string& fault : made->faults()) {
    INFO(fault);
    CHECK_THAT(cut.apart({{fault, 1.0}}, {}), WithinAbs(made->apart({{fault, 1.0}}, {}), 1e-6));
    CHECK_THAT(cut.apart({{fault, 1.0}}, {{fault, {}}}), WithinAbs(0.0, 1e-6));
  }
  // The wheel's own range from where it shows on: as far either way.
  const std::vector<AmountRange> wheel = card.explainer.shown_from("wheel moved", 4.0);
  REQUIRE(wheel.size() == 2);
  CHECK_THAT(wheel[0][0], WithinAbs(-20.0, 1e-12));
  CHECK_THAT(wheel[1][1], WithinAbs(20.0, 1e-12));
  CHECK(wheel[0][1] < -0.5);
  CHECK(wheel[1][0] > 0.5);
  for (const AmountRange& range : wheel)
    for (const double deg : range) CHECK(card.explainer.apart({{"wheel moved", deg}}, {}) >= 4.0);
  CHECK(card.explainer.apart({{"wheel moved", 0.0}}, {{"wheel moved", wheel}}) >= 4.0 - 1e-9);
}
