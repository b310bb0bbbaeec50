#include "bench/chain_count.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <numeric>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Drive drive_of(const Engine& engine, const Fitted& fitted = {}) {
  Result<Drive> drive = Drive::assemble(engine, fitted);
  REQUIRE(drive.ok());
  return *std::move(drive);
}

glm::dvec2 mark_mm(const Engine& engine, const DrivePose& pose, std::size_t sprocket) {
  const double deg = pose.loops[0].sprockets[sprocket].mark_clock_deg;
  const double radius_mm = pitch_radius_mm(engine.loops[0].chain.pitch_mm, engine.loops[0].sprockets[sprocket].teeth);
  return engine.loops[0].sprockets[sprocket].centre_mm + radius_mm * glm::dvec2{sin_deg(deg), cos_deg(deg)};
}

// From the pin in the camshaft sprocket's marked gap along the chain, or against it, until the crank's marked tooth
// lies between two pins. By looking at the picture of the chain alone.
int counted_by_eye(const Engine& engine, const Drive& drive, std::size_t sprocket, bool taut_side,
                   const MarkCount& where, double share) {
  const DrivePose pose = drive.pose(where.from_crank_deg + share * (where.to_crank_deg - where.from_crank_deg));
  const std::vector<glm::dvec2>& pins = pose.loops[0].pins_mm;
  const glm::dvec2 cam_mm = mark_mm(engine, pose, sprocket);
  const glm::dvec2 crank_mm = mark_mm(engine, pose, 0);
  const auto nearest = std::ranges::min_element(pins, {}, [&](glm::dvec2 pin) { return length2(pin - cam_mm); });
  CHECK(length2(*nearest - cam_mm) < 0.25 * engine.loops[0].chain.pitch_mm); // seated in the marked gap
  auto at = static_cast<std::size_t>(nearest - pins.begin());
  for (int passed = 0; passed < engine.loops[0].chain.links; ++passed) {
    const glm::dvec2 here = pins[at];
    at = (at + (taut_side ? 1 : pins.size() - 1)) % pins.size();
    if (length2((here + pins[at]) * 0.5 - crank_mm) < 0.5 * engine.loops[0].chain.pitch_mm) return passed;
  }
  return -1;
}

} // namespace

TEST_CASE("the pins each way round a loop of three sprockets are those one sees", "[chain_count]") {
  for (const Rotation rotation : {Rotation::clockwise, Rotation::anticlockwise})
    for (const int lay : {-2, 0, 1}) {
      INFO(to_word(rotation) << ", lay " << lay);
      Engine engine = overhead_engine();
      if (rotation == Rotation::anticlockwise) engine = mirrored(engine);
      Fitted fitted;
      fitted.lay = lay;
      const Drive drive = drive_of(engine, fitted);
      const std::vector<MarksOfCamshaft> marks = count_marks(engine, drive);
      REQUIRE(marks.size() == 2);
      CHECK(marks[0].camshaft == "exhaust");
      CHECK(marks[1].camshaft == "inlet");
      for (std::size_t i = 0; i < 2; ++i)
        for (const bool taut_side : {true, false}) {
          INFO(marks[i].camshaft << (taut_side ? ", taut side" : ", back"));
          const std::optional<MarkCount>& count = taut_side ? marks[i].taut_side : marks[i].back;
          REQUIRE(count.has_value());
          for (const double share : {0.0, 0.4, 1.0})
            CHECK(counted_by_eye(engine, drive, i + 1, taut_side, *count, share) == count->pins);
        }
    }
}

// All pins of the chain are passed once going round: those of both sides, and the one in the camshaft's marked gap.
TEST_CASE("both sides together are the whole chain, when the marks stand as they did", "[chain_count]") {
  const Engine engine = overhead_engine();
  const MarkPlaces places = mark_places(engine, drive_of(engine));
  int seen = 0;
  for (const std::vector<std::optional<double>>& look : places.looks) {
    if (!look[0] || !look[1]) continue;
    const MarkPlaces one{places.links, {look}};
    CHECK(pins_between(one, 1, 0)->pins + pins_between(one, 0, 1)->pins + 1 == 106);
    ++seen;
  }
  CHECK(seen > 0);
}

