#include "geometry/angle.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <limits>

using namespace phasewright;

TEST_CASE("sine and cosine are exact where dead centres fall", "[angle]") {
  for (int turns = -4; turns <= 4; ++turns) {
    const double base = 360.0 * turns;
    CHECK(sin_deg(base) == 0.0);
    CHECK(sin_deg(base + 30.0) == 0.5);
    CHECK(sin_deg(base + 90.0) == 1.0);
    CHECK(sin_deg(base + 150.0) == 0.5);
    CHECK(sin_deg(base + 180.0) == 0.0);
    CHECK(sin_deg(base + 270.0) == -1.0);
    CHECK(cos_deg(base) == 1.0);
    CHECK(cos_deg(base + 60.0) == 0.5);
    CHECK(cos_deg(base + 90.0) == 0.0);
    CHECK(cos_deg(base + 120.0) == -0.5);
    CHECK(cos_deg(base + 180.0) == -1.0);
    CHECK(cos_deg(base + 270.0) == 0.0);
  }
}

TEST_CASE("sine and cosine in degrees agree with the standard library's in radians", "[angle]") {
  for (double deg = -1000.0; deg <= 1000.0; deg += 0.37) {
    CHECK_THAT(sin_deg(deg), WithinAbs(std::sin(radians(deg)), 1e-13));
    CHECK_THAT(cos_deg(deg), WithinAbs(std::cos(radians(deg)), 1e-13));
  }
}

TEST_CASE("wrapped angles stay in their range and differ by whole periods", "[angle]") {
  for (double deg = -2000.0; deg <= 2000.0; deg += 13.7) {
    CHECK(wrap_360(deg) >= 0.0);
    CHECK(wrap_360(deg) < 360.0);
    CHECK(wrap_180(deg) >= -180.0);
    CHECK(wrap_180(deg) < 180.0);
    CHECK(wrap_720(deg) >= 0.0);
    CHECK(wrap_720(deg) < 720.0);
    CHECK_THAT(std::remainder(wrap_360(deg) - deg, 360.0), WithinAbs(0.0, 1e-9));
    CHECK_THAT(std::remainder(wrap_720(deg) - deg, 720.0), WithinAbs(0.0, 1e-9));
  }
  CHECK(wrap_360(360.0) == 0.0);
  CHECK(wrap_360(-std::numeric_limits<double>::denorm_min()) == 0.0);
  CHECK(wrap_180(180.0) == -180.0);
  CHECK(wrap_pi(pi) == -pi);
}

TEST_CASE("figures of which too little would not do are rounded up, but not for rounding's sake", "[angle]") {
  CHECK_THAT(rounded_up(2.61, 0.1), WithinAbs(2.7, 1e-12));
  CHECK_THAT(rounded_up(0.1 + 0.2, 0.1), WithinAbs(0.3, 1e-12)); // that sum is a little more than 0.3
  CHECK(rounded_up(0.0, 0.1) == 0.0);
}
