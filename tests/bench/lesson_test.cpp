// How a lesson's step is judged, and what the quantities come to.
#include "bench/lesson.hpp"

#include "geometry/angle.hpp"
#include "parts/viewer_words.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

using Q = LessonQuantity;

// A bench with what is needed to take a moment of it.
struct Bench {
  Build build;
  Mechanism fitted;
  Mechanism planned;
  LessonMoment moment;

  explicit Bench(const Fitted& on = {}, const Fitted& tried = {})
      : fitted(Mechanism::assemble(small_engine(), on).value()), planned(fitted.refitted(tried).value()) {
    build.fitted = on;
    moment.fitted = &fitted;
    moment.planned = &planned;
    moment.build = &build;
    moment.page = "degree";
    moment.view = "end";
    moment.shown = "both";
  }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  [[nodiscard]] double figure(Q what, bool of_plan = false, int cylinder = 1) const {
    const QuantityRead read = read_quantity(moment, {what, of_plan, "", cylinder});
    INFO(row_of(what).name << ": " << read.why_not);
    REQUIRE(read.figure.has_value());
    return *read.figure;
  }
  [[nodiscard]] std::string word(Q what, bool of_plan = false, int cylinder = 1) const {
    return read_quantity(moment, {what, of_plan, "", cylinder}).word;
  }
};

LessonCondition near(Q what, double figure, double within) {
  LessonCondition condition;
  condition.what = what;
  condition.near = figure;
  condition.within = within;
  return condition;
}

LessonCondition least(Q what, double figure) {
  LessonCondition condition;
  condition.what = what;
  condition.least = figure;
  return condition;
}

LessonCondition is(Q what, const char* word) {
  LessonCondition condition;
  condition.what = what;
  condition.is = word;
  return condition;
}

} // namespace

TEST_CASE("every quantity of the table stands at its place and is worked out", "[lesson]") {
  Bench bench;
  bench.build.measured.stop_deg = {{-48, 48}};
  bench.build.measured.lobe = {{ValveKind::inlet, 1, 5, {}, 48, 164}, {ValveKind::exhaust, 1, 5, {}, 555, 665}};
  bench.build.measured.gap = GapReading{0.4, 0.4, "crank"};
  bench.build.measured.float_mm = {0.1, 0.1};
  bench.build.measured.plate_mm = 4.0;
  bench.build.measured.boss_mm = 4.1;
  std::size_t place = 0;
  for (const LessonQuantityRow& row : lesson_quantities()) {
    INFO(row.name);
    CHECK(static_cast<std::size_t>(row.quantity) == place++);
    CHECK(find_lesson_quantity(row.name) == &row);
    CHECK_FALSE(row.meaning.empty());
    const QuantityRead read = read_quantity(bench.moment, {row.quantity, false, "", 1});
    INFO(read.why_not);
    CHECK(read.figure.has_value() == row.words.empty());
    if (!row.words.empty()) CHECK(std::ranges::find(row.words, read.word) != row.words.end());
  }
  CHECK(find_lesson_quantity("lift") == nullptr);
}

TEST_CASE("what cannot be told says why, and meets no condition", "[lesson]") {
  const Bench bench;
  for (const Q what : {Q::tdc_correction_deg, Q::tdc_off_deg, Q::inlet_centre_read_deg, Q::phase_read_deg, Q::gap_mm,
                       Q::end_float_mm, Q::float_by_parts_mm}) {
    INFO(row_of(what).name);
    const QuantityRead read = read_quantity(bench.moment, {what, false, "", 1});
    CHECK_FALSE(read.known());
    CHECK_FALSE(read.why_not.empty());
    LessonCondition condition = least(what, -1e9);
    CHECK_FALSE(judge_condition(condition, {}, bench.moment).met);
  }
  CHECK(bench.word(Q::alignment) == "unread");
  CHECK(bench.word(Q::end_float) == "unread");
}

