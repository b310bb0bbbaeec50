// Lobe tables: what they may say, and the row named when they may not.
#include "files/folder.hpp"
#include "files/lobe_table.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr const char* sound_rows = "-40,0\n-30,0.5\n-20,2\n-10,4\n0,5\n10,4\n20,2\n30,0.5\n40,0\n";

std::string said(const std::string& text) {
  const auto table = parse_lobe_table(text, "lobe.csv");
  return table ? "" : to_text(table.problems());
}

std::string said_of(const Edits& edits) {
  return said("cam_deg,lift_mm\n" + edited(sound_rows, edits));
}

} // namespace

TEST_CASE("A lobe table is read in cam degrees and millimetres") {
  const auto table = parse_lobe_table(std::string("# as measured\n\ncam_deg,lift_mm\n") + sound_rows, "lobe.csv");
  REQUIRE(table.ok());
  CHECK(table->cam_deg == std::vector<double>{-40, -30, -20, -10, 0, 10, 20, 30, 40});
  CHECK(table->lift_mm == std::vector<double>{0, 0.5, 2, 4, 5, 4, 2, 0.5, 0});
  CHECK(table->last_digit_mm == 0.1);
}

TEST_CASE("Crank degrees are halved and inches made millimetres") {
  const auto table = parse_lobe_table("lift_in , crank_deg\r\n0,-40\r\n0.1,-30\r\n.15,-20\r\n.2,-10\r\n.25,+0\r\n"
                                      "# down again\r\n.2,10\r\n.15,20\r\n1e-1,30\r\n0,40",
                                      "lobe.csv");
  REQUIRE(table.ok());
  CHECK(table->cam_deg.front() == -20);
  CHECK(table->cam_deg.back() == 20);
  CHECK_THAT(table->lift_mm[4], WithinAbs(6.35, 1e-12)); // 1 in = 25.4 mm exactly
  CHECK_THAT(table->last_digit_mm, WithinAbs(0.254, 1e-12));
}

TEST_CASE("A nose may be flat and may stand within a row of 0") {
  CHECK(said_of({{"0,5\n", "0,5\n1,5\n"}}) == "");
  CHECK(said_of({{"\n0,5\n10,4", "\n0,4.9\n10,5"}}) == "");
}

TEST_CASE("A faulty lobe table is told the row") {
  CHECK(said_of({{"-20,2\n", "-20,two\n"}, {"\n20,2\n", "\n20\n"}}) ==
        "lobe.csv:4:5: row 3 lift_mm: found two, allowed a figure\n"
        "lobe.csv:8:1: row 7: found 20, allowed two figures and a comma between them\n");
  CHECK(said_of({{"-20,2\n", "nan,inf\n"}}) == "lobe.csv:4:1: row 3 cam_deg: found nan, allowed a figure\n"
                                               "lobe.csv:4:5: row 3 lift_mm: found inf, allowed a figure\n");
  CHECK(said_of({{"-20,2\n", "-20,\n"}}) == "lobe.csv:4:5: row 3 lift_mm: found nothing, allowed a figure\n");
  CHECK(said_of({{"-20,2\n", "-20,2,0\n"}}) ==
        "lobe.csv:4:1: row 3: found -20,2,0, allowed two figures and a comma between them\n");
  CHECK(said_of({{"-20,2\n", "-30,2\n"}}) ==
        "lobe.csv:4:1: row 3 cam_deg: found -30, allowed more than -30; angles rise from row to row\n"
        "lobe.csv:5:1: row 4 cam_deg: found -10, allowed at most -20; the rows are too far apart to draw a curve "
        "through\n");
  CHECK(said_of({{"-20,2\n", "-20,-2\n"}}) == "lobe.csv:4:5: row 3 lift_mm: found -2, allowed 0 to 40\n");
  CHECK(said_of({{"-10,4\n", "-10,1\n"}}) ==
        "lobe.csv:5:5: row 4 lift_mm: found 1, allowed at least 2; lift rises without a break to one nose\n");
  CHECK(said_of({{"\n20,2\n", "\n20,4.5\n"}}) ==
        "lobe.csv:8:4: row 7 lift_mm: found 4.5, allowed at most 4; lift falls without a break from one nose\n");
  CHECK(said_of({{"-40,0\n", "-40,0.3\n"}, {"\n40,0\n", "\n40,0.1\n"}}) ==
        "lobe.csv:2:5: row 1 lift_mm: found 0.3, allowed at most 0.02; the table begins on the base circle\n"
        "lobe.csv:10:4: row 9 lift_mm: found 0.1, allowed at most 0.02; the table ends on the base circle\n");
  CHECK(said_of({{"\n0,5\n10,4\n20,2\n", "\n0,3\n10,4.5\n20,5\n"}, {"-10,4\n", "-10,2\n"}}) ==
        "lobe.csv:8:1: row 7 cam_deg: found 20, allowed -10 to 10; the greatest lift stands here; angles count from "
        "the nose\n");
  CHECK(said_of({{"-40,0\n", ""}}) == "lobe.csv:9:1: found 8 rows, allowed 9 to 20000 rows\n");
}

