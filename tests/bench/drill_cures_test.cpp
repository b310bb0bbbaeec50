// What puts a drill's engine right, and what is told afterwards.
#include "bench/drill_cure.hpp"
#include "bench/drill_debrief.hpp"
#include "bench/drill_engines.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;
using Catch::Matchers::WithinAbs;

namespace {

CureJudged cured(const Drill& drill, const NamedFaults& named, const Cure& cure) {
  const Result<CureJudged> judged = judge_cure(drill, named, cure);
  INFO((judged ? std::string() : to_text(judged.problems())));
  REQUIRE(judged.ok());
  return *judged;
}

} // namespace

TEST_CASE("the right cure of every drill is right", "[drill]") {
  for (const DrillEngine& on : {single_cam(), bare()}) {
    const DrillCourse course = course_of(on);
    for (std::uint64_t seed = 0; seed < 60; ++seed)
      for (int level = 1; level <= most_drill_level; ++level) {
        const Drill drill = drawn(course, seed, level);
        const RightCure right = right_cure(drill);
        const CureJudged judged = cured(drill, true_faults(drill), right.cure);
        INFO(on.name << ", seed " << seed << ", level " << level << ": " << drill.truth->faults[0].words);
        INFO(judged.words.front());
        CHECK(judged.right);
        CHECK(right.words.size() >= drill.truth->faults.size());
        // To do nothing is right only where nothing on the engine is wrong.
        const bool of_reading = std::ranges::all_of(drill.truth->faults, [](const HiddenFault& fault) {
          return fault.kind == DrillKind::wheel_slipped || fault.kind == DrillKind::turned_back;
        });
        const CureJudged left = cured(drill, {}, as_the_card(drill));
        CHECK(left.right == of_reading);
      }
  }
}

TEST_CASE("work is what differs from what was taken to be there", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  const Drill laid = first_hiding(course, 1, DrillKind::lay);
  // Who takes the tooth for a wheel that moved leaves the chain where it is.
  const CureJudged left = cured(laid, {"wheel moved"}, as_the_card(laid));
  CHECK_FALSE(left.right);
  REQUIRE(left.centres.size() == 2);
  CHECK_THAT(std::fabs(left.centres[0].centre_deg - left.centres[0].wanted_deg),
             WithinAbs(720.0 / 38.0 * std::abs(lay_of(laid.truth->mechanism.fitted(), "cam")), 1e-6));
  CHECK(cured(laid, true_faults(laid), as_the_card(laid)).right);
  // Who takes a wheel that moved for a tooth lays the chain by its marks once more.
  const Drill moved = first_hiding(course, 2, DrillKind::wheel_slipped);
  CHECK(cured(moved, {"chain one tooth back"}, as_the_card(moved)).right);
  // A tooth made up for by keys is on target as well, where the shelf reaches.
  Cure shifted = as_the_card(moved);
  shifted.fitted.crank_key_deg += 4.0;
  CHECK_FALSE(cured(moved, {}, shifted).right);
}

TEST_CASE("a camshaft with its lobes apart is cured by no phase", "[drill]") {
  const Drill drill = first_hiding(course_of(single_cam()), 3, DrillKind::separation);
  for (const double key_deg : {-4.0, -2.0, 0.0, 2.0, 4.0}) {
    Cure cure = as_the_card(drill);
    cure.fitted.crank_key_deg += key_deg;
    CHECK_FALSE(cured(drill, true_faults(drill), cure).right);
  }
  Cure cure = as_the_card(drill);
  cure.works = {DrillWork::renew_camshaft};
  CHECK(cured(drill, true_faults(drill), cure).right);
}

