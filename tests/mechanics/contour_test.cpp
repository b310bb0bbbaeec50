#include "geometry/angle.hpp"
#include "mechanics/gears.hpp"
#include "mechanics/linkage.hpp"
#include "mechanics/lobe_contour.hpp"
#include "mechanics/valve_gear.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <cstdio>
#include <limits>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

LobeProfile profile_of(const ValveGear& gear) {
  const Result<LobeProfile> made = LobeProfile::make(gear.lobe, "lobe");
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

LobeContour contour_of(const ValveGear& gear) {
  const Result<LobeContour> made = LobeContour::make(gear, profile_of(gear), "camshaft[1].inlet");
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

std::string refusal(const ValveGear& gear) {
  const Result<LobeContour> made = LobeContour::make(gear, profile_of(gear), "camshaft[1].inlet");
  return made ? "accepted" : to_text(made.problems());
}

// Where the pad's centre is in the follower's frame, found without the formulas under test: straight up for a roller;
// for a finger on its circle about the pivot (FingerArms' frame with y turned over), at that distance, by halving.
glm::dvec2 pad_centre(const ValveGear& gear, double tappet_mm) {
  if (gear.follower == Follower::roller_tappet) return {0.0, gear.base_radius_mm + gear.roller_radius_mm + tappet_mm};
  const FingerArms& arms = *gear.finger;
  const glm::dvec2 pivot{arms.pivot_mm.x, -arms.pivot_mm.y};
  const double toward = pivot.x > 0.0 ? -1.0 : 1.0;
  const auto at = [&](double up_rad) {
    return pivot + arms.pad_arm_mm * glm::dvec2{toward * std::cos(up_rad), std::sin(up_rad)};
  };
  double low = -1.2, high = 1.2;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    (length2(at(middle)) < gear.base_radius_mm + arms.pad_radius_mm + tappet_mm ? low : high) = middle;
  }
  return at(low);
}

double pad_radius(const ValveGear& gear) {
  return gear.follower == Follower::roller_tappet ? gear.roller_radius_mm : gear.finger->pad_radius_mm;
}

// How much further out than its corners a chord's arc may lie: corners 1/20000 turn apart on the roundest place.
constexpr int corners = 20000;
constexpr double chord_mm = 2e-6;

} // namespace

TEST_CASE("a flat face touches the outline where it is said to, and none of the outline stands above it", "[contour]") {
  ValveGear asymmetric = flat_gear();
  asymmetric.lobe = LobePolynomial{6.9, 330.0, 150.0};
  for (const ValveGear& gear : {flat_gear(), asymmetric}) {
    const LobeContour contour = contour_of(gear);
    const LobeProfile lobe = profile_of(gear);
    const std::vector<glm::dvec2> outline = contour.outline_mm(corners);
    for (double deg = -180.0; deg < 180.0; deg += 4.7) {
      CAPTURE(deg);
      const LobeContact contact = contour.contact(radians(deg));
      // The lobe turned anticlockwise, as its frame says.
      const glm::dvec2 turned = unit_vector(radians(deg));
      double highest_mm = 0.0;
      double from_contact_mm = 1e9;
      for (const glm::dvec2& corner : outline) {
        const glm::dvec2 at = turned_by(corner, turned);
        highest_mm = std::fmax(highest_mm, at.y);
        from_contact_mm = std::fmin(from_contact_mm, length2(at - contact.in_follower_mm));
      }
      CHECK_THAT(highest_mm, WithinAbs(gear.base_radius_mm + lobe.lift_mm(radians(deg)), chord_mm));
      CHECK(contact.in_follower_mm.y == gear.base_radius_mm + contact.tappet_mm);
      CHECK(from_contact_mm < 0.01); // on the outline, as near as a corner is
      CHECK_THAT(length2(turned_by(contact.in_lobe_mm, turned) - contact.in_follower_mm), WithinAbs(0.0, 1e-12));
    }
  }
}

