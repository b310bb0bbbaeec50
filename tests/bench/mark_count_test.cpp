#include "bench/mark_count.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

MarkCount count_of(const Engine& engine, const Fitted& fitted = {}) {
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  REQUIRE(drive.ok());
  const std::optional<MarkCount> count = pins_between_marks(engine, *drive);
  REQUIRE(count.has_value());
  return *count;
}

glm::dvec2 mark_mm(const Engine& engine, const DrivePose& pose, std::size_t sprocket) {
  const double deg = pose.loops[0].sprockets[sprocket].mark_clock_deg;
  const double radius_mm = pitch_radius_mm(engine.loops[0].chain.pitch_mm, engine.loops[0].sprockets[sprocket].teeth);
  return engine.loops[0].sprockets[sprocket].centre_mm + radius_mm * glm::dvec2{sin_deg(deg), cos_deg(deg)};
}

// By looking at the picture of the chain alone: from the pin nearest to the cam's mark, along the chain, until the
// crank's mark lies between two pins.
int counted_by_eye(const Engine& engine, const Drive& drive, double crank_deg) {
  const DrivePose pose = drive.pose(crank_deg);
  const glm::dvec2 cam_mm = mark_mm(engine, pose, 1);
  const glm::dvec2 crank_mm = mark_mm(engine, pose, 0);
  const auto nearest =
      std::ranges::min_element(pose.loops[0].pins_mm, {}, [&](glm::dvec2 pin) { return length2(pin - cam_mm); });
  CHECK(length2(*nearest - cam_mm) < 0.5); // seated in the marked gap
  auto at = static_cast<std::size_t>(nearest - pose.loops[0].pins_mm.begin());
  for (int passed = 0; passed < 52; ++passed) {
    const glm::dvec2 here = pose.loops[0].pins_mm[at];
    at = (at + 1) % pose.loops[0].pins_mm.size();
    if (length2((here + pose.loops[0].pins_mm[at]) * 0.5 - crank_mm) < 0.5 * engine.loops[0].chain.pitch_mm)
      return passed;
  }
  return -1;
}

} // namespace

TEST_CASE("the pins between the marks are those one sees", "[mark_count]") {
  for (const Rotation rotation : {Rotation::clockwise, Rotation::anticlockwise}) {
    Engine engine = small_engine();
    engine.rotation = rotation;
    for (const double turned_deg : {0.0, 60.0, 180.0, 200.0, 310.0}) // the last ones pass the end of the cycle
      for (const int lay : {-3, -1, 0, 1, 2}) {
        INFO(to_word(rotation) << ", marks turned by " << turned_deg << ", lay " << lay);
        engine.loops[0].sprockets[0].mark_clock_deg = turned_deg;
        engine.loops[0].sprockets[1].mark_clock_deg = wrap_360(180.0 + turned_deg);
        Fitted fitted;
        fitted.lay = lay;
        const MarkCount count = count_of(engine, fitted);
        const Result<Drive> drive = Drive::assemble(engine, fitted);
        REQUIRE(drive.ok());
        CHECK(count.from_crank_deg < count.to_crank_deg);
        for (const double share : {0.0, 0.3, 0.5, 0.9, 1.0})
          CHECK(counted_by_eye(engine, *drive,
                               count.from_crank_deg + share * (count.to_crank_deg - count.from_crank_deg)) ==
                count.pins);
      }
  }
}

TEST_CASE("a tooth of lay is a pin; wear, centres and keys are none", "[mark_count]") {
  const Engine engine = small_engine();
  const int marked = count_of(engine).pins;
  Fitted fitted;
  for (int lay = -4; lay <= 4; ++lay) {
    fitted.lay = lay;
    CHECK(count_of(engine, fitted).pins == marked - lay);
  }
  fitted = {};
  fitted.elongation_percent = 1.5;
  fitted.centre_change_mm = -0.2;
  fitted.crank_key_deg = 4.0;
  fitted.cam_key_deg = -3.0;
  CHECK(count_of(engine, fitted).pins == marked);
}

TEST_CASE("a wrong mark is told by its error, not by the count", "[mark_count]") {
  Engine engine = small_engine();
  engine.loops[0].sprockets[1].mark =
      MarkOn::tooth; // with a tooth at the crank the marks stand half a tooth from facing
  const Result<Drive> drive = Drive::assemble(engine, {});
  REQUIRE(drive.ok());
  const std::optional<MarkCount> count = pins_between_marks(engine, *drive);
  // The marks themselves are on teeth all the same.
  REQUIRE(count.has_value());
  CHECK(std::fabs(drive->mark_error_teeth()) > 0.25);
}