TEST_CASE("strokes, pistons and the camshaft's half speed are those of a four-stroke engine", "[lesson]") {
  Bench bench;
  // Firing order 1-3-4-2, even firing: No. 3 is half a turn behind No. 1.
  struct At {
    double crank_deg;
    const char* first;
    const char* third;
  };
  for (const At& at : {At{90, "inlet", "exhaust"}, At{270, "compression", "inlet"}, At{450, "power", "compression"},
                       At{630, "exhaust", "power"}, At{-90, "exhaust", "power"}, At{719.999, "exhaust", "power"}}) {
    bench.moment.crank.crank_deg = at.crank_deg;
    CHECK(bench.word(Q::stroke) == at.first);
    CHECK(bench.word(Q::stroke, false, 3) == at.third);
  }
  // Piston: throw and rod at right angles to one another, by Pythagoras.
  const double throw_mm = 43.5;
  const double rod_mm = 152.0;
  bench.moment.crank.crank_deg = degrees(std::atan(rod_mm / throw_mm));
  CHECK_THAT(bench.figure(Q::piston_drop_mm), WithinAbs(throw_mm + rod_mm - std::hypot(throw_mm, rod_mm), 1e-9));
  bench.moment.turns.began_crank_deg = 0;
  bench.moment.crank.crank_deg = 720;
  CHECK_THAT(bench.figure(Q::camshaft_turned_deg), WithinAbs(360, 1e-9));
}

TEST_CASE("the turns since the step began are counted each way", "[lesson]") {
  Bench bench;
  LessonTurns turns{100, 0, 0};
  turns = turned_on(turns, 100, 130);
  turns = turned_on(turns, 130, 90);
  turns = turned_on(turns, 90, 95);
  bench.moment.turns = turns;
  CHECK(bench.figure(Q::turned_forward_deg) == 35);
  CHECK(bench.figure(Q::turned_back_deg) == 40);
  CHECK(bench.figure(Q::crank_turned_deg) == -5);
}

TEST_CASE("turned back, the quantities are those of a drive that hangs behind", "[lesson]") {
  Fitted worn;
  worn.elongation_percent = 0.9;
  Bench bench(worn, worn);
  bench.moment.crank = {100, Turning::forward, 0};
  CHECK(bench.word(Q::taut_side) == "right"); // clockwise: the crank pulls down what comes to its right side
  CHECK(bench.figure(Q::hang_back_deg) == 0);
  const double forward_mm = bench.figure(Q::inlet_tappet_mm);
  const double here_deg = bench.figure(Q::phase_here_deg);
  bench.moment.crank = turned(bench.fitted, {120, Turning::forward, 0}, -20);
  CHECK(bench.word(Q::turning) == "backward");
  CHECK(bench.word(Q::taut_side) == "left");
  const double behind_deg = bench.figure(Q::hang_back_deg);
  CHECK(behind_deg > 2);
  CHECK_THAT(bench.figure(Q::phase_here_deg) - here_deg, WithinAbs(behind_deg, 1e-6));
  // So the tappet stands where it would stand so much further on.
  CHECK(std::fabs(bench.figure(Q::inlet_tappet_mm) - forward_mm) > 1e-3);
  bench.moment.crank = turned(bench.fitted, {120, Turning::forward, 0}, 0);
  CHECK(bench.word(Q::turning) == "forward");
}

