#include "geometry/angle.hpp"
#include "mechanics/volumes.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

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

TEST_CASE("the cylinder holds its clearance at TDC and the swept volume more at BDC", "[volumes]") {
  Block block = small_engine().block;
  block.pin_offset_mm = 3.0;
  const SliderCrank crank(block);
  CHECK(volume_cc(block, 0.0) == clearance_cc(block));
  CHECK_THAT(volume_cc(block, crank.drop_mm(crank.bdc_deg())), WithinAbs(clearance_cc(block) + swept_cc(block), 1e-9));
}

// Elementary: 1 + (ratio - 1) y / S with y the exact drop at inlet closing; figures worked out apart from this program.
TEST_CASE("the effective ratio goes by the piston's place at inlet closing", "[volumes]") {
  Block block = small_engine().block;
  block.stroke_mm = 90.0;
  block.rod_mm = 138.5;
  block.chamber_cc = swept_cc(block) / 8.0;
  block.gasket_mm = block.deck_mm = block.crown_cc = 0.0;
  CHECK_THAT(compression(block, 180.0).effective_ratio, WithinAbs(9.0, 1e-12));
  CHECK_THAT(compression(block, 220.0).effective_ratio, WithinAbs(8.335660891, 1e-8));
  CHECK_THAT(compression(block, 240.0).effective_ratio, WithinAbs(7.497413265, 1e-8));
}

// The table of the standard atmosphere, ISO 2533, in hPa by geopotential altitude; from memory.
TEST_CASE("the air outside is the standard atmosphere's", "[volumes]") {
  CHECK_THAT(atmosphere_kpa(0.0), WithinAbs(101.325, 1e-12));
  CHECK_THAT(atmosphere_kpa(1000.0), WithinAbs(89.8746, 1e-4));
  CHECK_THAT(atmosphere_kpa(2000.0), WithinAbs(79.4952, 1e-4));
  CHECK_THAT(atmosphere_kpa(5000.0), WithinAbs(54.0199, 1e-4));
}

// Elementary gas laws: at one temperature (exponent 1) pressure goes as the ratio, else as a power of it.
TEST_CASE("the cranking estimate follows from its assumptions", "[volumes]") {
  const CrankingPressure slow = cranking_pressure(8.0, {.exponent = 1.0, .altitude_m = 0.0});
  CHECK_THAT(slow.absolute_kpa, WithinAbs(8.0 * 101.325, 1e-9));
  CHECK_THAT(slow.gauge_kpa, WithinAbs(7.0 * 101.325, 1e-9));
  const CrankingPressure high = cranking_pressure(8.0, {.exponent = 1.3, .altitude_m = 1000.0});
  CHECK_THAT(high.absolute_kpa, WithinRel(high.atmosphere_kpa * std::exp(1.3 * std::log(8.0)), 1e-12));
  CHECK_THAT(cranking_pressure(8.0).absolute_kpa, WithinAbs(1512.633, 1e-3));
  CHECK_THAT(cranking_pressure(1.0).gauge_kpa, WithinAbs(0.0, 1e-12));
}