TEST_CASE("a tooth of lay is a pin less on the taut side, at that camshaft alone", "[chain_count]") {
  const Engine engine = overhead_engine();
  const std::vector<MarksOfCamshaft> marked = count_marks(engine, drive_of(engine));
  for (int lay = -4; lay <= 4; ++lay) {
    Fitted fitted;
    fitted.lay_of["exhaust"] = lay;
    const std::vector<MarksOfCamshaft> laid = count_marks(engine, drive_of(engine, fitted));
    CHECK(laid[0].taut_side->pins == marked[0].taut_side->pins - lay);
    CHECK(laid[1].taut_side->pins == marked[1].taut_side->pins);
  }
}

TEST_CASE("wear, keys and a tensioner's travel change no count", "[chain_count]") {
  const Engine engine = overhead_engine();
  const std::vector<MarksOfCamshaft> marked = count_marks(engine, drive_of(engine));
  Fitted fitted;
  fitted.elongation_percent = 0.5;
  fitted.crank_key_deg = 3.0;
  fitted.cam_key_deg = -2.0;
  fitted.centre_change_mm = 0.1;
  const std::vector<MarksOfCamshaft> counted = count_marks(engine, drive_of(engine, fitted));
  for (std::size_t i = 0; i < 2; ++i) CHECK(counted[i].taut_side->pins == marked[i].taut_side->pins);
}

TEST_CASE("a count of pins tells the least lay with which the chain has that count", "[chain_count]") {
  for (const Engine& engine : {small_engine(), overhead_engine()})
    for (const Camshaft& camshaft : engine.camshafts) {
      const std::size_t sprocket = find_cam_sprocket(engine, camshaft.name)->sprocket;
      std::map<int, int> lay_of_count; // the least lay, of all counts that can be taken at any
      for (const int lay : {10, -10, 9, -9, 8, -8, 7, -7, 6, -6, 5, -5, 4, -4, 3, -3, 2, -2, 1, -1, 0}) {
        Fitted fitted;
        fitted.lay_of[camshaft.name] = lay;
        for (const std::optional<int>& count : pins_by_look(mark_places(engine, drive_of(engine, fitted)), sprocket, 0))
          if (count) lay_of_count[*count] = lay;
      }
      const int as_marked = pins_between(mark_places(engine, drive_of(engine)), sprocket, 0)->pins;
      for (int lay = -5; lay <= 5; ++lay) CHECK(lay_of_count.at(as_marked - lay) == lay);
      Fitted fitted;
      fitted.lay = 3; // what is fitted is not asked about
      for (int pins = 0; pins < engine.loops[0].chain.links; ++pins) {
        const std::optional<LayFromCount> told = lay_from_count(engine, fitted, camshaft.name, pins);
        const auto known = lay_of_count.find(pins);
        INFO(camshaft.name << ", " << pins << " pins");
        // Of two lays as far from the marks either way, either will do.
        REQUIRE(told.has_value() == (known != lay_of_count.end()));
        if (!told) continue;
        CHECK(std::abs(told->lay) == std::abs(known->second));
        CHECK(told->as_marked == pins + told->lay);
      }
    }
}

TEST_CASE("the lay is said in words", "[chain_count]") {
  const Engine engine = small_engine();
  const int pins = lay_from_count(engine, {}, "cam", 16)->as_marked;
  CHECK(pins == 16);
  CHECK(lay_from_count(engine, {}, "cam", 16)->words == "16 pins from mark to mark: as marked");
  CHECK(lay_from_count(engine, {}, "cam", 17)->words == "17 pins from mark to mark: one tooth retarded");
  CHECK(lay_from_count(engine, {}, "cam", 13)->words == "13 pins from mark to mark: three teeth advanced");
  // Ten teeth retarded, or nine advanced and counted a turn of the crank later.
  CHECK(lay_from_count(engine, {}, "cam", 26)->words == "26 pins from mark to mark: nine teeth advanced");
  CHECK(lay_from_count(engine, {}, "cam", 25)->words == "25 pins from mark to mark: nine teeth retarded");
  CHECK_FALSE(lay_from_count(engine, {}, "nobody", 16).has_value());
  Engine short_chain = engine;
  short_chain.loops[0].chain.links = 50;
  CHECK_FALSE(lay_from_count(short_chain, {}, "cam", 16).has_value());
}

