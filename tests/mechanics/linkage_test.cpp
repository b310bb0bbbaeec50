#include "geometry/angle.hpp"
#include "mechanics/gears.hpp"
#include "mechanics/linkage.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <cstdio>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Linkage make(const ValveGear& gear, double greatest_mm = 6.0) {
  const Result<Linkage> made = Linkage::make(gear, greatest_mm, "camshaft[1].inlet");
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

std::string refusal(const ValveGear& gear, double greatest_mm = 6.0) {
  const Result<Linkage> made = Linkage::make(gear, greatest_mm, "camshaft[1].inlet");
  return made ? "accepted" : to_text(made.problems());
}

std::vector<ValveGear> levers() {
  std::vector<ValveGear> gears{rocker_gear(), sliding_finger_gear(), roller_finger_gear()};
  ValveGear steep = rocker_gear(); // far past square at both ends
  steep.rocker->push_arm_deg = 35.0;
  steep.rocker->valve_arm_deg = -50.0;
  gears.push_back(steep);
  return gears;
}

} // namespace

TEST_CASE("a constant ratio multiplies", "[linkage]") {
  ValveGear gear = flat_gear();
  gear.rocker_ratio = 1.4;
  const Linkage linkage = make(gear);
  CHECK(linkage.at(5.0).valve_mm == 7.0);
  CHECK(linkage.at(5.0).ratio == 1.4);
  CHECK(linkage.at(5.0).bend_per_mm == 0.0);
  CHECK(linkage.tappet_mm(7.0) == 5.0);
  CHECK(linkage.swing_rad(5.0) == 0.0);
  CHECK_FALSE(linkage.varies());
  gear.follower = Follower::finger; // without arms
  CHECK(make(gear).at(5.0).valve_mm == 7.0);
  gear.rocker_ratio = 0.0;
  CHECK(refusal(gear) == "camshaft[1].inlet.rocker_ratio: found 0, allowed more than 0\n");
}

TEST_CASE("ratio and bend are the derivatives of the valve's travel, and the way back leads back", "[linkage]") {
  constexpr double h = 1e-4;
  for (const ValveGear& gear : levers()) {
    const Linkage linkage = make(gear);
    CHECK(linkage.varies());
    CHECK_THAT(linkage.at(0.0).valve_mm, WithinAbs(0.0, 1e-13));
    CHECK_THAT(linkage.swing_rad(0.0), WithinAbs(0.0, 1e-15));
    for (double tappet_mm = 0.01; tappet_mm < 6.0; tappet_mm += 0.23) {
      const LinkState at = linkage.at(tappet_mm);
      const LinkState before = linkage.at(tappet_mm - h);
      const LinkState after = linkage.at(tappet_mm + h);
      CHECK_THAT((after.valve_mm - before.valve_mm) / (2.0 * h), WithinAbs(at.ratio, 1e-8));
      CHECK_THAT((after.ratio - before.ratio) / (2.0 * h), WithinAbs(at.bend_per_mm, 1e-8));
      CHECK(linkage.valve_mm(tappet_mm) == at.valve_mm);
      CHECK_THAT(linkage.tappet_mm(at.valve_mm), WithinAbs(tappet_mm, 1e-12));
      CHECK(linkage.swing_rad(tappet_mm) > 0.0);
    }
  }
}

// Both ends placed in the plane by turning their arms, with no formula for the swing: elementary plane geometry.
TEST_CASE("a rocker's ends move along pushrod and valve by what its swing gives", "[linkage]") {
  const RockerArms arms{
      .push_arm_mm = 28.0, .valve_arm_mm = 40.0, .push_arm_deg = -6.0, .valve_arm_deg = -9.0, .pad_radius_mm = 8.0};
  const Linkage linkage = make(rocker_gear());
  for (double swing_deg = 0.0; swing_deg <= 12.0; swing_deg += 0.5) {
    // Pivot at the origin, push arm to the left, pushing up; valve arm to the right, pressing down.
    const auto push_up = [&](double swung_deg) {
      return arms.push_arm_mm * unit_vector(radians(180.0 - (arms.push_arm_deg + swung_deg))).y;
    };
    const auto valve_down = [&](double swung_deg) {
      return -arms.valve_arm_mm * unit_vector(radians(-(arms.valve_arm_deg + swung_deg))).y;
    };
    const double tappet_mm = push_up(swing_deg) - push_up(0.0);
    CHECK_THAT(linkage.at(tappet_mm).valve_mm, WithinAbs(valve_down(swing_deg) - valve_down(0.0), 1e-12));
    CHECK_THAT(degrees(linkage.swing_rad(tappet_mm)), WithinAbs(swing_deg, 1e-10));
  }
  // Arms alike and alike past square make a ratio of their lengths.
  ValveGear alike = rocker_gear();
  alike.rocker->valve_arm_deg = alike.rocker->push_arm_deg;
  CHECK_THAT(make(alike).at(3.7).valve_mm, WithinAbs(3.7 * 40.0 / 28.0, 1e-12));
}

