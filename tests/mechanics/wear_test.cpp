#include "mechanics/wear.hpp"

#include "geometry/angle.hpp"
#include "mechanics/centres.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

WearStudy study_of(const Engine& engine, double band_deg = 1.0, const Fitted& fitted = {}) {
  Result<WearStudy> study = wear_study(engine, fitted, band_deg);
  REQUIRE(study.ok());
  return *std::move(study);
}

double phase_at(const Engine& engine, double elongation_percent, std::size_t camshaft = 0) {
  Fitted fitted;
  fitted.elongation_percent = elongation_percent;
  return Drive::phase_deg(engine, fitted, camshaft);
}

} // namespace

// Rollers lie on d = p / sin(180 deg / z) at the pitch they have (ISO 606, 5.3.2), and stand on the tip when their
// centres are at half of d_a,min = d + p (1 - 1.6 / z) - d1 (ISO 606, 5.5.2).
TEST_CASE("worn rollers ride out by the pitch circle's growth until they stand on the tips", "[wear]") {
  const Engine engine = small_engine();
  const Chain& chain = engine.loops[0].chain;
  const WearStudy study = study_of(engine);
  REQUIRE(study.at_limit.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    const int teeth = engine.loops[0].sprockets[i].teeth;
    const double diameter_mm = chain.pitch_mm / std::sin(pi / teeth);
    const double height_mm = 0.5 * (chain.pitch_mm * (1.0 - 1.6 / teeth) - chain.roller_mm);
    const RideOut& out = study.at_limit[i];
    CHECK(out.sprocket == engine.loops[0].sprockets[i].name);
    CHECK_THAT(out.ride_out_mm, WithinAbs(0.5 * diameter_mm * 0.015, 1e-12));
    CHECK_THAT(out.working_height_mm, WithinAbs(height_mm, 1e-12));
    CHECK_THAT(out.margin_mm, WithinAbs(height_mm - 0.5 * diameter_mm * 0.015, 1e-12));
    CHECK_THAT(out.climbs_at_percent, WithinAbs(200.0 * height_mm / diameter_mm, 1e-9));
  }
  // The larger sprocket is the first on which a worn chain climbs.
  CHECK(study.at_limit[1].climbs_at_percent < study.at_limit[0].climbs_at_percent);
}

// Pitches that lie along the taut strand and its two part wraps: half of the tangent polygon's, as drive and strands
// are mirror images. A longer pitch leaves fewer of them, and the camshaft falls back by so many teeth. Tooth means
// agree with it to 5e-5 of a pitch.
TEST_CASE("the camshaft falls back with wear as the tangent polygon has it", "[wear]") {
  const Engine engine = small_engine();
  const double pitch_mm = engine.loops[0].chain.pitch_mm;
  const double before = tangent_polygon_links(pitch_mm, 19, 38, 107.9);
  const WearStudy study = study_of(engine);
  REQUIRE(study.curve.size() == 16);
  CHECK(study.curve.front().phase_deg.at(0) == 0.0);
  CHECK(study.curve.back().elongation_percent == 1.5);
  for (const WearPoint& point : study.curve) {
    const double worn = tangent_polygon_links(pitch_mm * (1.0 + point.elongation_percent / 100.0), 19, 38, 107.9);
    CHECK(point.runs);
    CHECK_THAT(point.phase_deg.at(0), WithinAbs(0.5 * (worn - before) * 720.0 / 38, 5e-5 * 720.0 / 38));
    // What the chain has over goes to the slack strand.
    const double links_over = engine.loops[0].chain.links - worn;
    CHECK_THAT(point.slack_mm, WithinAbs(links_over * pitch_mm, 0.1));
    CHECK_THAT(point.slack_span_mm, WithinAbs(std::sqrt(107.9 * 107.9 - 28.9 * 28.9), pitch_mm));
  }
}

TEST_CASE("the camshaft leaves its band where its phase is the band's edge", "[wear]") {
  const Engine engine = small_engine();
  for (const double band_deg : {0.2, 1.0, 3.0}) {
    const WearStudy study = study_of(engine, band_deg);
    REQUIRE(study.leaves_band_percent.size() == 1);
    REQUIRE(study.leaves_band_percent[0].has_value());
    CHECK_THAT(phase_at(engine, *study.leaves_band_percent[0]), WithinAbs(-band_deg, 1e-8));
  }
  CHECK_FALSE(study_of(engine, 20.0).leaves_band_percent[0].has_value());
}

TEST_CASE("the band is about the phase with a new chain, whatever else is fitted", "[wear]") {
  const Engine engine = small_engine();
  Fitted fitted;
  fitted.lay = 1;
  fitted.crank_key_deg = -3.0;
  fitted.elongation_percent = 0.7; // the study starts at none all the same
  const WearStudy study = study_of(engine, 1.0, fitted);
  CHECK_THAT(study.curve.front().phase_deg[0], WithinAbs(720.0 / 38 - 3.0, 1e-9));
  CHECK_THAT(*study.leaves_band_percent[0], WithinAbs(*study_of(engine).leaves_band_percent[0], 1e-6));
}