TEST_CASE("end float, shims and lash are cured by as much as they are off", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  const Drill loose = first_hiding(course, 2, DrillKind::end_float);
  Cure plate = as_the_card(loose);
  plate.float_change_mm["cam"] = 0.13 - loose.truth->faults[0].amount;
  CHECK(cured(loose, true_faults(loose), plate).right);
  plate.float_change_mm["cam"] *= -1.0;
  CHECK_FALSE(cured(loose, true_faults(loose), plate).float_right);
  const Drill off = first_hiding(course, 2, DrillKind::sprocket_off);
  Cure shims = as_the_card(off);
  CHECK_FALSE(cured(off, true_faults(off), shims).level);
  const Drill lash = first_hiding(course, 2, DrillKind::lash);
  Cure set = as_the_card(lash);
  CHECK_FALSE(cured(lash, true_faults(lash), set).lash_right);
  set.works = {DrillWork::set_inlet_lash, DrillWork::set_exhaust_lash};
  CHECK(cured(lash, true_faults(lash), set).right);
  const Drill tilted = first_hiding(course, 3, DrillKind::sprocket_tilted);
  CHECK_FALSE(cured(tilted, true_faults(tilted), as_the_card(tilted)).square);
  Cure square = as_the_card(tilted);
  square.works = {DrillWork::square_sprocket};
  CHECK(cured(tilted, true_faults(tilted), square).right);
}

TEST_CASE("the debrief says what each reading could tell", "[drill]") {
  const Drill drill = first_hiding(course_of(single_cam()), 1, DrillKind::lay);
  const TakenReadings all = careful_readings(drill);
  const Result<Debrief> told = debrief(drill, all);
  REQUIRE(told.ok());
  CHECK(told->truth == std::vector<std::string>{drill.truth->faults[0].words});
  const Measured& measured = all.measured;
  CHECK(told->readings.size() ==
        measured.lobe.size() + measured.clearance.size() + measured.pins.size() + 2 + all.lash.size());
  for (const ReadingTold& reading : told->readings) {
    INFO(reading.reading << ": " << reading.words);
    const bool angle = reading.reading.find(" of No. 1 at ") != std::string::npos;
    if (angle) { // a tooth is 19 degrees; by itself a lobe does not tell it from a wheel that moved
      CHECK(reading.tells);
      CHECK(std::ranges::count(reading.leaves, "wheel moved") == 1);
    }
    if (reading.reading.starts_with("pins")) {
      CHECK(reading.read != reading.right);
      CHECK(std::ranges::count(reading.rules_out, "wheel moved") == 1);
    }
    if (reading.reading.starts_with("feeler") || reading.reading.find("lash") != std::string::npos)
      CHECK_FALSE(reading.tells);
  }
  REQUIRE(told->explained.has_value());
  CHECK(told->explained->causes.front().faults == true_faults(drill));
  CHECK(told->beside.size() == 2);
  // With lobes alone explain asks for what tells.
  TakenReadings few;
  few.measured.stop_deg = measured.stop_deg;
  few.measured.lobe = {measured.lobe[0], measured.lobe[4]};
  const Result<Debrief> less = debrief(drill, few);
  REQUIRE(less.ok());
  REQUIRE(less->explained.has_value());
  CHECK(less->explained->next.has_value());
  CHECK(less->left_by_taken.size() > less->left_by_careful.size());
  CHECK(std::ranges::any_of(less->words,
                            [](const std::string& words) { return words.starts_with("The best reading next:"); }));
  // Readings that cannot be are a problem of theirs.
  few.measured.lobe[0].lift_mm = 30.0;
  CHECK_FALSE(debrief(drill, few).ok());
  CHECK_FALSE(judge_faults(drill, true_faults(drill), few).ok());
  // The pins alone tell a tooth from all else; so it is, whatever was read.
  const Result<Debrief> none = debrief(drill, {});
  REQUIRE(none.ok());
  for (const Result<Debrief>* one : {&told, &less, &none}) {
    CHECK((*one)->tells_most.reading.starts_with("pins"));
    CHECK(std::ranges::any_of(
        (*one)->words, [](const std::string& words) { return words.starts_with("By itself this tells most: pins"); }));
  }
}
