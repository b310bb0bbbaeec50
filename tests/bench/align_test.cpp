#include "bench/align.hpp"
#include "geometry/angle.hpp"
#include "parts/sprocket_sizes.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

using Pieces = std::vector<double>;

Build read_gap(double near_mm, double far_mm, const char* under, Pieces stock = {}, Pieces fitted = {}) {
  Build build;
  build.measured.gap = GapReading{near_mm, far_mm, under};
  build.stock.shim_mm = std::move(stock);
  build.fitted.shim_mm = std::move(fitted);
  build.measured.with = build.fitted;
  return build;
}

Alignment aligned(const Build& build, const Engine& engine = small_engine()) {
  const Result<Alignment> found = align(engine, build);
  REQUIRE(found.ok());
  return *found;
}

bool says(const Alignment& found, const std::string& words) {
  for (const std::string& advice : found.advice)
    if (advice.find(words) != std::string::npos) return true;
  return false;
}

const Pieces shelf{0.05, 0.10, 0.10, 0.13, 0.25, 0.50};

} // namespace

TEST_CASE("a gap under the crank sprocket is closed by shims behind it", "[align]") {
  const Alignment found = aligned(read_gap(0.89, 0.89, "crank", shelf));
  CHECK(found.behind_mm == 0.89);
  CHECK(found.shims == ShimsTo::add);
  CHECK(found.pack.pieces_mm == Pieces{0.50, 0.25, 0.13});
  CHECK(found.left_mm == 0.01);
  CHECK_FALSE(found.within_now);
  CHECK(found.within);
  CHECK(found.surely);
  CHECK(found.words == "The crank sprocket stands 0.89 mm (35 thou) behind the \"cam\" sprocket: put 0.88 mm (35 thou) "
                       "of shims behind it, 0.50 + 0.25 + 0.13.");
  CHECK(says(found, "Shim the crank sprocket only, never a camshaft's: that would alter the camshaft's end float"));
}

TEST_CASE("what is left over is held against the chain", "[align]") {
  const Engine engine = small_engine();
  const Alignment found = aligned(read_gap(0.6, 0.6, "crank", {0.5}), engine);
  CHECK(found.left_mm == 0.1);
  CHECK(found.within); // on its limit of 0.1
  CHECK_FALSE(found.surely);
  CHECK(says(found, "by less than the figures may be out by"));
  CHECK(found.side_play_mm == side_play_mm(engine.loops[0].chain));
  // Strand: between pitch circles of 19 and 38 teeth at 107.9 mm.
  const double radius_mm = 9.525 / 2.0;
  const double apart_mm = radius_mm / std::sin(pi / 38.0) - radius_mm / std::sin(pi / 19.0);
  CHECK_THAT(found.strand_mm, WithinAbs(std::sqrt(107.9 * 107.9 - apart_mm * apart_mm), 1e-9));
  CHECK_THAT(found.chain_deg, WithinAbs(std::atan(0.1 / found.strand_mm) * 180.0 / pi, 1e-12));
}

TEST_CASE("the shortest strand at the crank sprocket counts and one on the chain's back crosses over", "[align]") {
  Engine engine = small_engine();
  Sprocket pump = engine.loops[0].sprockets[1];
  pump.name = "pump";
  pump.camshaft.clear();
  pump.teeth = 19;
  pump.centre_mm = {80.0, 0.0};
  engine.loops[0].sprockets.push_back(pump);
  CHECK_THAT(aligned(read_gap(0.3, 0.3, "crank"), engine).strand_mm, WithinAbs(80.0, 1e-9)); // as large as the crank's
  engine.loops[0].sprockets.back().wrap = Wrap::outside;
  const double across_mm = 9.525 / std::sin(pi / 19.0); // two radii
  const Alignment found = aligned(read_gap(0.3, 0.3, "crank"), engine);
  CHECK_THAT(found.strand_mm, WithinAbs(std::sqrt(6400.0 - across_mm * across_mm), 1e-9));
  CHECK(found.words.find("behind the others") != std::string::npos);
  CHECK(says(found, "The chain runs over 3 sprockets"));
}