TEST_CASE("a roller or a finger's pad touches the outline, and none of the outline stands inside it", "[contour]") {
  for (const ValveGear& gear : {roller_gear(), sliding_finger_gear(), roller_finger_gear()}) {
    const LobeContour contour = contour_of(gear);
    const LobeProfile lobe = profile_of(gear);
    const std::vector<glm::dvec2> outline = contour.outline_mm(corners);
    const double pad_mm = pad_radius(gear);
    // The nose at 0 points to the pad's centre at the greatest lift; from there the lobe turns anticlockwise.
    const glm::dvec2 nose = pad_centre(gear, lobe.greatest_lift_mm());
    const double nose_rad = std::atan2(nose.y, nose.x);
    for (double deg = -180.0; deg < 180.0; deg += 4.7) {
      CAPTURE(to_word(gear.follower), pad_mm, deg);
      const LobeContact contact = contour.contact(radians(deg));
      const glm::dvec2 centre = pad_centre(gear, lobe.lift_mm(radians(deg)));
      CHECK_THAT(length2(contact.pad_mm - centre), WithinAbs(0.0, 1e-9));
      CHECK_THAT(length2(contact.in_follower_mm - centre), WithinAbs(pad_mm, 1e-9));
      const glm::dvec2 turned = unit_vector(nose_rad - pi / 2.0 + radians(deg));
      double nearest_mm = 1e9;
      double from_contact_mm = 1e9;
      for (const glm::dvec2& corner : outline) {
        const glm::dvec2 at = turned_by(corner, turned);
        nearest_mm = std::fmin(nearest_mm, length2(at - centre));
        from_contact_mm = std::fmin(from_contact_mm, length2(at - contact.in_follower_mm));
      }
      CHECK(nearest_mm > pad_mm - 1e-9);
      CHECK(nearest_mm < pad_mm + chord_mm);
      CHECK(from_contact_mm < 0.01);
      CHECK_THAT(length2(turned_by(contact.in_lobe_mm, turned) - contact.in_follower_mm), WithinAbs(0.0, 1e-9));
      CHECK_THAT(contour.turned_rad(radians(deg)), WithinAbs(nose_rad - pi / 2.0 + radians(deg), 1e-9));
    }
  }
}

// The circle through three near points of the contour.
TEST_CASE("the contour's radius of curvature is that of the circle through near points of it", "[contour]") {
  constexpr double h = 2e-4;
  for (const ValveGear& gear : {flat_gear(), roller_gear(), sliding_finger_gear(), roller_finger_gear()}) {
    const LobeContour contour = contour_of(gear);
    double hollow_mm = 0.0;
    for (double deg = -80.0; deg <= 80.0; deg += 1.3) {
      CAPTURE(to_word(gear.follower), deg);
      const glm::dvec2 a = contour.contact(radians(deg) - h).in_lobe_mm;
      const glm::dvec2 b = contour.contact(radians(deg)).in_lobe_mm;
      const glm::dvec2 c = contour.contact(radians(deg) + h).in_lobe_mm;
      // Clockwise as the cam turns on, so a convex place turns right.
      const double per_mm = -2.0 * cross2(b - a, c - b) / (length2(b - a) * length2(c - b) * length2(c - a));
      CHECK_THAT(per_mm, WithinAbs(1.0 / contour.contact(radians(deg)).curvature_mm, 2e-4));
      hollow_mm = std::fmin(hollow_mm, contour.contact(radians(deg)).curvature_mm);
    }
    // These rollers' flanks are hollow, a flat face's cannot be.
    if (gear.follower == Follower::flat_tappet) CHECK(hollow_mm == 0.0);
    if (gear.follower == Follower::roller_tappet) CHECK(hollow_mm < 0.0);
  }
}

TEST_CASE("a contour is closed, runs anticlockwise and is the base circle away from its lobe", "[contour]") {
  for (const ValveGear& gear : {flat_gear(), roller_gear(), sliding_finger_gear(), roller_finger_gear()}) {
    const LobeContour contour = contour_of(gear);
    const std::vector<glm::dvec2> outline = contour.outline_mm(720);
    REQUIRE(outline.size() == 720);
    double twice_area_mm2 = 0.0;
    double reach_mm = 0.0;
    for (std::size_t i = 0; i < outline.size(); ++i) {
      twice_area_mm2 += cross2(outline[i], outline[(i + 1) % outline.size()]);
      CHECK(length2(outline[(i + 1) % outline.size()] - outline[i]) < 1.0);
      reach_mm = std::fmax(reach_mm, length2(outline[i]));
    }
    CHECK(twice_area_mm2 > 2.0 * pi * gear.base_radius_mm * gear.base_radius_mm);
    CHECK_THAT(length2(contour.contact(pi).in_lobe_mm), WithinAbs(gear.base_radius_mm, 1e-12));
    CHECK_THAT(contour.contact(pi).curvature_mm, WithinAbs(gear.base_radius_mm, 1e-9));
    const double greatest_mm = gear.base_radius_mm + profile_of(gear).greatest_lift_mm();
    CHECK_THAT(contour.reach_mm(), WithinAbs(greatest_mm, 1e-6));
    CHECK_THAT(reach_mm, WithinAbs(greatest_mm, 1e-3));
    const LobeContact nose = contour.contact(0.0);
    CHECK_THAT(nose.in_lobe_mm.x, WithinAbs(0.0, 1e-9));
    CHECK_THAT(nose.in_lobe_mm.y, WithinAbs(greatest_mm, 1e-9));
  }
}

