#include "viewer/figures.hpp"

#include "support/catch.hpp"

using namespace phasewright::viewer;

TEST_CASE("figures have a true minus and no minus before zero") {
  CHECK(figure(-2.06, 1) == "\u22122.1");
  CHECK(figure(-0.04, 1) == "0.0");
  CHECK(signed_figure(2.06, 1) == "+2.1");
  CHECK(signed_figure(0.04, 1) == "0.0");
  CHECK(signed_deg_text(-2.06) == "\u22122.1°");
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

TEST_CASE("typed numbers may have a true minus, a decimal comma and the unit") {
  CHECK(parse_number("2", "°") == 2.0);
  CHECK(parse_number(" +0,9 % ", "%") == 0.9);
  CHECK(parse_number("\u22121.5°", "°") == -1.5);
  CHECK(parse_number("3 teeth", " teeth") == 3.0);
  CHECK_FALSE(parse_number("", "°"));
  CHECK_FALSE(parse_number("2 3x", "°"));
  CHECK_FALSE(parse_number("nan", "°"));
  CHECK_FALSE(parse_number("inf", "°"));
  CHECK_FALSE(parse_number("1e999", "°"));
  CHECK_FALSE(parse_number("2%", "°"));
  CHECK(parse_number("- 2", "°") == std::nullopt);
  CHECK_FALSE(parse_number("2 5", "°")); // not 25
  CHECK_FALSE(parse_number("0 5%", "%"));
  CHECK_FALSE(parse_number("+-5", "°"));
  CHECK_FALSE(parse_number("+", "°"));
  CHECK_FALSE(parse_number("°", "°"));
}

// 1 in = 25.4 mm, 1 thou = a thousandth of it.
TEST_CASE("a typed length may have its unit after it, whichever the screen shows") {
  for (const Units shown : {Units::mm, Units::thou}) {
    for (const char* text : {"3 thou", "3thou", "3 th", "0.003in", "0.003 in", "0,003 inch", "0.003\"", "0.0762mm"}) {
      INFO(text);
      const auto mm = parse_length_mm(text, shown);
      REQUIRE(mm);
      CHECK_THAT(*mm, WithinAbs(0.0762, 1e-12));
    }
    CHECK_FALSE(parse_length_mm("mm", shown));
    CHECK_FALSE(parse_length_mm("3 thou thou", shown));
    CHECK_FALSE(parse_length_mm("3 mm in", shown));
    CHECK_FALSE(parse_length_mm("3°", shown));
    CHECK_FALSE(parse_length_mm("near", shown));
  }
  CHECK(parse_length_mm("0.08", Units::mm) == 0.08);
  CHECK_THAT(*parse_length_mm("3", Units::thou), WithinAbs(0.0762, 1e-12));
  CHECK_THAT(*parse_length_mm("\u22121.5 mm", Units::thou), WithinAbs(-1.5, 1e-12));
}
