// Ten thousand drills by seed. What was hidden is made through the mechanics, and looked for by explain, align and
// end_float, which know nothing of drills.
#include "bench/drill.hpp"

#include "bench/align.hpp"
#include "bench/drill_card.hpp"
#include "bench/drill_engines.hpp"
#include "bench/drill_judge.hpp"
#include "bench/drill_readings.hpp"
#include "bench/end_float.hpp"
#include "bench/explain.hpp"
#include "bench/reading_model.hpp"
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"

#include <algorithm>
#include <cmath>
#include <map>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

double off_deg(double a, double b) {
  return std::fabs(wrap_180(a - b));
}

// The widest figure and the least that an indicator off by its limit lets a lobe reading have, the wheel's limit added.
bool flank_fits(const Drill& drill, const LobeReading& reading, bool opening) {
  const Instruments& instruments = drill.given.instruments;
  const DrillTruth& truth = *drill.truth;
  std::array<double, 2> ends{};
  for (std::size_t i = 0; i < 2; ++i) {
    LobeReading shown = reading;
    shown.lift_mm += (i == 0 ? -1.0 : 1.0) * instruments.indicator_mm;
    const std::optional<FlankPair> pair = foretell_pair(truth.mechanism, shown, truth.turning);
    REQUIRE(pair.has_value());
    ends[i] = (opening ? pair->opens : pair->closes).crank_deg + truth.wheel_zero_deg + truth.wheel_moved_deg;
  }
  const double middle_deg = ends[0] + wrap_180(ends[1] - ends[0]) / 2.0;
  const double reach_deg = off_deg(ends[0], ends[1]) / 2.0 + instruments.wheel_deg + 1e-6;
  return off_deg(opening ? reading.opens_deg : reading.closes_deg, middle_deg) <= reach_deg;
}

// Readings on the card, and careful ones, against what the mechanics foretell for what is true.
void check_readings(const Drill& drill) {
  const DrillTruth& truth = *drill.truth;
  const Instruments& instruments = drill.given.instruments;
  const TakenReadings taken = careful_readings(drill);
  const Measured& measured = taken.measured;
  bool fits = true;
  const SliderCrank& crank = truth.mechanism.slider_crank();
  const std::array<double, 2> shares{0.15, 0.10}; // of the stroke, where the two rods stop the piston
  REQUIRE(measured.stop_deg.size() == shares.size());
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const auto at = foretell_stop(crank, shares[i] * crank.travel_mm());
    for (std::size_t side = 0; side < 2; ++side)
      fits = fits &&
             off_deg(measured.stop_deg[i][side], (*at)[side] + truth.wheel_zero_deg) <= instruments.wheel_deg + 1e-9;
  }
  for (const LobeReading& reading : measured.lobe)
    fits = fits && flank_fits(drill, reading, true) && flank_fits(drill, reading, false);
  CHECK(fits);
  if (!measured.clearance.empty()) {
    const Result<ClearanceModel> gaps = ClearanceModel::make(truth.mechanism, {});
    REQUIRE(gaps.ok());
    for (const ClearanceReading& reading : measured.clearance) {
      const double at_deg = reading.crank_deg - truth.wheel_moved_deg;
      double least_mm = gaps->at(reading.valve, at_deg);
      double most_mm = least_mm;
      for (const double error_deg :
           {-instruments.wheel_deg, -0.5 * instruments.wheel_deg, 0.5 * instruments.wheel_deg, instruments.wheel_deg}) {
        least_mm = std::min(least_mm, gaps->at(reading.valve, at_deg + error_deg));
        most_mm = std::max(most_mm, gaps->at(reading.valve, at_deg + error_deg));
      }
      const double drawn_mm = truth.gap_mm[reading.valve == ValveKind::inlet ? 0 : 1];
      CHECK(std::fabs(drawn_mm) <= instruments.dimension_mm);
      CHECK(reading.clearance_mm >= least_mm + drawn_mm - instruments.indicator_mm - 1e-4);
      CHECK(reading.clearance_mm <= most_mm + drawn_mm + instruments.indicator_mm + 1e-4);
    }
  }
  for (const LashReading& reading : taken.lash)
    CHECK(std::fabs(reading.lash_mm - truth.mechanism.motion(reading.valve)->gear().lash_mm) <=
          instruments.feeler_mm + 1e-9);
  for (const double mm : measured.float_mm)
    CHECK(std::fabs(mm - truth.float_mm.at(measured.float_of)) <= instruments.indicator_mm + 1e-9);
  REQUIRE(measured.gap.has_value());
  const double way = measured.gap->under == drill.engine().loops[0].sprockets[0].name ? 1.0 : -1.0;
  const double near_mm = std::max(0.0, way * (truth.behind_mm - truth.tilt_mm / 2.0));
  const double far_mm = std::max(0.0, way * (truth.behind_mm + truth.tilt_mm / 2.0));
  CHECK(std::fabs(measured.gap->near_mm - near_mm) <= instruments.feeler_mm + 1e-9);
  CHECK(std::fabs(measured.gap->far_mm - far_mm) <= instruments.feeler_mm + 1e-9);
}

