#include "geometry/angle.hpp"
#include "reference/loops.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr int trials = 12;

LoopWish plain(int sprockets, bool tensioner) {
  LoopWish wish;
  wish.sprockets = sprockets;
  wish.tensioner = tensioner;
  return wish;
}

// The problem at that key, which must be there.
Problem problem_of(const RandomDrive& drawn, const std::string& key) {
  const Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
  REQUIRE_FALSE(drive.ok());
  INFO(to_text(drive.problems()));
  const auto found = std::find_if(drive.problems().begin(), drive.problems().end(),
                                  [&key](const Problem& problem) { return problem.key == key; });
  REQUIRE(found != drive.problems().end());
  return *found;
}

// The figure before `after` in a text.
double figure(const std::string& text, const std::string& after) {
  INFO(text);
  // The first place where a digit stands before those words.
  std::size_t end = text.find(after);
  while (end != std::string::npos && (end == 0 || std::isdigit(static_cast<unsigned char>(text[end - 1])) == 0))
    end = text.find(after, end + 1);
  REQUIRE(end != std::string::npos);
  const std::size_t begin = text.find_last_not_of("0123456789.-", end - 1) + 1; // npos + 1 is 0
  return std::stod(text.substr(begin, end - begin));
}

// Pitches the chain has over its tangents.
double spare_pitches(const RandomDrive& drawn, double travel_mm = 0.0) {
  const Loop& loop = drawn.engine.loops[0];
  const std::optional<Way> way = way_of(loop, handed(drawn.engine.rotation), fitted_pitch_mm(drawn), travel_mm);
  REQUIRE(way.has_value());
  return loop.chain.links - pitches(*way, fitted_pitch_mm(drawn));
}

// The true way is longer or shorter than the tangents' by so much within a tooth (unit: pitches).
constexpr double breathing = 0.06;

double apart_mm(const Loop& loop, std::size_t a, std::size_t b) {
  return length2(loop.sprockets[a].centre_mm - loop.sprockets[b].centre_mm);
}

} // namespace

// Each of these drives was sound before one thing was changed, so what is said must be of that thing. Lengths are held
// against the tangents' way.
TEST_CASE("a chain too short or too long says by how much", "[impossible]") {
  std::mt19937 random(90);
  for (int i = 0; i < trials; ++i) {
    const RandomDrive drawn = sound_loop(random, plain(whole_between(random, 2, 5), false));
    const double pitch_mm = fitted_pitch_mm(drawn);
    RandomDrive shorter = drawn;
    shorter.engine.loops[0].chain.links -= 2 * static_cast<int>(std::ceil((spare_pitches(drawn) + 0.3) / 2.0));
    const Problem too_short = problem_of(shorter, "chain.links");
    CHECK(too_short.found == std::to_string(shorter.engine.loops[0].chain.links) + " links");
    CHECK_THAT(figure(too_short.advice, " mm too short") / pitch_mm, WithinAbs(-spare_pitches(shorter), breathing));
    // With as many links as it asks for, the chain goes round.
    RandomDrive mended = shorter;
    mended.engine.loops[0].chain.links = static_cast<int>(figure(too_short.allowed, " or more"));
    CHECK(Drive::assemble(mended.engine, mended.fitted).ok());

    // Far more slack than a quarter of the strand that leaves the crank.
    RandomDrive longer = drawn;
    const Loop& loop = longer.engine.loops[0];
    longer.engine.loops[0].chain.links += 2 * static_cast<int>(std::ceil(apart_mm(loop, 0, 1) * 0.25 / pitch_mm));
    const Problem too_long = problem_of(longer, "chain.links");
    CHECK_THAT(figure(too_long.advice, " mm too long") / pitch_mm, WithinAbs(spare_pitches(longer), breathing));
    mended = longer;
    mended.engine.loops[0].chain.links = std::stoi(too_long.allowed);
    CHECK(Drive::assemble(mended.engine, mended.fitted).ok());
  }
}

TEST_CASE("a tensioner out of travel says at which end and by how much", "[impossible]") {
  std::mt19937 random(91);
  for (int i = 0; i < trials; ++i) {
    const RandomDrive drawn = sound_loop(random, plain(whole_between(random, 2, 5), true));
    const std::array<double, 2> travel_mm = drawn.engine.loops[0].tensioner->travel_mm;
    const double pitch_mm = fitted_pitch_mm(drawn);
    RandomDrive out = drawn;
    out.engine.loops[0].chain.links += 2;
    const Problem slack = problem_of(out, "tensioner.travel_mm");
    CHECK_THAT(figure(slack.advice, " mm slack") / pitch_mm, WithinAbs(spare_pitches(out, travel_mm[1]), breathing));
    RandomDrive back = drawn;
    back.engine.loops[0].chain.links -= 2;
    const Problem tight = problem_of(back, "chain.links");
    CHECK_THAT(figure(tight.advice, " mm too short") / pitch_mm,
               WithinAbs(-spare_pitches(back, travel_mm[0]), breathing));
    CHECK(tight.advice.find("tensioner fully back") != std::string::npos);
  }
}

