#include "bench/end_float.hpp"
#include "mechanics/uncertainty.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

Build read_float(std::vector<double> readings_mm) {
  Build build;
  build.measured.float_mm = std::move(readings_mm);
  return build;
}

EndFloat found_float(const Build& build, const Engine& engine = small_engine()) {
  const Result<EndFloat> found = end_float(engine, build);
  REQUIRE(found.ok());
  return *found;
}

bool says(const EndFloat& found, const std::string& words) {
  for (const std::string& advice : found.advice)
    if (advice.find(words) != std::string::npos) return true;
  return false;
}

const double u_limit_mm = 0.01 / std::sqrt(3.0); // the default indicator's

} // namespace

TEST_CASE("end float is the mean of its readings with their scatter and the indicator's limit", "[end float]") {
  const EndFloat found = found_float(read_float({0.11, 0.12, 0.13})); // limits 0.08 to 0.18
  CHECK_THAT(found.float_mm, WithinAbs(0.12, 1e-15));
  // Deviation 0.01, of the mean of three 0.01 / sqrt 3: as large as the limit's.
  CHECK_THAT(found.u_mm, WithinAbs(u_limit_mm * std::sqrt(2.0), 1e-15));
  // Two degrees of freedom in half of the variance: 8 in all; Student's t of 95.45 % is 2.37 (JCGM 100, table G.2).
  CHECK_THAT(found.out_by_mm / found.u_mm, WithinAbs(2.37, 0.005));
  CHECK(found.readings == 3);
  CHECK(found.verdict == FloatVerdict::inside);
  CHECK(found.change_mm == 0.0);
  CHECK(found.camshaft == "cam");
  CHECK(found.words == "End float of camshaft \"cam\": 0.120 mm (4.7 thou), inside its limits of 0.08 to 0.18 mm.");
}

TEST_CASE("equal readings are no better than the indicator", "[end float]") {
  const EndFloat found = found_float(read_float({0.13, 0.13, 0.13}));
  CHECK_THAT(found.u_mm, WithinAbs(u_limit_mm, 1e-15));
  CHECK_THAT(found.out_by_mm, WithinAbs(2.0 * u_limit_mm, 1e-6));
  // One alone says nothing of its scatter, which is taken to be as large.
  const EndFloat single = found_float(read_float({0.13}));
  CHECK_THAT(single.u_mm, WithinAbs(std::sqrt(2.0) * u_limit_mm, 1e-15));
  CHECK(says(single, "One reading only: take at least three"));
  CHECK(says(found_float(read_float({0.13, 0.13})), "Two readings only"));
  CHECK_FALSE(says(found, "take at least three"));
}

TEST_CASE("two readings that differ say little", "[end float]") {
  const EndFloat found = found_float(read_float({0.10, 0.15}));
  CHECK(found.out_by_mm > 0.1); // Student's t of hardly more than one degree of freedom
  CHECK(found.verdict == FloatVerdict::at_lower_edge);
}

TEST_CASE("a verdict is as firm as its readings", "[end float]") {
  struct Case {
    double float_mm;
    FloatVerdict verdict;
    double change_mm;
  };
  // Limits 0.08 to 0.18, middle 0.13; three equal readings may be out by 0.0115.
  for (const Case& row : {Case{0.05, FloatVerdict::below, 0.08}, Case{0.075, FloatVerdict::maybe_below, 0.055},
                          Case{0.08, FloatVerdict::at_lower_edge, 0.0}, Case{0.09, FloatVerdict::at_lower_edge, 0.0},
                          Case{0.092, FloatVerdict::inside, 0.0}, Case{0.168, FloatVerdict::inside, 0.0},
                          Case{0.17, FloatVerdict::at_upper_edge, 0.0}, Case{0.18, FloatVerdict::at_upper_edge, 0.0},
                          Case{0.185, FloatVerdict::maybe_above, -0.055}, Case{0.25, FloatVerdict::above, -0.12}}) {
    INFO(row.float_mm);
    const EndFloat found = found_float(read_float({row.float_mm, row.float_mm, row.float_mm}));
    CHECK(found.verdict == row.verdict);
    CHECK_THAT(found.change_mm, WithinAbs(row.change_mm, 1e-12));
    CHECK(is_outside(found.verdict) == (row.change_mm != 0.0));
    CHECK(found.words.find(is_outside(found.verdict) ? " its limits" : "inside its limits") != std::string::npos);
  }
}

TEST_CASE("without limits nothing is judged", "[end float]") {
  Engine engine = small_engine();
  engine.cam_seats["cam"].end_float_mm.reset();
  const EndFloat found = found_float(read_float({0.5, 0.5, 0.5}), engine);
  CHECK(found.verdict == FloatVerdict::no_limits);
  CHECK_FALSE(is_outside(found.verdict));
  CHECK(found.change_mm == 0.0);
  CHECK(found.words.find("the engine file states no limits") != std::string::npos);
}

