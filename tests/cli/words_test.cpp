#include "cli/numbers.hpp"
#include "cli/standing_words.hpp"
#include "cli/words.hpp"
#include "support/catch.hpp"

using namespace phasewright;
using namespace phasewright::cli;

TEST_CASE("figures are rounded and never show a negative nothing", "[words]") {
  CHECK(fixed(1.005, 1) == "1.0");
  CHECK(fixed(-0.004, 2) == "0.00");
  CHECK(fixed(-0.0, 0) == "0");
  CHECK(fixed(-0.006, 2) == "-0.01");
  CHECK(fixed(1e300, 2) == "1e+300");
  CHECK(signed_fixed(2.0, 2) == "+2.00");
  CHECK(signed_fixed(-2.0, 2) == "-2.00");
  CHECK(signed_fixed(0.001, 2) == "0.00");
  CHECK(signed_fixed(-0.001, 2) == "0.00");
  CHECK(mm_thou(0.0254) == "0.03 mm (1 thou)");
  CHECK(mm_thou(2.54) == "2.54 mm (100 thou)");
}

TEST_CASE("phase is advanced or retarded in words", "[words]") {
  CHECK(phase_words(4.08) == "4.08° of crank advanced");
  CHECK(phase_words(-4.08) == "4.08° of crank retarded");
  CHECK(phase_words(0.004) == "0.00° of crank, as the maker's card has it");
  CHECK(phase_words(-0.004) == "0.00° of crank, as the maker's card has it");
}

TEST_CASE("a clock angle is said as on a clock face", "[words]") {
  CHECK(clock_words(0.0) == "12 o'clock");
  CHECK(clock_words(360.0) == "12 o'clock");
  CHECK(clock_words(-0.5) == "12 o'clock");
  CHECK(clock_words(60.0) == "2 o'clock");
  CHECK(clock_words(45.0) == "between 1 and 2 o'clock");
  CHECK(clock_words(-15.0) == "between 11 and 12 o'clock");
  CHECK(clock_words(345.0) == "between 11 and 12 o'clock");
  CHECK(clock_words(65.0) == "just after 2 o'clock");
  CHECK(clock_words(175.0) == "just before 6 o'clock");
  CHECK(clock_words(355.0) == "just before 12 o'clock");
  CHECK(clock_words(15.0) == "between 12 and 1 o'clock");
}

TEST_CASE("strokes follow one another round the cycle", "[words]") {
  CHECK(stroke_words(0.0) == "overlap TDC");
  CHECK(stroke_words(720.0) == "overlap TDC");
  CHECK(stroke_words(719.99) == "overlap TDC");
  CHECK(stroke_words(360.0) == "firing TDC");
  CHECK(stroke_words(180.0) == "BDC");
  CHECK(stroke_words(540.0) == "BDC");
  CHECK(stroke_words(10.0) == "10.0° crank after overlap TDC, going down on its inlet stroke");
  CHECK(stroke_words(190.0) == "10.0° crank after BDC, going up on its compression stroke");
  CHECK(stroke_words(370.0) == "10.0° crank after firing TDC, going down on its power stroke");
  CHECK(stroke_words(-10.0) == "170.0° crank after BDC, going up on its exhaust stroke");
}

TEST_CASE("a crank angle is told from the nearest dead centre", "[words]") {
  CHECK(dead_centre_words(11.44) == "11.4° ATDC (overlap)");
  CHECK(dead_centre_words(-11.44) == "11.4° BTDC (overlap)");
  CHECK(dead_centre_words(0.01) == "TDC (overlap)");
  CHECK(dead_centre_words(719.99) == "TDC (overlap)");
  CHECK(dead_centre_words(350.0) == "10.0° BTDC (firing)");
  CHECK(dead_centre_words(360.0) == "TDC (firing)");
  CHECK(dead_centre_words(200.0) == "20.0° ABDC");
  CHECK(dead_centre_words(520.0) == "20.0° BBDC");
  CHECK(dead_centre_words(540.0) == "BDC");
}

