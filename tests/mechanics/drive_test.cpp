#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>
#include <limits>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

Drive assembled(const Engine& engine, const Fitted& fitted = {}) {
  Result<Drive> drive = Drive::assemble(engine, fitted);
  REQUIRE(drive.ok());
  return *std::move(drive);
}

std::string refusal(const Engine& engine, const Fitted& fitted = {}) {
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  return drive ? "accepted" : to_text(drive.problems());
}

} // namespace

TEST_CASE("the reference assembly stands at phase 0 with its marks facing", "[drive]") {
  const Drive drive = assembled(small_engine());
  CHECK(drive.phase_deg() == 0.0);
  CHECK(std::fabs(drive.mark_error_deg()) < 0.2);
  CHECK_THAT(drive.mark_error_teeth(), WithinAbs(drive.mark_error_deg() * 38.0 / 360.0, 1e-12));
  const DrivePose pose = drive.pose(0.0);
  CHECK(pose.loops[0].sprockets[0].turned_deg == 0.0);
  CHECK(pose.loops[0].sprockets[0].mark_clock_deg == 0.0);
  CHECK_THAT(pose.loops[0].sprockets[1].turned_deg, WithinAbs(0.0, 1e-12));
  CHECK_THAT(pose.loops[0].sprockets[1].mark_clock_deg, WithinAbs(180.0 + drive.mark_error_deg(), 1e-9));
  CHECK_THAT(pose.camshafts[0].phase_deg, WithinAbs(0.0, 1e-12));
}

TEST_CASE("the chain closes with all its pins, taut and slack strand named", "[drive]") {
  Fitted fitted;
  fitted.elongation_percent = 0.8;
  const Engine engine = small_engine();
  const Drive drive = assembled(engine, fitted);
  const double pitch_mm = 9.525 * 1.008;
  DrivePose pose;
  for (double crank_deg = -800.0; crank_deg < 1600.0; crank_deg += 3.7) {
    drive.pose(crank_deg, pose);
    REQUIRE(pose.loops[0].pins_mm.size() == 52);
    for (std::size_t i = 0; i < 52; ++i)
      REQUIRE(std::fabs(length2(pose.loops[0].pins_mm[(i + 1) % 52] - pose.loops[0].pins_mm[i]) - pitch_mm) < 1e-9);
    REQUIRE(pose.loops[0].strands.size() == 2);
    CHECK(pose.loops[0].strands[0].state == StrandState::slack);
    CHECK(pose.loops[0].strands[0].from == 0);
    CHECK(pose.loops[0].strands[1].state == StrandState::taut);
    CHECK(pose.loops[0].strands[1].from == 1);
    CHECK(pose.loops[0].strands[1].slack_mm == 0.0);
    CHECK(pose.loops[0].strands[0].slack_mm > 0.0);
    // The taut strand's pins stand in line from the cam's last seat to the crank's first.
    const StrandPose& taut = pose.loops[0].strands[1];
    const glm::dvec2 first = pose.loops[0].pins_mm[taut.first_pin];
    const glm::dvec2 last = pose.loops[0].pins_mm[(taut.first_pin + static_cast<std::size_t>(taut.links)) % 52];
    CHECK_THAT(length2(last - first), WithinAbs(taut.links * pitch_mm, 1e-9));
    CHECK_THAT(length2(first - engine.loops[0].sprockets[1].centre_mm), WithinAbs(pitch_radius_mm(pitch_mm, 38), 1e-9));
    CHECK_THAT(length2(last - engine.loops[0].sprockets[0].centre_mm), WithinAbs(pitch_radius_mm(pitch_mm, 19), 1e-9));
  }
}

// Clockwise seen from the timing end, the chain on a sprocket's right goes down, so the strand the crank pulls is on
// the right (common practice, no source).
TEST_CASE("clockwise the right-hand strand is taut, anticlockwise the left", "[drive]") {
  Engine engine = small_engine();
  for (const Rotation rotation : {Rotation::clockwise, Rotation::anticlockwise}) {
    engine.rotation = rotation;
    const DrivePose pose = assembled(engine).pose(33.0);
    const glm::dvec2 on_taut = pose.loops[0].pins_mm[(pose.loops[0].strands[1].first_pin + 5) % 52];
    CHECK((on_taut.x > 0.0) == (rotation == Rotation::clockwise));
  }
}