// By stepping a tooth at a time until link and tooth are those of the start.
TEST_CASE("a link meets the same tooth again when the stepping says so", "[chain_count]") {
  for (const int links : {52, 53, 54, 57, 76}) {
    Engine engine = small_engine();
    engine.loops[0].chain.links = links;
    const CountTable table = count_table(engine);
    REQUIRE(table.hunting.size() == 2);
    for (const Hunting& hunting : table.hunting) {
      int link = 0;
      int tooth = 0;
      long long steps = 0;
      std::vector<bool> met(static_cast<std::size_t>(hunting.teeth), false);
      do {
        if (link == 0) met[static_cast<std::size_t>(tooth)] = true;
        link = (link + 1) % links;
        tooth = (tooth + 1) % hunting.teeth;
        ++steps;
      } while (link != 0 || tooth != 0);
      INFO(links << " links, " << hunting.teeth << " teeth");
      CHECK(hunting.turns * hunting.teeth == steps);
      CHECK(std::ranges::count(met, true) * hunting.shared == hunting.teeth);
      CHECK(hunting.crank_turns_num * 19 == steps * hunting.crank_turns_den);
      CHECK(std::gcd(hunting.crank_turns_num, hunting.crank_turns_den) == 1);
    }
    CHECK(table.chain_rounds_crank_num * 19 == links * table.chain_rounds_crank_den);
  }
}

// An odd sprocket with an even chain is common practice (no source): every link then meets every tooth.
TEST_CASE("19 teeth and 52 links share nothing; 38 share two", "[chain_count]") {
  const CountTable table = count_table(small_engine());
  CHECK(table.hunting[0].shared == 1);
  CHECK(table.hunting[0].turns == 52);
  CHECK(table.hunting[1].shared == 2);
  CHECK(table.hunting[1].turns == 26);
  CHECK(table.hunting[1].crank_turns_num == 52);
  CHECK(table.marks.at(0).crank_turns == 2);
  CHECK(table.marks.at(0).bright_crank_turns == 52);
}

// By turning the drive itself: which pin stands in the marked gap, and whether the mark is back.
TEST_CASE("bright links stand on the marks again after so many turns of the drive", "[chain_count]") {
  for (const int links : {52, 53, 54}) {
    Engine engine = small_engine();
    engine.loops[0].chain.links = links;
    const Drive drive = drive_of(engine);
    const MarkCycle cycle = count_table(engine).marks.at(0);
    const auto pin_at_mark = [&](long long crank_turns) {
      const DrivePose pose = drive.pose(360.0 * static_cast<double>(crank_turns));
      const glm::dvec2 mark = mark_mm(engine, pose, 1);
      const std::vector<glm::dvec2>& pins = pose.loops[0].pins_mm;
      return std::ranges::min_element(pins, {}, [&](glm::dvec2 pin) { return length2(pin - mark); }) - pins.begin();
    };
    const auto clock_deg = [&](long long crank_turns) {
      return drive.pose(360.0 * static_cast<double>(crank_turns)).loops[0].sprockets[1].mark_clock_deg;
    };
    long long turns = 0;
    do ++turns;
    while (std::fabs(wrap_180(clock_deg(turns) - clock_deg(0))) > 1e-6 || pin_at_mark(turns) != pin_at_mark(0));
    INFO(links << " links");
    CHECK(cycle.bright_crank_turns == turns);
  }
}

TEST_CASE("a later loop's counts go by its own chain and its shaft's turns", "[chain_count]") {
  const Engine engine = jackshaft_engine(); // 18:27 to the jackshaft, 21:28 to the camshaft
  const CountTable table = count_table(engine, 1);
  REQUIRE(table.hunting.size() == 2);
  const int links = engine.loops[1].chain.links;
  // A turn of the jackshaft is one and a half of the crank.
  const Hunting& driving = table.hunting[0];
  CHECK(driving.turns * 21 == std::lcm(links, 21));
  CHECK(2 * driving.crank_turns_num == 3 * driving.turns * driving.crank_turns_den);
  CHECK(21 * 2 * table.chain_rounds_crank_num == 3 * links * table.chain_rounds_crank_den);
  // Jackshaft and camshaft are both back after six turns of the crank, four and three of theirs.
  REQUIRE(table.marks.size() == 1);
  CHECK(table.marks[0].crank_turns == 6);
  CHECK(table.marks[0].bright_crank_turns == 6 * std::lcm(links, 4 * 21) / (4 * 21));
}