TEST_CASE("a tooth, a crank key and a cam key move the plan by what they are worth", "[lesson]") {
  Fitted tried;
  tried.lay = 1;
  const Bench tooth({}, tried);
  // 38 teeth on a sprocket that turns once in 720 crank degrees.
  CHECK_THAT(tooth.figure(Q::tooth_deg), WithinAbs(720.0 / 38, 1e-12));
  CHECK_THAT(tooth.figure(Q::phase_deg, true), WithinAbs(720.0 / 38, 1e-9));
  CHECK(tooth.figure(Q::phase_deg) == 0);
  CHECK(tooth.figure(Q::lay, true) == 1);
  CHECK_THAT(tooth.figure(Q::inlet_opens_deg, true) - tooth.figure(Q::inlet_opens_deg), WithinAbs(720.0 / 38, 0.1));
  CHECK(tooth.figure(Q::inlet_least_mm, true) < tooth.figure(Q::inlet_least_mm));

  Fitted keys;
  keys.crank_key_deg = 2;
  keys.cam_key_deg = -1; // one cam degree is two of the crank
  const Bench keyed({}, keys);
  CHECK_THAT(keyed.figure(Q::phase_deg, true), WithinAbs(0, 1e-9));
  CHECK(keyed.word(Q::crank_key_leads, true) == "sprocket half");
  CHECK(keyed.word(Q::cam_key_leads, true) == "sprocket half");
  CHECK(keyed.word(Q::crank_step, true) == "clockwise");
  CHECK(keyed.word(Q::cam_step, true) == "clockwise");
  CHECK(keyed.word(Q::crank_key_leads) == "neither");
  CHECK(keyed.word(Q::cam_step) == "none");
}

TEST_CASE("marks face once in two turns of the crank, and not with a tooth out", "[lesson]") {
  Fitted out;
  out.lay = 1;
  Bench bench({}, out);
  CHECK(bench.word(Q::marks) == "facing");
  CHECK(bench.word(Q::marks, true) == "apart");
  // A tooth of 38, in cam degrees, ahead in the running direction.
  CHECK_THAT(bench.figure(Q::cam_mark_deg, true) - bench.figure(Q::cam_mark_deg), WithinAbs(360.0 / 38, 0.01));
  bench.moment.crank.crank_deg = 360;
  CHECK(bench.word(Q::marks) == "apart");
  CHECK_THAT(bench.figure(Q::crank_mark_deg), WithinAbs(0, 1e-6));
  CHECK_THAT(std::fabs(bench.figure(Q::cam_mark_deg)), WithinAbs(180, 0.5));
  bench.moment.crank.crank_deg = 720;
  CHECK(bench.word(Q::marks) == "facing");
}

TEST_CASE("the lesson's wheel reads too much by its error, to half a degree; a stop pair finds it", "[lesson]") {
  Bench bench;
  bench.moment.wheel_error_deg = 6.5;
  bench.moment.stop_mm = 18;
  const PistonStop stop = *piston_stop(bench.fitted.slider_crank(), 18);
  const double before_deg = held_by(stop, 200, 700);
  bench.moment.crank.crank_deg = before_deg;
  const double before_read = bench.figure(Q::wheel_deg);
  CHECK(bench.word(Q::at_stop) == "yes");
  CHECK(std::fabs(before_read - (before_deg - 360 + 6.5)) <= 0.25);
  CHECK(before_read * 2 == std::round(before_read * 2));
  CHECK(lesson_instruments(bench.moment).wheel_deg == before_read + 360);
  bench.moment.crank.crank_deg = held_by(stop, before_deg, -700);
  const double after_read = bench.figure(Q::wheel_deg);
  bench.build.measured.stop_deg = {{before_read, after_read}};
  // TDC is midway between the two (common practice, no source).
  CHECK_THAT(bench.figure(Q::tdc_correction_deg), WithinAbs(-(before_read + after_read) / 2, 1e-9));
  CHECK(std::fabs(bench.figure(Q::tdc_off_deg)) <= 0.5);
  bench.moment.stop_mm.reset();
  CHECK(bench.word(Q::at_stop) == "no");
}