TEST_CASE("a plate is wanted that brings the float to the middle", "[end float]") {
  Engine engine = small_engine();
  Build build = read_float({0.25, 0.25, 0.25});
  CHECK_FALSE(found_float(build, engine).wanted_plate_mm.has_value()); // nothing is known of a plate
  engine.cam_seats["cam"].plate_mm = 4.0;
  EndFloat found = found_float(build, engine);
  CHECK(found.plate_mm == 4.0);
  CHECK_THAT(*found.wanted_plate_mm, WithinAbs(4.12, 1e-12));
  CHECK(says(found, "the plate wants to be 4.120 mm thick in place of 4.000 mm (the maker's; not measured)"));
  build.measured.plate_mm = 3.9;
  found = found_float(build, engine);
  CHECK_THAT(*found.plate_wear_mm, WithinAbs(0.1, 1e-12));
  CHECK_THAT(*found.wanted_plate_mm, WithinAbs(4.02, 1e-12));
  CHECK(says(found, "The plate is 0.10 mm (4 thou) thinner than the maker's."));
  build.measured.float_mm = {0.02, 0.02, 0.02};
  found = found_float(build, engine);
  CHECK_THAT(*found.wanted_plate_mm, WithinAbs(3.79, 1e-12)); // thinner for more float
  CHECK(says(found, "0.110 mm more float brings it to the middle"));
}

TEST_CASE("boss less plate is held against the indicator", "[end float]") {
  Engine engine = small_engine();
  engine.cam_seats["cam"].plate_mm = 4.0;
  engine.cam_seats["cam"].boss_mm = 4.13;
  Build build = read_float({0.12, 0.12, 0.12});
  build.measured.plate_mm = 4.0;
  build.measured.boss_mm = 4.13;
  EndFloat found = found_float(build, engine);
  CHECK_THAT(*found.by_parts_mm, WithinAbs(0.13, 1e-12));
  CHECK(found.parts_agree);
  CHECK(*found.plate_wear_mm == 0.0);
  CHECK(says(found, "The plate is as the maker's"));
  CHECK(says(found, "which agrees with the indicator"));
  build.measured.boss_mm = 4.20; // 0.08 more than was read: calipers 0.033 and indicator 0.012 do not explain it
  found = found_float(build, engine);
  CHECK_FALSE(found.parts_agree);
  CHECK_THAT(*found.boss_wear_mm, WithinAbs(-0.07, 1e-12));
  CHECK(says(found, "something takes float away"));
  CHECK(says(found, "The boss is 0.07 mm (3 thou) longer than the maker's."));
  build.measured.boss_mm = 4.05;
  CHECK(says(found_float(build, engine), "more moves than the camshaft in its plate"));
  build.measured.boss_mm = 4.15;
  CHECK(found_float(build, engine).parts_agree);
  build.measured.plate_mm.reset(); // the maker's plate is no measurement
  CHECK_FALSE(found_float(build, engine).by_parts_mm.has_value());
}

TEST_CASE("growth is told since the first readings of the same camshaft", "[end float]") {
  Engine engine = small_engine();
  engine.camshafts.push_back(engine.camshafts[0]);
  engine.camshafts[1].name = "other";
  Build build = read_float({0.15, 0.15, 0.15});
  Measured set;
  set.date = "2025-03-01"; // none of it read
  build.history.push_back(set);
  set.date = "2025-04-01";
  set.float_of = "other";
  set.float_mm = {0.01};
  build.history.push_back(set);
  set.date = "2025-05-01";
  set.float_of = "cam";
  set.float_mm = {0.10, 0.10, 0.10};
  build.history.push_back(set);
  set.float_mm = {0.14};
  build.history.push_back(set);
  const EndFloat found = found_float(build, engine);
  CHECK_THAT(*found.grown_mm, WithinAbs(0.05, 1e-12));
  CHECK_THAT(found.grown_out_by_mm, WithinAbs(2.0 * std::sqrt(2.0) * u_limit_mm, 1e-6));
  CHECK(found.grown_since == "2025-05-01");
  CHECK(says(found, "It has grown by 0.050 mm (±0.016) since 2025-05-01."));
  build.measured.float_mm = {0.11, 0.11, 0.11};
  CHECK(says(found_float(build, engine), "it has not changed by more than the readings may be out by"));
  build.history.clear();
  CHECK_FALSE(found_float(build, engine).grown_mm.has_value());
}

TEST_CASE("no readings and a camshaft that is not there are refused", "[end float]") {
  const auto none = end_float(small_engine(), Build{});
  REQUIRE_FALSE(none.ok());
  CHECK(none.problems().front().key == "measured.float_mm");
  Build build = read_float({0.1});
  build.measured.float_of = "crank";
  const auto wrong = end_float(small_engine(), build);
  REQUIRE_FALSE(wrong.ok());
  CHECK(wrong.problems().front().key == "measured.float_of");
}