TEST_CASE("a drive without a tensioner runs out when its slack passes what the drive lets pass", "[wear]") {
  Engine engine = small_engine();
  CHECK_FALSE(study_of(engine).runs_out_percent.has_value());
  CHECK(study_of(engine).runs_out_why.empty());
  engine.loops[0].chain.links += 2; // it still goes on
  const WearStudy study = study_of(engine);
  REQUIRE(study.runs_out_percent.has_value());
  REQUIRE_FALSE(study.runs_out_why.empty());
  CHECK(study.runs_out_why[0].key == "chain.links");
  Fitted fitted;
  fitted.elongation_percent = *study.runs_out_percent;
  CHECK(Drive::assemble(engine, fitted).ok());
  fitted.elongation_percent += 1.1e-6;
  CHECK_FALSE(Drive::assemble(engine, fitted).ok());
}

TEST_CASE("a tensioner takes up the wear until its travel is out", "[wear]") {
  const Engine engine = overhead_engine();
  const double most_mm = engine.loops[0].tensioner->travel_mm[1];
  const WearStudy study = study_of(engine);
  REQUIRE(study.runs_out_percent.has_value());
  CHECK(study.runs_out_why.at(0).key == "tensioner.travel_mm");
  double before_mm = -1.0;
  for (const WearPoint& point : study.curve) {
    INFO("elongation " << point.elongation_percent);
    CHECK(point.runs == (point.elongation_percent <= *study.runs_out_percent));
    CHECK(point.slack_mm == 0.0);
    CHECK(point.slack_span_mm == 0.0);
    REQUIRE(point.phase_deg.size() == 2);
    CHECK(point.travel_mm.has_value() == point.runs);
    if (!point.travel_mm) continue;
    CHECK(point.travel_mm->greatest > before_mm);
    CHECK(point.travel_left_mm == most_mm - point.travel_mm->greatest);
    before_mm = point.travel_mm->greatest;
  }
  Fitted fitted;
  fitted.elongation_percent = *study.runs_out_percent;
  const Result<Drive> last = Drive::assemble(engine, fitted);
  REQUIRE(last.ok());
  CHECK_THAT(last->travel_mm().greatest, WithinAbs(most_mm, 1e-4));
}

TEST_CASE("of two camshafts the one with more chain to the crank falls back more", "[wear]") {
  const Engine engine = overhead_engine(); // the exhaust camshaft's taut side runs over the inlet's sprocket
  const WearStudy study = study_of(engine, 0.5);
  REQUIRE(study.leaves_band_percent.size() == 2);
  REQUIRE(study.leaves_band_percent[0].has_value());
  REQUIRE(study.leaves_band_percent[1].has_value());
  CHECK(*study.leaves_band_percent[0] < *study.leaves_band_percent[1]);
  for (std::size_t i = 0; i < 2; ++i)
    CHECK_THAT(phase_at(engine, *study.leaves_band_percent[i], i), WithinAbs(-0.5, 1e-8));
}

// The inlet's taut strand with its two part wraps is half a tangent polygon; for the exhaust's the strand between two
// equal sprockets is added, and the inlet's part wrap is the same one.
TEST_CASE("twin camshafts fall back with wear as the tangent polygon has it", "[wear]") {
  Engine engine = overhead_engine();
  engine.loops[0].guides.clear();
  const double apart_mm = 124.0;
  const double centres_mm = std::hypot(62.0, 300.0);
  const auto pitches = [&](double elongation_percent, bool exhaust) {
    const double pitch_mm = engine.loops[0].chain.pitch_mm * (1.0 + elongation_percent / 100.0);
    return 0.5 * tangent_polygon_links(pitch_mm, 18, 36, centres_mm) + (exhaust ? apart_mm / pitch_mm : 0.0);
  };
  for (const WearPoint& point : study_of(engine).curve)
    for (const bool exhaust : {true, false}) {
      const double fewer = pitches(point.elongation_percent, exhaust) - pitches(0.0, exhaust);
      INFO("elongation " << point.elongation_percent << (exhaust ? ", exhaust" : ", inlet"));
      CHECK_THAT(point.phase_deg.at(exhaust ? 0 : 1), WithinAbs(fewer * 720.0 / 36, 1e-4 * 720.0 / 36));
    }
}

TEST_CASE("a drive that does not go on when new has no wear study", "[wear]") {
  Engine engine = small_engine();
  engine.loops[0].chain.links = 50;
  Fitted fitted;
  fitted.elongation_percent = 5.0; // a worn chain might reach
  const Result<WearStudy> study = wear_study(engine, fitted, 1.0);
  REQUIRE_FALSE(study.ok());
  CHECK(study.problems()[0].key == "chain.links");
}
