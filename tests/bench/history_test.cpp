#include "bench/history.hpp"

#include "support/catch.hpp"

using namespace phasewright;

TEST_CASE("readings are put by with what was fitted then", "[history]") {
  Build build;
  build.fitted.lay = 1;
  build.measured.with.lay = 0;
  build.measured.stop_deg = {{-47.0, 49.0}};
  const Build after = put_by(build, "2026-05-14", "before the new key");
  REQUIRE(after.history.size() == 1);
  CHECK(after.history[0].with.lay == 0);
  CHECK(after.history[0].stop_deg == build.measured.stop_deg);
  CHECK(after.history[0].date == "2026-05-14");
  CHECK(after.history[0].note == "before the new key");
  CHECK_FALSE(has_readings(after.measured));
  CHECK(after.measured.with.lay == 1); // the next are taken with what is fitted now
}

TEST_CASE("readings keep a date of their own and come after older ones", "[history]") {
  Build build;
  build.measured.float_mm = {0.1};
  build.measured.date = "2025-11-02";
  Build after = put_by(build, "2026-05-14");
  after.measured.float_mm = {0.2};
  after = put_by(after, "2026-05-14");
  REQUIRE(after.history.size() == 2);
  CHECK(after.history[0].date == "2025-11-02");
  CHECK(after.history[1].date == "2026-05-14");
}

TEST_CASE("without readings nothing is put by", "[history]") {
  Build build;
  build.measured.date = "2025-11-02";
  CHECK(put_by(build, "2026-05-14").history.empty());
}