TEST_CASE("The lobe's own radius has a column of its own") {
  const auto mm = parse_lobe_table(std::string("cam_deg,lobe_mm\n") + sound_rows, "lobe.csv");
  REQUIRE(mm.ok());
  CHECK(mm->lift_of == LiftOf::lobe);
  CHECK(mm->lift_mm[4] == 5);
  const auto inches = parse_lobe_table(std::string("lobe_in,cam_deg\n0,-40\n.02,-30\n.1,-20\n.2,-10\n.25,0\n.2,10\n"
                                                   ".1,20\n.02,30\n0,40\n"),
                                       "lobe.csv");
  REQUIRE(inches.ok());
  CHECK(inches->lift_of == LiftOf::lobe);
  CHECK_THAT(inches->lift_mm[4], WithinAbs(6.35, 1e-12));
  CHECK(parse_lobe_table(std::string("cam_deg,lift_mm\n") + sound_rows, "lobe.csv")->lift_of == LiftOf::tappet);
  CHECK(said("cam_deg,lobe_mm\n" + edited(sound_rows, {{"-20,2\n", "-20,-2\n"}})) ==
        "lobe.csv:4:5: row 3 lobe_mm: found -2, allowed 0 to 40\n");
  CHECK(said("cam_deg,lobe_in\n" + edited(sound_rows, {{"-20,2\n", "-20,-2\n"}, {"0,5\n", "0,1\n"}})) ==
        "lobe.csv:4:5: row 3 lobe_in: found -2, allowed 0 to 1.5748031496062993\n"
        "lobe.csv:5:5: row 4 lobe_in: found 4, allowed 0 to 1.5748031496062993\n"
        "lobe.csv:7:4: row 6 lobe_in: found 4, allowed 0 to 1.5748031496062993\n"
        "lobe.csv:8:4: row 7 lobe_in: found 2, allowed 0 to 1.5748031496062993\n");
}

TEST_CASE("The last digit is that of the lift written finest") {
  const auto last_digit_mm = [](const char* lift) {
    return parse_lobe_table("cam_deg,lift_mm\n" + edited(sound_rows, {{"-20,2\n", "-20," + std::string(lift) + "\n"}}),
                            "lobe.csv")
        ->last_digit_mm;
  };
  CHECK_THAT(last_digit_mm("2.00"), WithinAbs(0.01, 1e-15));
  CHECK_THAT(last_digit_mm("2.125"), WithinAbs(0.001, 1e-15));
  CHECK_THAT(last_digit_mm("0.2e1"), WithinAbs(0.1, 1e-15));
  CHECK_THAT(last_digit_mm("212.5E-2"), WithinAbs(0.001, 1e-15));
  CHECK_THAT(last_digit_mm("2.0000000000000000000000000000"), WithinAbs(1e-12, 1e-20));
}

TEST_CASE("Steps may be of any size up to ten degrees") {
  CHECK(said_of({{"-30,0.5\n", "-35.5,0.1\n-30,0.5\n-29,0.6\n-22.25,1.7\n"}}) == "");
}

