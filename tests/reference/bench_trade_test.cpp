// Facts of the trade: common practice, no source.
#include "bench/align.hpp"
#include "bench/end_float.hpp"
#include "bench/key_fit.hpp"
#include "files/files.hpp"
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

using namespace phasewright;

namespace {

constexpr double inch_mm = 25.4;

const Opened& demo() {
  static const Result<Opened> opened = open_demo();
  REQUIRE(opened.ok());
  return *opened;
}

} // namespace

// Common practice, no source: camshaft end float 0.003 to 0.007 in.
TEST_CASE("an end float of three thou in a band of three to seven is inside at its lower edge", "[reference][trade]") {
  Engine engine = phasewright::testing::small_engine();
  engine.cam_seats["cam"].end_float_mm = {{0.003 * inch_mm, 0.007 * inch_mm}};
  Build build;
  build.measured.float_mm = {0.003 * inch_mm, 0.003 * inch_mm, 0.003 * inch_mm};
  const Result<EndFloat> found = end_float(engine, build);
  REQUIRE(found.ok());
  CHECK(found->verdict == FloatVerdict::at_lower_edge);
  CHECK(found->change_mm == 0.0);
  CHECK(found->words.find("0.076 mm (3.0 thou), inside its limits of ") != std::string::npos);
  CHECK(found->words.find("but at the lower edge") != std::string::npos);
}

// Common practice, no source: a feeler gap of 0.035 in under the crank sprocket is closed by 0.035 in of shims.
TEST_CASE("a gap of thirty-five thou takes thirty-five thou of shims", "[reference][trade]") {
  Build build;
  build.measured.gap = GapReading{0.035 * inch_mm, 0.035 * inch_mm, "crank"};
  build.stock.shim_mm = {0.002 * inch_mm, 0.005 * inch_mm, 0.010 * inch_mm, 0.010 * inch_mm, 0.020 * inch_mm};
  const Result<Alignment> found = align(phasewright::testing::small_engine(), build);
  REQUIRE(found.ok());
  CHECK(found->shims == ShimsTo::add);
  CHECK_THAT(found->shim_mm, WithinAbs(0.035 * inch_mm, 1e-9));
  CHECK(found->pack.pieces_mm == std::vector<double>{0.020 * inch_mm, 0.010 * inch_mm, 0.005 * inch_mm});
  CHECK(found->left_mm == 0.0);
  CHECK(found->within);
}

// Common practice, no source: with the crank's key at 12 o'clock and No. 1 at TDC the camshaft's key stands between 1
// and 2 o'clock. Where the keyways point is the engine file's figure at crank 0 of the reference assembly, carried on
// by how far the mechanics have turned each shaft.
TEST_CASE("the crank key at twelve o'clock puts the cam key between one and two", "[reference][trade]") {
  const Engine& engine = *demo().engine;
  const double sense = engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  for (const Fitted& fitted : {Fitted{}, demo().build.fitted}) {
    const Result<Drive> drive = Drive::assemble(engine, fitted);
    REQUIRE(drive.ok());
    CHECK(engine.crank_seat.key_clock_deg == 0.0);
    const auto cam_key_deg = [&](double crank_deg) {
      return wrap_360(engine.cam_seats.at("cam").key_clock_deg +
                      sense * drive->pose(crank_deg).camshafts[0].turned_deg);
    };
    CHECK(cam_key_deg(0.0) > 30.0);
    CHECK(cam_key_deg(0.0) < 60.0);
    // A turn of the crank on, at the other TDC, it stands opposite.
    CHECK_THAT(cam_key_deg(360.0) - cam_key_deg(0.0), WithinAbs(180.0, 0.2));
  }
}

// Common practice, no source: an offset key fitted back to front puts the timing out by twice its offset.
TEST_CASE("a key fitted back to front doubles the error", "[reference][trade]") {
  Fitted meant;
  meant.cam_key_deg = 2.0;
  Fitted wrong;
  wrong.cam_key_deg = -2.0;
  const Engine& engine = *demo().engine;
  const Result<Drive> as_meant = Drive::assemble(engine, meant);
  const Result<Drive> as_wrong = Drive::assemble(engine, wrong);
  REQUIRE(as_meant.ok());
  REQUIRE(as_wrong.ok());
  const double error_deg =
      2.0 * (as_wrong->pose(40.0).camshafts[0].turned_deg - as_meant->pose(40.0).camshafts[0].turned_deg);
  CHECK_THAT(key_wrong_way(KeyAt::cam, 2.0).error_deg, WithinAbs(error_deg, 1e-9));
  CHECK_THAT(error_deg, WithinAbs(-8.0, 1e-9));
}

// Common practice, no source: one tooth of the crank sprocket is 360/z of crank.
TEST_CASE("one tooth is the crank sprocket's share of a turn", "[reference][trade]") {
  const Engine& engine = *demo().engine;
  Fitted one_tooth;
  one_tooth.lay = 1;
  const Result<Drive> by_marks = Drive::assemble(engine, Fitted{});
  const Result<Drive> moved = Drive::assemble(engine, one_tooth);
  REQUIRE(by_marks.ok());
  REQUIRE(moved.ok());
  CHECK_THAT(2.0 * (moved->pose(0.0).camshafts[0].turned_deg - by_marks->pose(0.0).camshafts[0].turned_deg),
             WithinAbs(360.0 / engine.loops[0].sprockets[0].teeth, 1e-9));
}