// What one who measures without any error finds: explain, align and endfloat on the apprentice's own build.
NamedFaults solved(const Drill& drill) {
  Build build = drill.given;
  build.measured = careful_readings(drill, Errors::none).measured;
  NamedFaults named = drill.card->explainer.explain(build.measured).causes.front().faults;
  const Result<Alignment> aligned = align(drill.engine(), build);
  REQUIRE(aligned.ok());
  if (aligned->tilted)
    named.emplace_back(key_tilted);
  else if (std::fabs(aligned->behind_mm) > aligned->limit_mm)
    named.emplace_back(aligned->behind_mm > 0.0 ? key_behind : key_proud);
  if (build.measured.float_mm.empty()) return named;
  const Result<EndFloat> found = end_float(drill.engine(), build);
  REQUIRE(found.ok());
  if (is_outside(found->verdict))
    named.push_back(key_of_float(drill.engine(), found->camshaft, found->change_mm < 0.0));
  return named;
}

bool is_good(DrillVerdict verdict) {
  return verdict == DrillVerdict::right || verdict == DrillVerdict::as_far_as_told;
}

std::string as_text(const Drill& drill) {
  std::string text = "seed " + std::to_string(drill.ask.seed) + ", level " + std::to_string(drill.ask.level);
  for (const HiddenFault& fault : drill.truth->faults) text += "; " + fault.words;
  return text;
}

bool on_level(const HiddenFault& fault, int level) {
  return std::ranges::any_of(drill_rows,
                             [&](const DrillRow& row) { return row.level == level && row.kind == fault.kind; });
}

} // namespace

TEST_CASE("ten thousand drills", "[drill]") {
  std::map<DrillKind, int> kinds;
  int drills = 0;
  const std::vector<std::pair<DrillEngine, std::uint64_t>> engines{
      {single_cam(), 1200}, {twin_cam(), 300}, {two_stages(), 400}, {bare(), 600}};
  for (const auto& [on, seeds] : engines) {
    const DrillCourse course = course_of(on);
    for (std::uint64_t seed = 0; seed < seeds; ++seed)
      for (int level = 1; level <= most_drill_level; ++level) {
        const Drill drill = drawn(course, seed, level);
        INFO(on.name << ": " << as_text(drill));
        ++drills;
        CHECK(drill.truth->faults.size() == static_cast<std::size_t>(faults_of_level(level)));
        for (const HiddenFault& fault : drill.truth->faults) {
          ++kinds[fault.kind];
          CHECK(on_level(fault, level));
          CHECK(std::ranges::count(drill.faults(), fault.key, &DrillFault::key) == 1);
        }
        check_readings(drill);
        const NamedFaults named = solved(drill);
        const Result<FaultsJudged> judged = judge_faults(drill, named);
        INFO("solved as " << named_words(named));
        REQUIRE(judged.ok());
        CHECK(is_good(judged->verdict));
        // All that has the same readings scores alike, the truth too.
        for (const NamedFaults& alike : judged->left_by_careful)
          CHECK(judge_faults(drill, alike)->verdict == judged->verdict);
      }
  }
  CHECK(drills == 10000);
  CHECK(kinds.size() == 11); // every kind that is hidden came up
}

TEST_CASE("careful readings tell most answers from the truth, and nothing wrong always", "[drill]") {
  const DrillCourse course = course_of(single_cam());
  int wrong = 0;
  for (std::uint64_t seed = 0; seed < 40; ++seed)
    for (int level = 1; level <= most_drill_level; ++level) {
      const Drill drill = drawn(course, seed, level);
      INFO(as_text(drill));
      CHECK(judge_faults(drill, {})->left_by_careful.front() == true_faults(drill));
      std::vector<NamedFaults> answers{{}};
      for (const DrillFault& fault : drill.faults()) answers.push_back({fault.key});
      for (const NamedFaults& answer : answers) {
        const Result<FaultsJudged> judged = judge_faults(drill, answer);
        REQUIRE(judged.ok());
        wrong += judged->verdict == DrillVerdict::wrong ? 1 : 0;
      }
      // "Nothing is wrong" never is an answer.
      CHECK(judge_faults(drill, {})->verdict == DrillVerdict::wrong);
    }
  CHECK(wrong > 3000);
}