TEST_CASE("figures are held against least, most and near, angles the short way round", "[lesson]") {
  Bench bench;
  bench.moment.crank.crank_deg = 719;
  const auto met = [&bench](const LessonCondition& condition) {
    return judge_condition(condition, {}, bench.moment).met;
  };
  CHECK(met(near(Q::crank_deg, 0, 1.001)));
  CHECK_FALSE(met(near(Q::crank_deg, 0, 0.999)));
  CHECK_FALSE(met(near(Q::crank_deg, 359, 10)));
  CHECK(met(near(Q::crank_mark_deg, 359, 0.001))); // a turn, not two
  CHECK(met(least(Q::crank_deg, 719)));
  CHECK_FALSE(met(least(Q::crank_deg, 719.1)));
  LessonCondition band = least(Q::crank_deg, 700);
  band.most = 718.9;
  CHECK_FALSE(met(band));
  band.most = 719;
  CHECK(met(band));
  // A figure that comes round nowhere is not compared that way.
  bench.moment.turns.forward_deg = 720;
  CHECK_FALSE(met(near(Q::turned_forward_deg, 0, 5)));
  CHECK(met(is(Q::page, "degree")));
  CHECK_FALSE(met(is(Q::page, "clearance")));
}

TEST_CASE("a step is done when all is met, and what is wrong is said only until then", "[lesson]") {
  Bench bench;
  LessonStep step;
  step.must = {least(Q::turned_forward_deg, 30), is(Q::turning, "forward")};
  step.wrong = {{{least(Q::turned_back_deg, 1), is(Q::turning, "backward")}, "back"},
                {{least(Q::turned_back_deg, 1)}, "once back"}};
  StepJudged judged = judge_step(step, bench.moment);
  CHECK_FALSE(judged.done);
  CHECK(judged.wrong == nullptr);
  REQUIRE(judged.must.size() == 2);
  CHECK(judged.must[0].words == "turned_forward_deg is 0.0, wanted 30 deg or more");
  CHECK(judged.must[1].met);
  bench.moment.turns.back_deg = 5;
  judged = judge_step(step, bench.moment);
  REQUIRE(judged.wrong != nullptr);
  CHECK(judged.wrong->say == "once back");
  bench.moment.crank.turning = Turning::backward;
  CHECK(judge_step(step, bench.moment).wrong->say == "back");
  bench.moment.crank.turning = Turning::forward;
  bench.moment.turns.forward_deg = 40;
  judged = judge_step(step, bench.moment);
  CHECK(judged.done);
  CHECK(judged.wrong == nullptr);
  CHECK(judge_step({}, bench.moment).done);
}

TEST_CASE("figures in a lesson's words are worked out where the engine stands", "[lesson]") {
  Fitted tried;
  tried.lay = 1;
  Bench bench({}, tried);
  CHECK(fill_figures("{phase_deg} and {planned.phase_deg}: {taut_side}", {}, bench.moment) == "0.0 and 18.9: right");
  CHECK(fill_figures("lay {planned.lay}, gap {gap_mm}", {}, bench.moment) == "lay 1, gap ?");
  CHECK(fill_figures("{nothing} {", {}, bench.moment) == "{nothing} {");
  CHECK(figure_text(row_of(Q::phase_deg), -0.04) == "0.0");
  CHECK(figure_text(row_of(Q::phase_deg), -0.06) == "-0.1");
}

TEST_CASE("conditions in words", "[lesson]") {
  LessonCondition condition = near(Q::inlet_lift_mm, 5, 0.5);
  condition.planned = true;
  condition.cylinder = 3;
  CHECK(subject_words(condition) == "planned inlet_lift_mm of No. 3");
  CHECK(wanted_words(condition) == "5 mm, give or take 0.5 mm");
  CHECK(wanted_words(is(Q::stroke, "power")) == "power");
  LessonCondition band = least(Q::lay, 1);
  CHECK(wanted_words(band) == "1 or more");
  band.most = 1;
  CHECK(wanted_words(band) == "just 1");
  band.most = 2;
  CHECK(wanted_words(band) == "1 to 2");
  band.least.reset();
  CHECK(wanted_words(band) == "2 or less");
  band.camshaft = "inlet";
  CHECK(subject_words(band) == "lay of \"inlet\"");
}
