#include "parts/build.hpp"
#include "parts/chain_table.hpp"
#include "parts/key_table.hpp"
#include "parts/problem.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

using namespace phasewright;

TEST_CASE("a problem is told in one line, empty parts left out", "[problem]") {
  const Problem whole{"a.toml", 12, 9, "block.bore_mm", "-3", "20 to 500 mm", "look again"};
  CHECK(to_text(whole) == "a.toml:12:9: block.bore_mm: found -3, allowed 20 to 500 mm; look again");
  CHECK(to_text(Problem{"", 0, 0, "chain.links", "", "", "too few"}) == "chain.links: too few");
  CHECK(to_text(Problem{"a.toml", 3, 0, "", "x", "", ""}) == "a.toml:3: found x");
  CHECK(to_text(Problem{"a.toml", 0, 0, "", "", "a file", ""}) == "a.toml: allowed a file");
  CHECK(to_text(Problems{whole, whole}) == to_text(whole) + "\n" + to_text(whole) + "\n");
}

TEST_CASE("a result is a value or problems", "[problem]") {
  const Result<int> value = 3;
  CHECK(value.ok());
  CHECK(*value == 3);
  const Result<int> none = Problem{"", 0, 0, "k", "f", "a", ""};
  CHECK_FALSE(none.ok());
  CHECK(none.problems().size() == 1);
}

// Pitches by ISO 606; rows by its suffix.
TEST_CASE("chains are found by their ISO 606 number", "[chain]") {
  CHECK(find_chain("06B-1")->size.pitch_mm == 9.525);
  CHECK(find_chain("06B")->rows == 1);
  CHECK(find_chain("08B-2")->rows == 2);
  CHECK(find_chain("05B-3")->size.roller_mm == 5.0);
  for (const char* wrong : {"", "06", "06B-0", "06B-4", "06B-", "06B-1x", "6B-1", "06b-1", "06B-11"})
    CHECK_FALSE(find_chain(wrong).has_value());
}

TEST_CASE("every chain in the table can run: the plates clear the rollers, the pin fits the roller", "[chain]") {
  for (const ChainSize& size : chain_sizes()) {
    INFO(size.number);
    CHECK(size.pin_mm < size.roller_mm);
    CHECK(size.roller_mm < size.pitch_mm);
    CHECK(size.plate_height_mm < size.pitch_mm);
    CHECK(size.inner_width_mm < size.transverse_pitch_mm);
  }
}

// Two figures of an ISO 606 number are the pitch in sixteenths of an inch (from memory), but for 05B's 8 mm.
TEST_CASE("a chain's number tells its pitch", "[chain]") {
  for (const ChainSize& size : chain_sizes()) {
    INFO(size.number);
    const int sixteenths = (size.number[0] - '0') * 10 + size.number[1] - '0';
    CHECK_THAT(size.pitch_mm, WithinAbs(size.number == "05B" ? 8.0 : sixteenths * 25.4 / 16.0, 1e-9));
  }
}

// Most figures of these columns are remembered, not read: a slip in one shows against the others. Bounds by inspection.
TEST_CASE("the rows of a chain fit beside one another", "[chain]") {
  for (const ChainSize& size : chain_sizes()) {
    INFO(size.number);
    // The pin goes through the inner link and two outer plates as thick as the inner ones, and stands out at both ends.
    const double plate_mm = (size.inner_link_width_mm - size.inner_width_mm) / 2.0;
    CHECK(plate_mm > 0.05 * size.pitch_mm);
    CHECK(size.pin_length_mm[0] > size.inner_link_width_mm + 2.0 * plate_mm);
    CHECK(size.transverse_pitch_mm > size.inner_link_width_mm);
    for (const int rows : {2, 3}) {
      INFO(rows << " rows");
      // Each row more lengthens the pin by the transverse pitch.
      const double more_mm = for_rows(size.pin_length_mm, rows) - for_rows(size.pin_length_mm, rows - 1);
      CHECK_THAT(more_mm - size.transverse_pitch_mm, WithinAbs(0.0, 0.151));
      // Rows share the load, at best evenly; strengths are rounded to 0.1 kN.
      const double one_by_one_kn = rows * for_rows(size.breaking_load_kn, 1);
      CHECK(for_rows(size.breaking_load_kn, rows) > 0.83 * one_by_one_kn);
      CHECK(for_rows(size.breaking_load_kn, rows) < one_by_one_kn + 0.05 * (rows + 1));
      CHECK_THAT(for_rows(size.measuring_force_n, rows), WithinAbs(rows * size.measuring_force_n[0], 10.0));
    }
    // The measuring force is about a hundredth of the strength.
    CHECK(size.measuring_force_n[0] / (1000.0 * size.breaking_load_kn[0]) > 0.006);
    CHECK(size.measuring_force_n[0] / (1000.0 * size.breaking_load_kn[0]) < 0.015);
  }
}

TEST_CASE("keys read as width x height x diameter", "[key]") {
  CHECK(parse_key("4x6.5x16") == KeySize{4.0, 6.5, 16.0});
  CHECK(to_text(KeySize{4.0, 6.5, 16.0}) == "4x6.5x16");
  for (const char* wrong : {"", "4", "4x6.5", "4x6.5x", "4x6.5x16x", "4 x 6.5 x 16", "x6.5x16", "0x6.5x16", "-4x6.5x16",
                            "nanx6.5x16", "infx6.5x16", "4x6.5x16mm", "1e999x2x3"})
    CHECK_FALSE(parse_key(wrong).has_value());
}

// DIN 6888: the key stands clear of the hub keyway's bottom by t1 + t2 - h = 0.2 mm in every row.
TEST_CASE("keyways leave the standard's top clearance", "[key]") {
  for (const Keyway& keyway : keyways()) {
    INFO(to_text(keyway.key));
    CHECK_THAT(keyway.shaft_depth_mm + keyway.hub_depth_mm - keyway.key.height_mm, WithinAbs(0.2, 1e-12));
  }
  CHECK(find_keyway({4.0, 6.5, 16.0})->shaft_depth_mm == 5.0);
  CHECK_FALSE(find_keyway({4.0, 6.5, 17.0}).has_value());
}

// Even firing: each next cylinder of the firing order comes 720 / n crank degrees later (common practice, no source).
TEST_CASE("cylinders follow one another by the firing order", "[engine]") {
  const Engine engine = testing::small_engine();
  CHECK(cylinder_delay_deg(engine.block, 1) == 0.0);
  CHECK(cylinder_delay_deg(engine.block, 3) == 180.0);
  CHECK(cylinder_delay_deg(engine.block, 4) == 360.0);
  CHECK(cylinder_delay_deg(engine.block, 2) == 540.0);
  CHECK(find_camshaft(engine, "cam") == &engine.camshafts[0]);
  CHECK(find_camshaft(engine, "no such") == nullptr);
}

TEST_CASE("a camshaft's own lay goes before the common one", "[build]") {
  Fitted fitted;
  fitted.lay = 1;
  CHECK(lay_of(fitted, "cam") == 1);
  fitted.lay_of["cam"] = -1;
  CHECK(lay_of(fitted, "cam") == -1);
  CHECK(lay_of(fitted, "other") == 1);
}