TEST_CASE("a gap under the cam sprocket means shims to take out", "[align]") {
  const Alignment found = aligned(read_gap(0.30, 0.30, "cam", shelf, {0.10, 0.20, 0.50}));
  CHECK(found.behind_mm == -0.30);
  CHECK(found.shims == ShimsTo::take_out);
  CHECK(found.pack.pieces_mm == Pieces{0.20, 0.10});
  CHECK(found.behind_after.pieces_mm == Pieces{0.50});
  CHECK(found.left_mm == 0.0);
  CHECK(found.within);
  CHECK(
      found.words.find("stands 0.30 mm (12 thou) proud of the \"cam\" sprocket: take 0.30 mm (12 thou) of shims out") !=
      std::string::npos);
}

TEST_CASE("where taking out does not come near a new pack is made of all there is", "[align]") {
  const Alignment found = aligned(read_gap(0.30, 0.30, "cam", shelf, {0.60}));
  CHECK(found.shims == ShimsTo::remake);
  CHECK(found.pack.thickness_mm == 0.30);
  CHECK(found.pack.pieces_mm == Pieces{0.25, 0.05});
  CHECK(found.behind_after.pieces_mm == found.pack.pieces_mm);
  CHECK(found.left_mm == 0.0);
  CHECK(found.within);
}

TEST_CASE("a crank sprocket that stands proud with nothing to take out is said what else to do", "[align]") {
  const Alignment bare = aligned(read_gap(0.30, 0.30, "cam", shelf));
  CHECK(bare.shims == ShimsTo::leave);
  CHECK(bare.left_mm == -0.30);
  CHECK_FALSE(bare.within);
  CHECK(bare.surely);
  CHECK(bare.words.find("has no shims behind it to take out") != std::string::npos);
  CHECK(says(bare, "a thinner spacer behind it, or its back face turned down"));
  CHECK(says(bare, "where the maker allows it"));
  // All that is in comes out, and is not enough.
  const Alignment few = aligned(read_gap(0.50, 0.50, "cam", shelf, {0.10, 0.05}));
  CHECK(few.shims == ShimsTo::take_out);
  CHECK(few.behind_after.pieces_mm.empty());
  CHECK(few.left_mm == -0.35);
  CHECK_FALSE(few.within);
  CHECK(says(few, "still stands 0.35 mm (14 thou) proud"));
}

TEST_CASE("a shelf that does not reach is said to", "[align]") {
  const Alignment found = aligned(read_gap(0.80, 0.80, "crank", {0.25}, {0.10}));
  CHECK(found.left_mm == 0.55);
  CHECK_FALSE(found.within);
  CHECK(says(found, "leave it 0.55 mm (22 thou) behind: get 0.90 mm (35 thou) of shims"));
  const Alignment thick = aligned(read_gap(0.35, 0.35, "crank", {0.50}));
  CHECK(thick.left_mm == -0.15);
  CHECK_FALSE(thick.within);
  CHECK(says(thick, "leave it 0.15 mm (6 thou) proud: get 0.35 mm"));
  CHECK(aligned(read_gap(0.8, 0.8, "crank")).words.find("no shims on the shelf bring it nearer") != std::string::npos);
}

TEST_CASE("sprockets that are surely in one plane are left alone", "[align]") {
  for (const char* under : {"crank", "cam"}) {
    const Alignment found = aligned(read_gap(0.05, 0.05, under, shelf, {0.25}));
    CHECK(found.shims == ShimsTo::leave);
    CHECK(found.pack.pieces_mm.empty());
    CHECK(found.behind_after.pieces_mm == Pieces{0.25});
    CHECK(found.within_now);
    CHECK(found.surely);
  }
  // 0.09 is within 0.1, but 0.023 of uncertainty is not: the shelf makes it better.
  CHECK(aligned(read_gap(0.09, 0.09, "crank", shelf)).shims == ShimsTo::add);
}

