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