// Two graduations of a dial indicator: the reading's own limit, where the lobe rises less than that from row to row.
TEST_CASE("A reading may step back by two graduations on a ramp and on the nose, and not on a flank") {
  CHECK(said_of({{"-30,0.5\n", "-38,0.02\n-36,0\n-34,0.1\n-32,0.08\n-30,0.5\n"}}) == "");
  CHECK(said_of({{"30,0.5\n40,0\n", "30,0.5\n32,0.3\n34,0.32\n40,0\n45,0.02\n50,0.01\n"}}) == "");
  CHECK(said_of({{"\n0,5\n", "\n-2,4.99\n-1,4.98\n0,5\n1,4.97\n2,4.99\n3,4.96\n"}}) == "");
  // Steps back do not add up: each is counted from the highest so far.
  CHECK(said_of({{"-30,0.5\n", "-38,0.10\n-36,0.08\n-34,0.07\n-30,0.5\n"}}) ==
        "lobe.csv:5:5: row 4 lift_mm: found 0.07, allowed at least 0.08; lift rises without a break to one nose\n");
  CHECK(said_of({{"-30,0.5\n", "-38,0.10\n-36,0.07\n-30,0.5\n"}}) ==
        "lobe.csv:4:5: row 3 lift_mm: found 0.07, allowed at least 0.08; lift rises without a break to one nose\n");
  CHECK(said_of({{"-20,2\n", "-20,2\n-19,1.99\n"}}) ==
        "lobe.csv:5:5: row 4 lift_mm: found 1.99, allowed at least 2; lift rises without a break to one nose\n");
  CHECK(said_of({{"\n20,2\n", "\n20,2\n21,2.01\n"}}) ==
        "lobe.csv:9:4: row 8 lift_mm: found 2.01, allowed at most 2; lift falls without a break from one nose\n");
  CHECK(said_of({{"\n0,5\n", "\n0,5\n1,4.9\n2,4.93\n"}}) ==
        "lobe.csv:8:3: row 7 lift_mm: found 4.93, allowed at most 4.92; lift falls without a break from one nose\n");
}

TEST_CASE("An unsteady nose is one nose") {
  CHECK(said_of({{"\n0,5\n", "\n-2,4.98\n-1,4.99\n0,4.98\n1,4.99\n2,5\n3,4.99\n"}}) == "");
}

TEST_CASE("A lobe table in other units is told its faults in them") {
  CHECK(said("crank_deg,lift_in\n-60,0\n-40,.1\n-15,.1\n0,.2\n10,.1\n20,.1\n30,.05\n40,0\n50,0\n60,0") ==
        "lobe.csv:4:1: row 3 crank_deg: found -15, allowed at most -20; the rows are too far apart to draw a curve "
        "through\n");
}

TEST_CASE("A lobe table without its columns is refused") {
  CHECK(said("# nothing\n") == "lobe.csv:1:1: found no line that names the columns, allowed cam_deg,lift_mm\n");
  CHECK(said(sound_rows) == "lobe.csv:1:1: columns: found -40,0, allowed cam_deg (or crank_deg) and lift_mm (or "
                            "lift_in, lobe_mm, lobe_in)\n");
  CHECK(said(std::string("cam_deg,crank_deg\n") + sound_rows) ==
        "lobe.csv:1:1: columns: found cam_deg,crank_deg, allowed cam_deg (or crank_deg) and lift_mm (or lift_in, "
        "lobe_mm, lobe_in)\n");
}

TEST_CASE("Lobes flat all round, out of the circle or of a thousand faults are refused") {
  std::string flat = "cam_deg,lift_mm\n";
  std::string wide = flat;
  std::string wrong = flat;
  for (int deg = -180; deg <= 180; deg += 10) {
    flat += std::to_string(deg) + ",0\n";
    wide += std::to_string(deg + 5) + ",0\n";
    wrong += "x,y\n";
  }
  CHECK(said(flat) ==
        "lobe.csv:2:6: row 1 lift_mm: found 0, allowed at least 0.5; this is the greatest lift of the table\n");
  CHECK(said(wide) == "lobe.csv:38:1: row 37 cam_deg: found 185, allowed -180 to 180\n");
  const auto many = parse_lobe_table(wrong, "lobe.csv");
  REQUIRE_FALSE(many.ok());
  CHECK(many.problems().size() == 20);
}