TEST_CASE("gaps that differ from edge to edge are a tilt which shims do not cure", "[align]") {
  const double width_mm = 9.525 / std::sin(pi / 19.0);
  const Alignment found = aligned(read_gap(0.20, 0.60, "crank", shelf));
  CHECK(found.gap_mm == 0.40);
  CHECK_THAT(found.tilt_deg, WithinAbs(std::atan(0.4 / width_mm) * 180.0 / pi, 1e-12));
  CHECK_THAT(found.u_tilt_deg, WithinAbs(0.02 * std::sqrt(2.0 / 3.0) / width_mm * 180.0 / pi, 1e-12));
  CHECK_THAT(found.tilt_limit_deg, WithinAbs(std::atan(1.0 / 300.0) * 180.0 / pi, 1e-5)); // handbook, shafts: 1/300
  CHECK(found.tilted);
  CHECK(std::fabs(found.left_mm) <= found.limit_mm);
  CHECK_FALSE(found.within);
  CHECK(says(found, "Shims do not cure that: look for a burr or dirt behind the sprocket, a key that stands high"));
  CHECK(found.words.rfind("Cure the tilt first", 0) == 0);
  CHECK(aligned(read_gap(0.60, 0.20, "crank", shelf)).tilt_deg == -found.tilt_deg);
  // The other sprocket is wider.
  CHECK_THAT(aligned(read_gap(0.20, 0.60, "cam")).tilt_deg,
             WithinAbs(std::atan(0.4 * std::sin(pi / 38.0) / 9.525) * 180.0 / pi, 1e-12));
  // 0.15 over 57.9 mm is 0.15 degrees: allowed.
  const Alignment little = aligned(read_gap(0.30, 0.45, "crank", shelf));
  CHECK_FALSE(little.tilted);
  CHECK(little.within);
  CHECK_FALSE(says(little, "out of square"));
}

TEST_CASE("a tilt beyond its limit by less than it may be out by is not called one", "[align]") {
  Build build = read_gap(0.20, 0.45, "crank", shelf);
  build.instruments.feeler_mm = 0.2;
  const Alignment found = aligned(build);
  CHECK(found.tilt_deg > found.tilt_limit_deg);
  CHECK_FALSE(found.tilted);
  CHECK_FALSE(found.within);
  CHECK_FALSE(found.surely);
  CHECK(says(found, "The sprockets may stand out of square"));
}

TEST_CASE("the uncertainty is the feeler's and with shims theirs", "[align]") {
  const Alignment found = aligned(read_gap(0.89, 0.89, "crank", shelf));
  CHECK_THAT(found.u_gap_mm, WithinAbs(0.02 / std::sqrt(3.0), 1e-15));
  CHECK_THAT(found.u_left_mm, WithinAbs(0.04 / std::sqrt(3.0), 1e-15)); // one feeler, three shims, all 0.02
  CHECK(aligned(read_gap(0.03, 0.03, "crank", shelf)).u_left_mm == found.u_gap_mm);
}

TEST_CASE("what the next reading should show is foretold", "[align]") {
  // 0.01 left, which may be out by 2 sqrt(3 + 1 + 1) 0.02 / sqrt 3 = 0.052.
  CHECK(aligned(read_gap(0.89, 0.89, "crank", shelf)).recheck == "a 0.10 mm feeler should go under no sprocket");
  // 0.55 left, by two feelers and one shim 0.040 out at most: 0.51 to 0.59.
  CHECK(aligned(read_gap(0.80, 0.80, "crank", {0.25})).recheck ==
        "a 0.50 mm feeler should go under the crank sprocket, 0.60 mm not");
  CHECK(aligned(read_gap(0.30, 0.30, "cam")).recheck ==
        "a 0.25 mm feeler should go under the \"cam\" sprocket, 0.35 mm not");
}

TEST_CASE("shims put in since the gap was read are counted", "[align]") {
  Build build = read_gap(0.89, 0.89, "crank", shelf);
  build.fitted.shim_mm = {0.50, 0.25, 0.13};
  const Alignment found = aligned(build);
  CHECK(found.since_mm == 0.88);
  CHECK(found.gap_mm == 0.89);
  CHECK(found.behind_mm == 0.01);
  CHECK(found.shims == ShimsTo::leave);
  CHECK(found.within_now);
  CHECK(found.u_gap_mm > 0.02 / std::sqrt(3.0));
}

TEST_CASE("no gap and a sprocket of another chain are refused", "[align]") {
  Engine engine = small_engine();
  const auto none = align(engine, Build{});
  REQUIRE_FALSE(none.ok());
  CHECK(none.problems().front().key == "measured.gap_mm");
  engine.loops.push_back(engine.loops[0]);
  engine.loops[1].sprockets[0].name = "outer";
  engine.loops[1].sprockets[1].name = "upper";
  for (const char* under : {"upper", "no such", ""}) {
    const auto wrong = align(engine, read_gap(0.1, 0.1, under));
    REQUIRE_FALSE(wrong.ok());
    CHECK(wrong.problems().front().key == "measured.gap_mm.under");
    CHECK(wrong.problems().front().allowed == "a sprocket of the crank's own chain: \"crank\", \"cam\"");
  }
}