TEST_CASE("the sharpest place is found", "[contour]") {
  for (const ValveGear& gear : {flat_gear(), roller_gear(), sliding_finger_gear()}) {
    const LobeContour contour = contour_of(gear);
    double least_mm = 1e9;
    for (double deg = -90.0; deg <= 90.0; deg += 0.01)
      if (const double radius_mm = contour.contact(radians(deg)).curvature_mm; radius_mm > 0.0)
        least_mm = std::fmin(least_mm, radius_mm);
    CHECK_THAT(contour.least_convex_radius_mm(), WithinAbs(least_mm, 1e-5));
    CHECK_THAT(contour.contact(contour.least_convex_at_rad()).curvature_mm,
               WithinAbs(contour.least_convex_radius_mm(), 1e-9));
  }
}

TEST_CASE("a flat tappet's lobe that would be undercut is refused, and the radius that cures it said", "[contour]") {
  ValveGear gear = flat_gear();
  gear.base_radius_mm = 15.0;
  CHECK(refusal(gear).starts_with(
      "camshaft[1].inlet.base_radius_mm: found 15 mm, allowed more than 18.80 mm; the lobe is undercut"));
  gear.base_radius_mm = 18.81;
  CHECK(refusal(gear) == "accepted");
  gear.base_radius_mm = 15.0;
  gear.follower = Follower::roller_tappet;
  gear.roller_radius_mm = 9.0;
  CHECK(refusal(gear) == "accepted");
}

TEST_CASE("a lobe its roller's path comes to a point over is refused, and the radius that cures it said", "[contour]") {
  ValveGear gear = roller_gear();
  gear.lobe = LobePolynomial{12.0, 200.0, {}};
  gear.roller_radius_mm = 16.0;
  const std::string words = refusal(gear);
  CAPTURE(words);
  CHECK(words.starts_with("camshaft[1].inlet.base_radius_mm: found 16 mm, allowed more than "));
  CHECK(words.find("cam degrees") != std::string::npos);
  double base_mm = 0.0;
  REQUIRE(std::sscanf(words.c_str() + words.find("more than") + 10, "%lf", &base_mm) == 1);
  gear.base_radius_mm = base_mm + 0.02;
  CHECK(refusal(gear) == "accepted");
  gear.base_radius_mm = base_mm - 0.02;
  CHECK(refusal(gear) != "accepted");
}

TEST_CASE("a finger's lobe that comes to a point is refused, and the pad that cures it said", "[contour]") {
  ValveGear gear = sliding_finger_gear();
  gear.lobe = LobePolynomial{9.0, 200.0, {}};
  gear.finger->pad_arm_mm = 36.0;
  const std::string words = refusal(gear);
  CAPTURE(words);
  CHECK(words.starts_with("camshaft[1].inlet.finger.pad_radius_mm: found 25 mm, allowed less than "));
  double pad_mm = 0.0;
  REQUIRE(std::sscanf(words.c_str() + words.find("less than") + 10, "%lf", &pad_mm) == 1);
  gear.finger->pad_radius_mm = pad_mm - 0.02;
  CHECK(refusal(gear) == "accepted");
  gear.finger->pad_radius_mm = pad_mm + 0.02;
  CHECK(refusal(gear) != "accepted");
}

TEST_CASE("a flat face that the lobe would run off is refused", "[contour]") {
  ValveGear gear = flat_gear();
  double most_mm = 0.0;
  for (double deg = -90.0; deg <= 90.0; deg += 0.01)
    most_mm = std::fmax(most_mm, std::fabs(contour_of(gear).contact(radians(deg)).in_follower_mm.x));
  gear.face_mm = 2.0 * most_mm + 0.01;
  CHECK(refusal(gear) == "accepted");
  gear.face_mm = 2.0 * most_mm - 0.01;
  const std::string words = refusal(gear);
  CHECK(words.starts_with("camshaft[1].inlet.face_mm: found "));
  CHECK(words.find("the lobe touches it") != std::string::npos);
}

TEST_CASE("a finger without arms is drawn for a pad that its lobe allows", "[contour]") {
  ValveGear gear = sliding_finger_gear();
  gear.finger.reset();
  CHECK(contour_of(gear).contact(0.0).pad_mm == glm::dvec2{0.0, 15.0 + 12.0 + 5.6});
  gear.lobe = LobePolynomial{14.0, 200.0, {}};
  const LobeContour sharp = contour_of(gear);
  CHECK(sharp.least_convex_radius_mm() > 0.0);
  CHECK(sharp.face().pad_mm() < 12.0);
}