// The finger turned about its pivot as a rigid body; the pad's centre then lies so far from the camshaft.
TEST_CASE("a finger turned about its pivot gives both its lift and its valve's", "[linkage]") {
  for (const ValveGear& gear : {sliding_finger_gear(), roller_finger_gear()}) {
    const FingerArms& arms = *gear.finger;
    const Linkage linkage = make(gear);
    const double rest_mm = gear.base_radius_mm + arms.pad_radius_mm;
    // The pad's centre on the base circle, by halving the arm's direction between level across and straight down; the
    // finger opens by turning down.
    const double toward = arms.pivot_mm.x > 0.0 ? -1.0 : 1.0;
    const auto pad_at = [&](double down_rad) {
      return arms.pivot_mm + arms.pad_arm_mm * glm::dvec2{toward * std::cos(down_rad), -std::sin(down_rad)};
    };
    double level = -1.0, low = 1.0;
    for (int i = 0; i < 80; ++i) {
      const double middle = 0.5 * (level + low);
      (length2(pad_at(middle)) < rest_mm ? level : low) = middle;
    }
    for (double swing_deg = 0.0; swing_deg <= 9.0; swing_deg += 0.5) {
      const glm::dvec2 pad = pad_at(level + radians(swing_deg));
      CHECK(pad.y < 0.0);
      const double tappet_mm = length2(pad) - rest_mm;
      const double valve_mm = arms.valve_arm_mm * (std::sin(radians(arms.valve_arm_deg + swing_deg)) -
                                                   std::sin(radians(arms.valve_arm_deg)));
      CHECK_THAT(degrees(linkage.swing_rad(tappet_mm)), WithinAbs(swing_deg, 1e-10));
      CHECK_THAT(linkage.at(tappet_mm).valve_mm, WithinAbs(valve_mm, 1e-11));
    }
  }
}

TEST_CASE("a lift that no arm reaches gives more than the greatest, not no number", "[linkage]") {
  for (const ValveGear& gear : levers()) {
    const Linkage linkage = make(gear);
    CHECK(linkage.tappet_mm(500.0) > 6.0);
    CHECK(std::isfinite(linkage.tappet_mm(500.0)));
  }
}

TEST_CASE("arms that cannot reach are refused", "[linkage]") {
  ValveGear rocker = rocker_gear();
  rocker.rocker->push_arm_mm = 5.0;
  CHECK(refusal(rocker) ==
        "camshaft[1].inlet.rocker.push_arm_mm: found too short for the greatest lift, allowed at most "
        "80 deg; a longer arm, or one further before square with the valve shut\n");
  rocker = rocker_gear();
  rocker.rocker->valve_arm_deg = 70.0;
  CHECK(refusal(rocker).starts_with("camshaft[1].inlet.rocker.valve_arm_deg: found 82."));

  ValveGear finger = sliding_finger_gear();
  finger.finger->pad_arm_mm = 90.0;
  const std::string words = refusal(finger);
  CHECK(words.starts_with("camshaft[1].inlet.finger.pad_arm_mm: found 90 mm, allowed "));
  CHECK(words.ends_with("mm; the finger does not meet its lobe's base circle within 80 deg from square\n"));
  double least_mm = 0.0;
  double most_mm = 0.0;
  REQUIRE(std::sscanf(words.c_str() + words.find("allowed") + 8, "%lf to %lf", &least_mm, &most_mm) == 2);
  for (const double arm_mm : {least_mm + 0.01, most_mm - 0.01}) {
    finger.finger->pad_arm_mm = arm_mm;
    CHECK(refusal(finger, 0.0).find("pad_arm_mm") == std::string::npos);
  }
  for (const double arm_mm : {least_mm - 0.01, most_mm + 0.01}) {
    finger.finger->pad_arm_mm = arm_mm;
    CHECK(refusal(finger, 0.0).find("pad_arm_mm") != std::string::npos);
  }
  finger = sliding_finger_gear();
  finger.finger->valve_arm_deg = 75.0;
  CHECK(refusal(finger).starts_with("camshaft[1].inlet.finger.valve_arm_deg: found 8"));
  finger = sliding_finger_gear();
  finger.finger->pivot_mm = {4.0, -3.0};
  CHECK(refusal(finger).starts_with("camshaft[1].inlet.finger.pivot_mm: found 5.00 mm from the camshaft's axis"));
  finger = sliding_finger_gear();
  finger.finger->pivot_mm = {20.0, 40.0}; // so far up that its pad would lie on the camshaft's top
  CHECK(refusal(finger) == "camshaft[1].inlet.finger.pivot_mm: found [20, 40], allowed a pivot from which the pad lies "
                           "under the camshaft\n");
}