TEST_CASE("an anticlockwise drive is the mirror image of the clockwise one", "[drive]") {
  Engine engine = small_engine();
  engine.loops[0].sprockets[1].centre_mm = {40.0, 100.2};
  engine.loops[0].sprockets[0].mark_clock_deg = 21.0;
  engine.loops[0].sprockets[1].mark_clock_deg = 201.5;
  Engine mirrored = engine;
  mirrored.rotation = Rotation::anticlockwise;
  mirrored.loops[0].sprockets[1].centre_mm.x = -40.0;
  mirrored.loops[0].sprockets[0].mark_clock_deg = 360.0 - 21.0;
  mirrored.loops[0].sprockets[1].mark_clock_deg = 360.0 - 201.5;
  Fitted fitted;
  fitted.crank_key_deg = 2.0;
  fitted.cam_key_deg = -1.0;
  fitted.elongation_percent = 0.4;
  const Drive one = assembled(engine, fitted);
  const Drive other = assembled(mirrored, fitted);
  CHECK_THAT(one.phase_deg(), WithinAbs(other.phase_deg(), 1e-12));
  for (double crank_deg = 0.0; crank_deg < 720.0; crank_deg += 7.3) {
    const DrivePose a = one.pose(crank_deg);
    const DrivePose b = other.pose(crank_deg);
    for (std::size_t i = 0; i < a.loops[0].pins_mm.size(); ++i) {
      CHECK_THAT(a.loops[0].pins_mm[i].x, WithinAbs(-b.loops[0].pins_mm[i].x, 1e-10));
      CHECK_THAT(a.loops[0].pins_mm[i].y, WithinAbs(b.loops[0].pins_mm[i].y, 1e-10));
    }
    CHECK_THAT(a.loops[0].sprockets[1].turned_deg, WithinAbs(b.loops[0].sprockets[1].turned_deg, 1e-10));
    CHECK_THAT(wrap_180(a.loops[0].sprockets[1].mark_clock_deg + b.loops[0].sprockets[1].mark_clock_deg),
               WithinAbs(0.0, 1e-9));
  }
}

TEST_CASE("pins keep their identity as the drive turns", "[drive]") {
  Fitted fitted;
  fitted.elongation_percent = 1.0; // 2.5 mm of slack, bowed by 10 mm
  const Drive drive = assembled(small_engine(), fitted);
  // The rim moves 2 pi r / 360 for each degree of crank; a bowed strand's pins a little more or less. A pin that
  // changed places would jump a whole pitch.
  const double step_deg = 0.25;
  const double most_mm = pitch_radius_mm(9.525, 19) * radians(step_deg) + 0.05;
  DrivePose before = drive.pose(0.0);
  for (int i = 1; i * step_deg <= 2900.0; ++i) {
    DrivePose after = drive.pose(i * step_deg);
    for (std::size_t pin = 0; pin < 52; ++pin)
      REQUIRE(length2(after.loops[0].pins_mm[pin] - before.loops[0].pins_mm[pin]) < most_mm);
    before = std::move(after);
  }
}

TEST_CASE("the camshaft repeats to the last bit after two turns and has no jumps", "[drive]") {
  Fitted fitted;
  fitted.lay = -1;
  fitted.crank_key_deg = 3.0;
  fitted.elongation_percent = 1.1;
  const Drive drive = assembled(small_engine(), fitted);
  double before = drive.camshaft_rad(0.0);
  for (int i = 1; i <= 7200; ++i) {
    const double crank_rad = radians(0.1 * i);
    const double now = drive.camshaft_rad(crank_rad);
    REQUIRE_THAT(now - before, WithinAbs(radians(0.05), radians(0.05) * 0.02));
    before = now;
  }
  CHECK(drive.camshaft_rad(1.0 + 4.0 * pi) - drive.camshaft_rad(1.0 + 0.0) == Approx(2.0 * pi).epsilon(1e-15));
}