TEST_CASE("a guide that cuts a sprocket says by how much", "[impossible]") {
  std::mt19937 random(92);
  for (int i = 0; i < trials; ++i) {
    RandomDrive drawn = sound_loop(random, plain(3, false));
    Loop& loop = drawn.engine.loops[0];
    Guide guide;
    guide.strand = {loop.sprockets[1].name, loop.sprockets[2].name};
    guide.radius_mm = between(random, 20.0, 60.0);
    // From outside, into the pitch circle of the sprocket the strand leaves.
    const double cut_mm = between(random, 0.5, 6.0);
    const double pitch_radius_mm = fitted_pitch_mm(drawn) / (2.0 * std::sin(pi / loop.sprockets[1].teeth));
    const double reach_mm = guide.radius_mm + loop.chain.plate_height_mm / 2.0 + pitch_radius_mm - cut_mm;
    const glm::dvec2 away =
        loop.sprockets[1].centre_mm - 0.5 * (loop.sprockets[0].centre_mm + loop.sprockets[2].centre_mm);
    guide.centre_mm = loop.sprockets[1].centre_mm + away * (reach_mm / length2(away));
    loop.guides = {guide};
    const Problem problem = problem_of(drawn, "guide[1].centre_mm");
    CHECK_THAT(figure(problem.advice, " mm: radius"), WithinAbs(cut_mm, 0.0051));
    CHECK_THAT(figure(problem.found, " mm from that of"), WithinAbs(reach_mm, 0.0051));
    CHECK_THAT(figure(problem.allowed, " mm"), WithinAbs(reach_mm + cut_mm, 0.0051));
  }
}

// ISO 606's greatest tip circles must clear each other.
TEST_CASE("sprockets whose teeth would meet say how far apart they must stand", "[impossible]") {
  std::mt19937 random(93);
  for (int i = 0; i < trials; ++i) {
    RandomDrive drawn = sound_loop(random, plain(whole_between(random, 2, 6), random() % 2 == 0));
    Loop& loop = drawn.engine.loops[0];
    const double least_mm =
        tip_radius_mm(loop.chain, loop.sprockets[0].teeth) + tip_radius_mm(loop.chain, loop.sprockets[1].teeth);
    const double stands_mm = least_mm - between(random, 0.1, 3.0);
    const glm::dvec2 apart = loop.sprockets[1].centre_mm - loop.sprockets[0].centre_mm;
    loop.sprockets[1].centre_mm = loop.sprockets[0].centre_mm + apart * (stands_mm / length2(apart));
    const Problem problem = problem_of(drawn, "sprocket[2].centre_mm");
    CHECK_THAT(figure(problem.found, " mm"), WithinAbs(stands_mm, 0.0051));
    CHECK_THAT(figure(problem.allowed, " mm"), WithinAbs(least_mm, 0.0051));
    CHECK(problem.advice.find("meet") != std::string::npos);
  }
}

TEST_CASE("a camshaft that does not turn once for two turns of the crank says which teeth would", "[impossible]") {
  std::mt19937 random(94);
  for (int i = 0; i < trials; ++i) {
    RandomDrive drawn = sound_loop(random, plain(whole_between(random, 2, 6), false));
    Loop& loop = drawn.engine.loops[0];
    for (std::size_t s = 1; s < loop.sprockets.size(); ++s) {
      if (loop.sprockets[s].camshaft.empty()) continue;
      const int teeth = loop.sprockets[s].teeth += whole_between(random, 1, 3);
      const Problem problem = problem_of(drawn, "sprocket[" + std::to_string(s + 1) + "].teeth");
      CHECK(problem.found == std::to_string(teeth));
      CHECK(problem.allowed == std::to_string(2 * loop.sprockets[0].teeth));
    }
  }
}

// Two neighbours the other way about: the chain would cross itself, and turn through another whole number of turns, or
// would pass one of them by.
TEST_CASE("sprockets in an order no chain can follow are named", "[impossible]") {
  std::mt19937 random(95);
  int crossing = 0;
  for (int i = 0; i < trials; ++i) {
    RandomDrive drawn = sound_loop(random, plain(4, false));
    Loop& loop = drawn.engine.loops[0];
    std::swap(loop.sprockets[2], loop.sprockets[3]);
    const Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
    REQUIRE_FALSE(drive.ok());
    const Problem problem = drive.problems()[0];
    INFO(to_text(problem));
    if (problem.key == "sprocket") {
      const std::optional<Way> way = way_of(loop, handed(drawn.engine.rotation), fitted_pitch_mm(drawn));
      REQUIRE(way.has_value());
      double turned_rad = 0.0;
      for (const double wrap_rad : way->wrap_rad) turned_rad += wrap_rad;
      CHECK_THAT(figure(problem.advice, " deg on its way round"), WithinAbs(degrees(turned_rad), 0.51));
      CHECK(problem.found.find(loop.sprockets[2].name + ", " + loop.sprockets[3].name) != std::string::npos);
      ++crossing;
    } else {
      CHECK(problem.key.find("].centre_mm") != std::string::npos);
    }
  }
  CHECK(crossing > 0);
}

TEST_CASE("a tensioner on the strand the crank pulls is told so", "[impossible]") {
  std::mt19937 random(96);
  for (int i = 0; i < trials; ++i) {
    RandomDrive drawn = sound_loop(random, plain(whole_between(random, 2, 5), true));
    Loop& loop = drawn.engine.loops[0];
    loop.tensioner->shoe.strand = {loop.sprockets.back().name, loop.sprockets.front().name};
    const Problem problem = problem_of(drawn, "tensioner.strand");
    CHECK(problem.found.find(loop.sprockets.back().name) != std::string::npos);
    CHECK(problem.advice.find("taut") != std::string::npos);
  }
}
