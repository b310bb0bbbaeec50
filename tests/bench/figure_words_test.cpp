#include "bench/figure_words.hpp"

#include "support/catch.hpp"

using namespace phasewright;

TEST_CASE("figures have a true minus and no minus before zero") {
  CHECK(figure(-2.06, 1) == "\u22122.1");
  CHECK(figure(-0.04, 1) == "0.0");
  CHECK(signed_figure(2.06, 1) == "+2.1");
  CHECK(signed_figure(0.04, 1) == "0.0");
  CHECK(signed_deg_text(-2.06) == "\u22122.1°");
}

TEST_CASE("a key's angle is said as short as it can be, and never as a power of ten") {
  CHECK(key_angle_text(2.0) == "2°");
  CHECK(key_angle_text(-1.5) == "1.5°");
  CHECK(key_angle_text(1.9749) == "1.97°");
  CHECK(key_angle_text(1e-9) == "under 0.01°");
  CHECK(key_angle_text(0.0) == "0°");
}

TEST_CASE("lengths are said in mm or thou") {
  CHECK(length_text(2.62, Units::mm) == "2.62 mm");
  // 1 in = 25.4 mm exactly, so 2.54 mm = 100 thou.
  CHECK(length_text(2.54, Units::thou) == "100 thou");
  CHECK(length_figure(-0.0254, Units::thou) == "\u22121");
}

TEST_CASE("crank angles are said from the nearest dead centre") {
  CHECK(crank_words(0.0) == "TDC (overlap)");
  CHECK(crank_words(41.0) == "41° ATDC (overlap)");
  CHECK(crank_words(700.0) == "20° BTDC (overlap)");
  CHECK(crank_words(345.0) == "15° BTDC (firing)");
  CHECK(crank_words(41.0, false) == "41° ATDC");
  CHECK(crank_words(319.0, false) == "41° BTDC (firing)");
  CHECK(crank_words(180.2) == "BDC");
  CHECK(crank_words(213.0) == "33° ABDC");
  CHECK(crank_words(500.0) == "40° BBDC");
}
