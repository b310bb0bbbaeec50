#include "geometry/angle.hpp"
#include "mechanics/lobe_contour.hpp"
#include "reference/cams_rolling.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Up over 68 degrees and down over 83, a row each degree: (1 - u^2)^3, u rising from -1 to 1 with the angle and its
// square. Not one of the program's own laws.
LobeTable asymmetric_table() {
  constexpr double up = 68.0, down = 83.0;
  constexpr double straight = (up / down + down / up) / (up + down), bent = (straight * up - 1.0) / (up * up);
  LobeTable table;
  for (int deg = -68; deg <= 83; ++deg) {
    const double u = straight * deg + bent * deg * deg;
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(5.8 * std::pow(1.0 - u * u, 3));
  }
  table.lift_mm.front() = table.lift_mm.back() = 0.0;
  return table;
}

ValveGear gear_of(Follower follower) {
  ValveGear gear;
  gear.follower = follower;
  gear.base_radius_mm = 24.0;
  if (follower == Follower::roller_tappet) gear.roller_radius_mm = 9.5;
  if (follower == Follower::bucket) gear.face_mm = 36.0;
  if (follower == Follower::finger)
    gear.finger = FingerArms{.pivot_mm = {-34.0, -30.0},
                             .pad_arm_mm = 35.5,
                             .pad_radius_mm = 14.0,
                             .valve_arm_mm = 52.0,
                             .valve_arm_deg = -6.0};
  return gear;
}

struct Worst {
  double lift_mm = 0, contact_mm = 0, in_lobe_mm = 0, pad_mm = 0, turned_rad = 0;
  int angles = 0;
};

void note(double& worst, glm::dvec2 a, glm::dvec2 b) {
  worst = std::fmax(worst, length2(a - b));
}

// How far the lobe's frame is turned: told by where one and the same contact point lies in both.
double turned_rad(const LobeContact& contact) {
  const glm::dvec2 from = contact.in_lobe_mm, to = contact.in_follower_mm;
  return std::atan2(cross2(from, to), dot2(from, to));
}

void roll_round(const ValveGear& gear, const LobeProfile& lobe, Worst& worst) {
  const Result<LobeContour> contour = LobeContour::make(gear, lobe, "inlet");
  INFO((contour ? std::string() : to_text(contour.problems())));
  REQUIRE(contour.ok());
  const Outline outline(contour->outline_mm(72000));
  const double at_nose_rad = turned_rad(contour->contact(0.0));
  if (!gear.finger) CHECK_THAT(at_nose_rad, WithinAbs(0.0, 1e-12));
  CHECK_THAT(contour->contact(lobe.greatest_at_rad()).in_lobe_mm.x, WithinAbs(0.0, 1e-6));
  for (int i = -180; i < 240; ++i) {
    const double from_nose_rad = radians(i < 180 ? i : 1.2345 * (i - 210) * 2.0);
    const LobeContact said = contour->contact(from_nose_rad);
    const Rolled rolled = roll(outline, gear, from_nose_rad + at_nose_rad);
    worst.lift_mm = std::fmax(worst.lift_mm, std::fabs(rolled.tappet_mm - lobe.lift_mm(from_nose_rad)));
    worst.lift_mm = std::fmax(worst.lift_mm, std::fabs(rolled.tappet_mm - said.tappet_mm));
    note(worst.contact_mm, rolled.in_follower_mm, said.in_follower_mm);
    note(worst.in_lobe_mm, rolled.in_lobe_mm, said.in_lobe_mm);
    note(worst.pad_mm, rolled.pad_mm, said.pad_mm);
    worst.turned_rad = std::fmax(worst.turned_rad,
                                 std::fabs(std::remainder(turned_rad(said) - from_nose_rad - at_nose_rad, turn_rad)));
    ++worst.angles;
  }
}

} // namespace

// Round trip: the outline as 72,000 points, rolled under the follower by a search that knows nothing of how it was made
// (cams_rolling.cpp), lifts the follower as the table says. That every row of the table is met is in it, as the rows
// stand at whole degrees.
TEST_CASE("an outline rolled under its follower gives back the lift it was made from", "[rolling]") {
  const LobeTable table = asymmetric_table();
  const std::array<Lobe, 3> lobes{Lobe{table},
                                  Lobe{LobePolynomial{.lift_mm = 6.2, .duration_deg = 316.0, .rise_deg = 148.0}},
                                  Lobe{LobeCard{.lift_mm = 6.0,
                                                .duration_deg = 210.0,
                                                .seat_duration_deg = 286.0,
                                                .ramp = LobeRamp{.lift_mm = 0.25, .length_deg = 36.0},
                                                .closing_ramp = LobeRamp{.lift_mm = 0.3, .length_deg = 50.0}}}};
  for (const Follower follower : {Follower::flat_tappet, Follower::bucket, Follower::roller_tappet, Follower::finger}) {
    const ValveGear gear = gear_of(follower);
    Worst worst;
    for (const Lobe& lobe : lobes) {
      INFO(to_word(follower) << ", lobe " << lobe.index());
      const Result<LobeProfile> made = LobeProfile::make(lobe, "lobe", {.check_mm = 1.27, .lash_mm = 0.25});
      INFO((made ? std::string() : to_text(made.problems())));
      REQUIRE(made.ok());
      roll_round(gear, *made, worst);
      if (lobe.index() != 0) continue;
      for (std::size_t row = 0; row < table.cam_deg.size(); ++row)
        CHECK_THAT(made->lift_mm(radians(table.cam_deg[row])), WithinAbs(table.lift_mm[row], 1e-12));
    }
    INFO(to_word(follower) << ": lift " << worst.lift_mm << ", contact " << worst.contact_mm << ", in lobe "
                           << worst.in_lobe_mm << ", pad " << worst.pad_mm << ", turned " << worst.turned_rad);
    CHECK(worst.angles >= 1000);
    CHECK(worst.lift_mm < 1e-9);
    CHECK(worst.contact_mm < 1e-5);
    CHECK(worst.in_lobe_mm < 1e-5);
    CHECK(worst.turned_rad < 1e-12);
  }
}
