#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "mechanics/volumes.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

TEST_CASE("dead centres land exactly", "[crank]") {
  const SliderCrank crank(87.0, 152.0, 0.0);
  CHECK(crank.drop_mm(0.0) == 0.0);
  CHECK(crank.drop_mm(180.0) == 87.0);
  CHECK(crank.drop_mm(720.0) == 0.0);
  CHECK(crank.travel_mm() == 87.0);
  CHECK(crank.bdc_deg() == 180.0);
  CHECK(crank.throw_mm() == 43.5);
}

TEST_CASE("with an offset pin the stroke is still what the file says, and its ends are the highest and lowest",
          "[crank]") {
  for (const double offset_mm : {-6.0, -0.8, 1.5, 9.0}) {
    const SliderCrank crank(90.0, 140.0, offset_mm);
    CHECK_THAT(crank.travel_mm(), WithinAbs(90.0, 1e-11));
    CHECK(crank.throw_mm() < 45.0);
    CHECK_THAT(crank.drop_mm(0.0), WithinAbs(0.0, 1e-12));
    CHECK_THAT(crank.drop_mm(crank.bdc_deg()), WithinAbs(90.0, 1e-11));
    for (double deg = 0.0; deg < 360.0; deg += 0.5) {
      CHECK(crank.drop_mm(deg) >= 0.0);
      CHECK(crank.drop_mm(deg) <= 90.0 + 1e-11);
    }
    // + offset stands on the side of the throw just after TDC: the way down is the longer one.
    CHECK((crank.bdc_deg() > 180.0) == (offset_mm > 0.0));
  }
}

// Second method: the gudgeon pin as the upper cut of the rod's circle with the cylinder's line.
TEST_CASE("the piston follows the rod's circle", "[crank]") {
  const double rod_mm = 130.0, offset_mm = 2.5;
  const SliderCrank crank(80.0, rod_mm, offset_mm);
  const auto pin_height_mm = [&](double deg) {
    const double rad = radians(deg + crank.throw_at_tdc_deg());
    const double x = crank.throw_mm() * std::sin(rad), y = crank.throw_mm() * std::cos(rad);
    double low = y, high = y + rod_mm;
    for (int i = 0; i < 100; ++i) {
      const double middle = 0.5 * (low + high);
      (std::hypot(offset_mm - x, middle - y) < rod_mm ? low : high) = middle;
    }
    return low;
  };
  for (double deg = -360.0; deg <= 360.0; deg += 11.0)
    CHECK_THAT(crank.drop_mm(deg), WithinAbs(pin_height_mm(0.0) - pin_height_mm(deg), 1e-10));
}

TEST_CASE("volumes of a square cylinder come out by hand", "[volumes]") {
  Block block = small_engine().block;
  block.bore_mm = 100.0;
  block.stroke_mm = 100.0;
  block.gasket_bore_mm = 100.0;
  block.gasket_mm = 1.0;
  block.deck_mm = 0.0;
  block.crown_cc = 0.0;
  block.chamber_cc = 100.0;
  CHECK_THAT(swept_cc(block), WithinAbs(250.0 * pi, 1e-9));
  CHECK_THAT(clearance_cc(block), WithinAbs(100.0 + 2.5 * pi, 1e-9));
  const Compression ratios = compression(block, 180.0);
  CHECK_THAT(ratios.static_ratio, WithinAbs(1.0 + 250.0 * pi / (100.0 + 2.5 * pi), 1e-12));
  CHECK_THAT(ratios.effective_ratio, WithinAbs(ratios.static_ratio, 1e-12));
  CHECK(compression(block, 240.0).effective_ratio < ratios.static_ratio);
}
