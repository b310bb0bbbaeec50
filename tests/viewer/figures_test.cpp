#include "viewer/figures.hpp"

#include "support/catch.hpp"

using namespace phasewright;
using namespace phasewright::viewer;

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