TEST_CASE("layouts no chain can follow are refused with the key to look at", "[drive]") {
  Engine engine = small_engine();
  engine.loops[0].sprockets.push_back(engine.loops[0].sprockets[0]);
  CHECK(refusal(engine) ==
        "sprocket[3].centre_mm: found 0.00 mm from the centre of \"crank\", allowed more than 63.43 mm; "
        "the sprockets' teeth would meet\n");
  engine = small_engine();
  engine.loops[0].sprockets[1].wrap = Wrap::outside;
  CHECK(refusal(engine).starts_with("sprocket: found in the order crank, cam, allowed the order in which the chain "
                                    "meets them, in its direction of travel; so laid it would turn through 0 deg"));
  engine = small_engine();
  engine.loops[0].guides.push_back({{"crank", "cam"}, {-45.0, 25.0}, 20.0, Side::outside});
  const std::string cut = refusal(engine);
  engine.loops[0].guides.back() = {{"crank", "cam"}, {90.0, 50.0}, 20.0, Side::outside};
  CHECK(refusal(engine).starts_with("guide[1].side: found \"outside\", allowed \"inside\"; the arc's centre stands "));
  engine.loops[0].guides.back() = {{"crank", "cam"}, {-60.0, 190.0}, 20.0, Side::outside};
  CHECK(refusal(engine).starts_with("guide[1].centre_mm: found an arc "));
  CHECK(cut.starts_with("guide[1].centre_mm: found the arc's centre 51.48 mm from that of \"crank\", allowed more than "
                        "53.06 mm; the guide would cut the sprocket's chain by 1.59 mm"));
}

TEST_CASE("figures that are none are refused, not computed with", "[drive]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  for (const double wrong : {nan, infinite, -infinite}) {
    Fitted fitted;
    fitted.crank_key_deg = fitted.cam_key_deg = fitted.centre_change_mm = fitted.slot_deg = fitted.elongation_percent =
        wrong;
    const Result<Drive> drive = Drive::assemble(small_engine(), fitted);
    REQUIRE_FALSE(drive.ok());
    CHECK(drive.problems().size() == 5);
  }
  Fitted fitted;
  fitted.elongation_percent = -0.1;
  CHECK(refusal(small_engine(), fitted) == "fitted.elongation_percent: found -0.1, allowed 0 to 100 percent\n");
  Engine engine = small_engine();
  engine.loops[0].chain.pitch_mm = nan;
  CHECK(refusal(engine).starts_with("sprocket[2].centre_mm"));
  engine = small_engine();
  engine.loops[0].sprockets[1].centre_mm.x = nan;
  CHECK(refusal(engine).starts_with("sprocket[2].centre_mm"));
}

TEST_CASE("drives that cannot be are refused with the figure that is wrong", "[drive]") {
  Engine engine = small_engine();
  engine.loops[0].sprockets[1].teeth = 37;
  CHECK(refusal(engine) ==
        "sprocket[2].teeth: found 37, allowed 38; a camshaft turns once for two turns of the crank\n");
  engine = small_engine();
  engine.loops[0].sprockets[1].centre_mm = {0.0, 90.0};
  CHECK(refusal(engine) == "sprocket[2].centre_mm: found 90.00 mm between the centres, allowed more than 92.16 mm; "
                           "the sprockets' teeth would meet\n");
  engine = small_engine();
  engine.loops[0].chain.links = 50;
  const std::string too_short = refusal(engine);
  CHECK(too_short.starts_with("chain.links: found 50 links, allowed 52 or more; the chain is 18."));
  engine.loops[0].chain.links = 20;
  CHECK(refusal(engine).starts_with("chain.links: found 20 links, allowed 52 or more"));
  engine.loops[0].chain.links = 60;
  CHECK(refusal(engine).starts_with("chain.links: found 60 links, allowed 52; the chain is 76."));
  engine = small_engine();
  Fitted fitted;
  fitted.centre_change_mm = 1.0;
  CHECK(refusal(engine, fitted).starts_with("chain.links: found 52 links, allowed 53 or more; the chain is 1."));
}
