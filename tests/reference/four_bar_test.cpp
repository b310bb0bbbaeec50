#include "geometry/angle.hpp"
#include "reference/drives.hpp"
#include "reference/four_bar.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

struct Solved {
  double driven_rad; // clock angle of the driven arm by the solver
  double apart_rad;  // from the drive's own
};

// One crank angle of one drive. The crank arm's angle is worked out from the mark, running direction and key, not taken
// from the drive; the drive says only how many links the strand has and near which seat it ends.
Solved compare(const RandomDrive& random, const Drive& drive, double crank_deg, double astray) {
  const Sprocket& crank = random.engine.loops[0].sprockets[0];
  const Sprocket& cam = random.engine.loops[0].sprockets[1];
  const double pitch_mm = fitted_pitch_mm(random);
  const glm::dvec2 cam_centre = fitted_cam_centre_mm(random);
  const DrivePose pose = drive.pose(crank_deg);
  const StrandPose& taut = pose.loops[0].strands[1];
  const glm::dvec2 pull_pin =
      pose.loops[0].pins_mm[(taut.first_pin + static_cast<std::size_t>(taut.links)) % pose.loops[0].pins_mm.size()];
  const glm::dvec2 driven_pin = pose.loops[0].pins_mm[taut.first_pin];

  const double running = random.engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  const std::vector<glm::dvec2> crank_seats = seats_mm(
      crank, crank.centre_mm, pitch_mm, crank.mark_clock_deg + running * (crank_deg + random.fitted.crank_key_deg));
  glm::dvec2 driver = crank_seats[0];
  for (const glm::dvec2 seat : crank_seats)
    if (length2(seat - pull_pin) < length2(driver - pull_pin)) driver = seat;
  CHECK_THAT(length2(driver - pull_pin), WithinAbs(0.0, 1e-9));

  FourBar linkage;
  linkage.driver_pin_mm = driver;
  linkage.driven_pivot_mm = cam_centre;
  linkage.coupler_mm = taut.links * pitch_mm;
  linkage.driven_arm_mm = pitch_mm / (2.0 * std::sin(pi / cam.teeth));
  const glm::dvec2 arm = driven_pin - cam_centre;
  linkage.start_mm = cam_centre + arm * std::cos(astray) + left_of(arm) * std::sin(astray);
  const std::optional<glm::dvec2> solved = solve_four_bar(linkage);
  REQUIRE(solved.has_value());

  const glm::dvec2 solved_arm = *solved - cam_centre;
  std::vector<glm::dvec2> cam_seats;
  for (int i = 0; i < cam.teeth; ++i) {
    const glm::dvec2 turn = unit_vector(turn_rad * i / cam.teeth);
    cam_seats.push_back(cam_centre + turn.x * solved_arm + turn.y * left_of(solved_arm));
  }
  // The right pair of pins, whoever found them: no seat of either sprocket stands outside the line.
  CHECK(farthest_outside_mm(crank_seats, *solved, driver, cam_centre) < 1e-9);
  CHECK(farthest_outside_mm(cam_seats, *solved, driver, cam_centre) < 1e-9);
  const double apart_rad = std::atan2(cross2(arm, solved_arm), dot2(arm, solved_arm));
  return {std::atan2(solved_arm.x, solved_arm.y), apart_rad};
}

} // namespace

// Four-bar linkage closed by libslvs, a general-purpose geometric constraint solver. It starts up to a tooth and a half
// astray. Found: at most 4e-15 rad apart.
TEST_CASE("the driven angle is that of the closed four-bar linkage", "[four-bar]") {
  std::mt19937 random(1);
  int solved = 0;
  double worst_rad = 0.0, worst_turn_rad = 0.0;
  for (int i = 0; i < 200; ++i) {
    const RandomDrive drawn = random_drive(random);
    INFO("drive " << i << ", " << drawn.engine.loops[0].sprockets[0].teeth << " teeth");
    const Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
    REQUIRE(drive.ok());
    const double step_rad = turn_rad / drawn.engine.loops[0].sprockets[1].teeth;
    const double first_deg = between(random, -720.0, 1440.0);
    const double second_deg = between(random, -720.0, 1440.0);
    const Solved first = compare(drawn, *drive, first_deg, between(random, -1.5, 1.5) * step_rad);
    const Solved second = compare(drawn, *drive, second_deg, between(random, -1.5, 1.5) * step_rad);
    worst_rad = std::fmax(worst_rad, std::fmax(std::fabs(first.apart_rad), std::fabs(second.apart_rad)));

    // The camshaft has turned between the two as the solver's arms have, but for whole teeth.
    const double running = drawn.engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
    const double turned_rad = drive->camshaft_rad(radians(second_deg)) - drive->camshaft_rad(radians(first_deg));
    const double teeth = (turned_rad - running * (second.driven_rad - first.driven_rad)) / step_rad;
    worst_turn_rad = std::fmax(worst_turn_rad, std::fabs(teeth - std::round(teeth)) * step_rad);
    ++solved;
  }
  CHECK(solved == 200);
  CHECK(worst_rad < 1e-12);
  CHECK(worst_turn_rad < 1e-12);
}