TEST_CASE("columns line up whatever the characters", "[words]") {
  CHECK(table({Align::left, Align::right}, {{"a", "1°"}, {"bcd", "10.0"}}) == "  a      1°\n  bcd  10.0\n");
  CHECK(table({Align::left, Align::left}, {{"a", ""}, {"b", "c"}}) == "  a\n  b  c\n");
}

TEST_CASE("numbers are read whole or not at all", "[numbers]") {
  CHECK(read_number("-90.5") == -90.5);
  CHECK(read_number("+5") == 5.0);
  CHECK(read_number("1e3") == 1000.0);
  for (const char* text :
       {"", "+", "-", "1,5", "nan", "inf", "-inf", "1e999", "0x10", " 1", "1 ", "1deg", "+-1", "--1"})
    CHECK_FALSE(read_number(text).has_value());
  CHECK(read_whole_number("-3") == -3);
  for (const char* text : {"", "1.0", "99999999999", "three", "1 "}) CHECK_FALSE(read_whole_number(text).has_value());
  const auto size = read_size("1280x800");
  REQUIRE(size.has_value());
  CHECK(size->width == 1280);
  CHECK(size->height == 800);
  for (const char* text : {"", "x", "1280", "1280x", "x800", "1280X800", "1280x800x2", "a x b"})
    CHECK_FALSE(read_size(text).has_value());
}

TEST_CASE("what is wider than the page goes on under where it began", "[words]") {
  const std::string words(60, 'a');
  CHECK(wrapped("short\n\n  table  row\n") == "short\n\n  table  row\n");
  CHECK(wrapped(words + " " + words + "\n") == words + "\n" + words + "\n");
  CHECK(wrapped("  " + words + " b " + words + "\n") == "  " + words + " b\n  " + words + "\n");
  // A word that no line holds stands by itself; a degree sign is one column.
  const std::string path(120, 'p');
  CHECK(wrapped("see " + path + "\n") == "see\n" + path + "\n");
  std::string degrees;
  for (int i = 0; i < 100; ++i) degrees += "°";
  CHECK(wrapped(degrees + "\n") == degrees + "\n");
}

TEST_CASE("a table's last column goes on in further lines", "[words]") {
  const std::string thing(70, 'x');
  CHECK(
      table({Align::left, Align::left}, {{"Thing", "how"}, {thing, "one two three four five six seven"}, {"y", "z"}}) ==
      "  Thing" + std::string(67, ' ') + "how\n  " + thing + "  one two three four five\n" + std::string(74, ' ') +
          "six seven\n  y" + std::string(71, ' ') + "z\n");
}

TEST_CASE("what is not worked out is called neither safe nor not", "[words]") {
  Standing standing;
  standing.fault = "the engine file has no valve dimensions";
  const Verdict verdict = verdict_on(standing, "as fitted");
  CHECK_FALSE(verdict.safe.has_value());
  CHECK_FALSE(verdict.plain);
  CHECK(verdict.words == "As fitted, clearances are not worked out: the engine file has no valve dimensions.");
  CHECK(not_judged("by the maker's card").plain);
  CHECK_FALSE(not_judged("by the maker's card").safe.has_value());
}

TEST_CASE("what comes below a limit is told once, now before worn, along the axis before sideways", "[words]") {
  const auto judged = [](ClearanceCriterion criterion, double figure_mm) {
    return JudgedClearance{ValveKind::inlet, criterion, figure_mm, 2.0, 10.0, std::nullopt};
  };
  const Judgement near{{judged(ClearanceCriterion::axial, 1.5), judged(ClearanceCriterion::any_way, 1.4)}};
  const Judgement nearer{{judged(ClearanceCriterion::axial, 1.0), judged(ClearanceCriterion::any_way, 0.9)}};
  const Judgement clear{{judged(ClearanceCriterion::axial, 2.5)}};
  CHECK(too_close_words(clear, clear).empty());
  REQUIRE(too_close_words(near, nearer).size() == 1);
  CHECK(too_close_words(near, nearer)[0].find(
            "the inlet valve comes within 1.50 mm of the piston along its axis, at") == 0);
  REQUIRE(too_close_words(clear, nearer).size() == 1);
  CHECK(too_close_words(clear, nearer)[0].find("1.00 mm of the piston along its axis once the chain has worn, at") !=
        std::string::npos);
}
