#include "geometry/angle.hpp"
#include "reference/four_bar.hpp"
#include "reference/loops_accepted.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Walks along the strands that are pulled straight, from the crank, whose seats follow from its mark and key, and has
// the solver close each: it starts up to a tooth and a half astray. The drive says only how many links a strand has.
class StrandWalk {
public:
  StrandWalk(const RandomDrive& drawn, const DrivePose& pose, std::mt19937& random)
      : loop_(drawn.engine.loops[0]), pose_(pose.loops[0]), random_(random), handed_(handed(drawn.engine.rotation)),
        pitch_mm_(fitted_pitch_mm(drawn)) {
    const Sprocket& crank = loop_.sprockets[0];
    crank_seats_ = seats_mm(crank, crank.centre_mm, pitch_mm_,
                            crank.mark_clock_deg - handed_ * (pose.crank_deg + drawn.fitted.crank_key_deg));
  }

  void walk() {
    // Upstream: each sprocket gives its strand to the one after it; then the strands held straight from the crank on.
    std::vector<glm::dvec2> seats = crank_seats_;
    for (std::size_t i = loop_.sprockets.size(); i-- > 0 && pose_.strands[i].state == StrandState::taut && straight(i);)
      seats = across(seats, i, true);
    seats = crank_seats_;
    const std::size_t shoe = shoe_strand();
    for (std::size_t i = 0; i < shoe && straight(i); ++i) seats = across(seats, i, false);
  }

  int solved = 0, crossed = 0;
  double worst_rad = 0.0, worst_outside_mm = -1.0;

private:
  [[nodiscard]] glm::dvec2 pin(std::size_t index) const { return pose_.pins_mm[index % pose_.pins_mm.size()]; }

  [[nodiscard]] bool straight(std::size_t strand) const {
    return std::none_of(pose_.arcs.begin(), pose_.arcs.end(),
                        [strand](const ArcPose& arc) { return arc.strand == strand && arc.bears; });
  }

  [[nodiscard]] std::size_t shoe_strand() const {
    for (std::size_t i = 0; loop_.tensioner && i < loop_.sprockets.size(); ++i)
      if (loop_.sprockets[i].name == loop_.tensioner->shoe.strand[0]) return i;
    return 0;
  }

  // From the seats at one end of a strand to those at its other end.
  std::vector<glm::dvec2> across(const std::vector<glm::dvec2>& known, std::size_t strand, bool upstream) {
    const StrandPose& at = pose_.strands[strand];
    const glm::dvec2 from = pin(at.first_pin), to = pin(at.first_pin + static_cast<std::size_t>(at.links));
    const glm::dvec2 near_pin = upstream ? to : from, far_pin = upstream ? from : to;
    const std::size_t known_sprocket = upstream ? at.to : at.from;
    const Sprocket& sought = loop_.sprockets[upstream ? at.from : at.to];
    FourBar linkage;
    linkage.driver_pin_mm = *std::min_element(known.begin(), known.end(), [near_pin](glm::dvec2 a, glm::dvec2 b) {
      return length2(a - near_pin) < length2(b - near_pin);
    });
    CHECK_THAT(length2(linkage.driver_pin_mm - near_pin), WithinAbs(0.0, 1e-9));
    linkage.driven_pivot_mm = sought.centre_mm;
    linkage.coupler_mm = at.links * pitch_mm_;
    linkage.driven_arm_mm = pitch_mm_ / (2.0 * std::sin(pi / sought.teeth));
    const glm::dvec2 arm = far_pin - sought.centre_mm;
    const double astray = between(random_, -1.5, 1.5) * turn_rad / sought.teeth;
    linkage.start_mm = sought.centre_mm + std::cos(astray) * arm + std::sin(astray) * left_of(arm);
    const std::optional<glm::dvec2> found = solve_four_bar(linkage);
    REQUIRE(found.has_value());
    const glm::dvec2 found_arm = *found - sought.centre_mm;
    worst_rad = std::fmax(worst_rad, std::fabs(std::atan2(cross2(arm, found_arm), dot2(arm, found_arm))));
    std::vector<glm::dvec2> seats;
    for (int i = 0; i < sought.teeth; ++i) {
      const glm::dvec2 turn = unit_vector(turn_rad * i / sought.teeth);
      seats.push_back(sought.centre_mm + turn.x * found_arm + turn.y * left_of(found_arm));
    }
    // The right pair of pins, whoever found them: no seat of either sprocket stands outside the line.
    const auto outside_mm = [&](const std::vector<glm::dvec2>& polygon, const Sprocket& sprocket) {
      return farthest_outside_mm(polygon, linkage.driver_pin_mm, *found, sprocket.centre_mm);
    };
    worst_outside_mm = std::fmax(worst_outside_mm, outside_mm(known, loop_.sprockets[known_sprocket]));
    worst_outside_mm = std::fmax(worst_outside_mm, outside_mm(seats, sought));
    ++solved;
    crossed += sought.wrap != loop_.sprockets[known_sprocket].wrap ? 1 : 0;
    return seats;
  }

  const Loop& loop_;
  const LoopPose& pose_;
  std::mt19937& random_;
  double handed_;
  double pitch_mm_;
  std::vector<glm::dvec2> crank_seats_;
};

} // namespace

// The chain of four-bar linkages of a loop of up to eight sprockets, cross tangents to those on the chain's back among
// them, closed by libslvs from the crank on. What is a little off at one sprocket is carried on to the next.
TEST_CASE("round a loop of many sprockets every straight strand is a closed four-bar linkage", "[four-bar]") {
  std::mt19937 random(70);
  int solved = 0, crossed = 0;
  double worst_rad = 0.0, worst_outside_mm = -1.0;
  for (int i = 0; i < 200; ++i) {
    const Accepted made = accepted(random, any_loop);
    const DrivePose pose = made.drive.pose(between(random, -720.0, 1440.0));
    StrandWalk walk(made.drawn, pose, random);
    walk.walk();
    solved += walk.solved;
    crossed += walk.crossed;
    worst_rad = std::fmax(worst_rad, walk.worst_rad);
    worst_outside_mm = std::fmax(worst_outside_mm, walk.worst_outside_mm);
  }
  CHECK(solved > 300);
  CHECK(crossed > 50);
  CHECK(worst_rad < 1e-11);
  CHECK(worst_outside_mm < 1e-9);
}
