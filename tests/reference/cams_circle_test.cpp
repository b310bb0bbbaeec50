#include "geometry/angle.hpp"
#include "mechanics/linkage.hpp"
#include "mechanics/lobe_contour.hpp"
#include "reference/cams_rolling.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <functional>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// A full turn in rows a degree apart.
LobeTable full_turn(LiftOf lift_of, const std::function<double(double)>& lift_mm) {
  LobeTable table;
  table.lift_of = lift_of;
  for (int deg = -180; deg <= 180; ++deg) {
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(std::abs(deg) == 180 ? 0.0 : lift_mm(radians(deg)));
  }
  return table;
}

// A circle of `radius_mm` about a point `off_mm` from the camshaft's axis.
struct Eccentric {
  double radius_mm = 0;
  double off_mm = 0;

  [[nodiscard]] double base_mm() const { return radius_mm - off_mm; }
  // Its own radius over the base circle, an angle from the nose: the circle's cut with a ray.
  [[nodiscard]] double own_lift_mm(double rad) const { return roller_lift_mm(rad, 0.0); }
  // A roller's centre led straight out is the piston of a slider-crank: crank `off_mm`, rod from the circle's centre to
  // the roller's.
  [[nodiscard]] double roller_lift_mm(double rad, double roller_mm) const {
    const double rod_mm = radius_mm + roller_mm, across_mm = off_mm * std::sin(rad);
    return off_mm * std::cos(rad) + std::sqrt(rod_mm * rod_mm - across_mm * across_mm) - base_mm() - roller_mm;
  }
};

void is_the_circle(const LobeContour& contour, const Eccentric& circle, double within_mm, double bend_within_mm) {
  double worst_mm = 0.0, worst_bend_mm = 0.0;
  for (int i = -1700; i <= 1700; ++i) {
    const LobeContact contact = contour.contact(radians(0.1 * i));
    worst_mm =
        std::fmax(worst_mm, std::fabs(length2(contact.in_lobe_mm - glm::dvec2{0.0, circle.off_mm}) - circle.radius_mm));
    worst_bend_mm = std::fmax(worst_bend_mm, std::fabs(contact.curvature_mm - circle.radius_mm));
  }
  CAPTURE(worst_mm, worst_bend_mm);
  CHECK(worst_mm < within_mm);
  CHECK(worst_bend_mm < bend_within_mm);
  CHECK_THAT(contour.reach_mm(), WithinAbs(circle.radius_mm + circle.off_mm, 1e-6));
}

} // namespace

// An exercise of machine-theory texts (known from one printing; the answers derived): a flat face moved 50 mm out and
// back in simple harmonic motion by a cam of 25 mm least radius. The cam is a circle of 50 mm about a point 25 mm off
// the shaft, its radius of curvature 50 mm all round, and the face must be 50 mm long. What is left is the spline's
// error through rows a degree apart: 5/384 h^4 25 mm = 3e-8 mm, and 3/8 h^2 25 mm = 0.003 mm of the curvature.
TEST_CASE("simple harmonic motion of a flat face is made by an eccentric circle", "[circle]") {
  const Eccentric circle{50.0, 25.0};
  ValveGear gear;
  gear.base_radius_mm = circle.base_mm();
  gear.lobe = full_turn(LiftOf::tappet, [](double rad) { return 25.0 * (1.0 + std::cos(rad)); });
  const LobeProfile lobe = *LobeProfile::make(gear.lobe, "lobe");
  gear.face_mm = 50.02;
  const Result<LobeContour> contour = LobeContour::make(gear, lobe, "inlet");
  INFO((contour ? std::string() : to_text(contour.problems())));
  REQUIRE(contour.ok());
  is_the_circle(*contour, circle, 1e-7, 4e-3);
  double reach_mm = 0.0;
  for (int i = 0; i < 3600; ++i)
    reach_mm = std::fmax(reach_mm, std::fabs(contour->contact(radians(0.1 * i)).in_follower_mm.x));
  CHECK_THAT(reach_mm, WithinAbs(25.0, 1e-4));
  gear.face_mm = 49.98;
  CHECK_FALSE(LobeContour::make(gear, lobe, "inlet").ok());
}

TEST_CASE("an eccentric circle moves a flat face in simple harmonic motion", "[circle]") {
  const Eccentric circle{30.0, 8.0};
  ValveGear gear;
  gear.base_radius_mm = circle.base_mm();
  const LobeTable own = full_turn(LiftOf::lobe, [&](double rad) { return circle.own_lift_mm(rad); });
  const Result<LobeTable> table = tappet_table(own, gear, "lobe");
  INFO((table ? std::string() : to_text(table.problems())));
  REQUIRE(table.ok());
  double worst_mm = 0.0;
  for (std::size_t row = 0; row < table->cam_deg.size(); ++row)
    worst_mm =
        std::fmax(worst_mm, std::fabs(table->lift_mm[row] - 8.0 * (1.0 + std::cos(radians(table->cam_deg[row])))));
  CHECK(table->cam_deg.size() >= 300);
  CHECK(worst_mm < 1e-7);
}

TEST_CASE("an eccentric circle moves a roller tappet as a slider-crank its piston", "[circle]") {
  const Eccentric circle{30.0, 8.0};
  ValveGear gear;
  gear.follower = Follower::roller_tappet;
  gear.base_radius_mm = circle.base_mm();
  gear.roller_radius_mm = 10.0;
  const auto piston_mm = [&](double rad) { return circle.roller_lift_mm(rad, gear.roller_radius_mm); };
  const LobeTable own = full_turn(LiftOf::lobe, [&](double rad) { return circle.own_lift_mm(rad); });
  const Result<LobeTable> table = tappet_table(own, gear, "lobe");
  INFO((table ? std::string() : to_text(table.problems())));
  REQUIRE(table.ok());
  double worst_mm = 0.0;
  for (std::size_t row = 0; row < table->cam_deg.size(); ++row)
    worst_mm = std::fmax(worst_mm, std::fabs(table->lift_mm[row] - piston_mm(radians(table->cam_deg[row]))));
  CHECK(table->cam_deg.size() >= 300);
  CHECK(worst_mm < 1e-7);
  // And back from the motion to the circle.
  const LobeProfile lobe = *LobeProfile::make(full_turn(LiftOf::tappet, piston_mm), "lobe");
  const Result<LobeContour> contour = LobeContour::make(gear, lobe, "inlet");
  INFO((contour ? std::string() : to_text(contour.problems())));
  REQUIRE(contour.ok());
  is_the_circle(*contour, circle, 1e-7, 4e-3);
}

namespace {

// Camshaft's axis, circle's centre, pad's centre and pivot are the joints of a four-bar linkage: crank `off_mm`, rod
// radius and pad together, rocker the pad's arm. In the finger's own frame, y up, the camshaft turns clockwise.
struct FingerBars {
  Eccentric circle;
  FingerArms arms;

  // The pad's centre with the circle's centre that way from the camshaft's axis (unit: rad, anticlockwise from +x): of
  // the cuts of two circles the one on the piston's side.
  [[nodiscard]] glm::dvec2 pad_mm(double centre_rad) const {
    const glm::dvec2 centre = circle.off_mm * unit_vector(centre_rad);
    return cut(centre, circle.radius_mm + arms.pad_radius_mm);
  }
  [[nodiscard]] glm::dvec2 cut(glm::dvec2 centre, double rod_mm) const {
    const glm::dvec2 way = centre - arms.pivot_mm;
    const double apart_mm = length2(way);
    const double along_mm =
        (apart_mm * apart_mm + arms.pad_arm_mm * arms.pad_arm_mm - rod_mm * rod_mm) / (2.0 * apart_mm);
    const double across_mm = std::sqrt(arms.pad_arm_mm * arms.pad_arm_mm - along_mm * along_mm);
    const glm::dvec2 foot = arms.pivot_mm + along_mm / apart_mm * way;
    const glm::dvec2 a = foot + across_mm / apart_mm * left_of(way), b = foot - across_mm / apart_mm * left_of(way);
    return a.y < b.y ? a : b;
  }
  [[nodiscard]] double lift_mm(double centre_rad) const {
    return length2(pad_mm(centre_rad)) - circle.base_mm() - arms.pad_radius_mm;
  }
  // With the nose under the pad: pad, circle's centre and axis in line.
  [[nodiscard]] double nose_rad() const {
    const glm::dvec2 pad = cut({}, circle.radius_mm + circle.off_mm + arms.pad_radius_mm);
    return std::atan2(pad.y, pad.x);
  }
};

} // namespace

TEST_CASE("an eccentric circle, a finger and its pivot are a four-bar linkage", "[circle]") {
  for (const double pivot_side : {-1.0, 1.0}) {
    INFO("pivot side " << pivot_side);
    FingerBars bars{{30.0, 6.0}, {}};
    bars.arms = {.pivot_mm = {pivot_side * 38.0, -34.0},
                 .pad_arm_mm = 39.5,
                 .pad_radius_mm = 14.0,
                 .valve_arm_mm = 55.0,
                 .valve_arm_deg = -4.0};
    ValveGear gear;
    gear.follower = Follower::finger;
    gear.finger = bars.arms;
    gear.base_radius_mm = bars.circle.base_mm();
    // Turned clockwise past the nose's place.
    const auto lift_mm = [&](double rad) { return bars.lift_mm(bars.nose_rad() - rad); };
    const LobeTable own = full_turn(LiftOf::lobe, [&](double rad) { return bars.circle.own_lift_mm(rad); });
    const Result<LobeTable> table = tappet_table(own, gear, "lobe");
    INFO((table ? std::string() : to_text(table.problems())));
    REQUIRE(table.ok());
    double worst_mm = 0.0;
    int compared = 0;
    for (std::size_t row = 0; row < table->cam_deg.size(); ++row) {
      if (std::fabs(table->cam_deg[row]) > 165.0) continue; // its lowest place is not opposite the nose
      worst_mm = std::fmax(worst_mm, std::fabs(table->lift_mm[row] - lift_mm(radians(table->cam_deg[row]))));
      ++compared;
    }
    CHECK(compared >= 300);
    CHECK(worst_mm < 1e-7);
    // And back from the motion to the circle, as far as the motion is a full turn's.
    LobeTable moved;
    for (int deg = -178; deg <= 178; ++deg) {
      moved.cam_deg.push_back(deg);
      moved.lift_mm.push_back(std::fmax(1e-9, lift_mm(radians(deg))));
    }
    const LobeProfile lobe = *LobeProfile::make(moved, "lobe");
    const Result<LobeContour> contour = LobeContour::make(gear, lobe, "inlet");
    INFO((contour ? std::string() : to_text(contour.problems())));
    REQUIRE(contour.ok());
    double worst_circle_mm = 0.0, worst_pad_mm = 0.0;
    for (int i = -300; i <= 300; ++i) { // also half way between rows
      const double rad = radians(0.5 * i);
      const LobeContact contact = contour->contact(rad);
      worst_circle_mm =
          std::fmax(worst_circle_mm, std::fabs(length2(contact.in_lobe_mm - glm::dvec2{0.0, 6.0}) - 30.0));
      const glm::dvec2 pad = bars.pad_mm(bars.nose_rad() - rad);
      worst_pad_mm = std::fmax(worst_pad_mm, length2(contact.pad_mm - glm::dvec2{pad.x, -pad.y}));
    }
    CHECK(worst_circle_mm < 1e-7);
    CHECK(worst_pad_mm < 1e-7);
    // The valve's end swings with the pad's arm.
    const Result<Linkage> linkage = Linkage::make(gear, lift_mm(0.0), "inlet");
    INFO((linkage ? std::string() : to_text(linkage.problems())));
    REQUIRE(linkage.ok());
    const auto arm_rad = [&](double tappet_mm) {
      const glm::dvec2 arm =
          bars.cut({}, bars.circle.base_mm() + bars.arms.pad_radius_mm + tappet_mm) - bars.arms.pivot_mm;
      return std::atan2(arm.y, arm.x);
    };
    for (int i = 0; i <= 20; ++i) {
      const double tappet_mm = lift_mm(0.0) * i / 20.0;
      const double swing_rad = std::fabs(std::remainder(arm_rad(tappet_mm) - arm_rad(0.0), turn_rad));
      const double valve_mm = 55.0 * (std::sin(radians(-4.0) + swing_rad) - std::sin(radians(-4.0)));
      CHECK_THAT(linkage->swing_rad(tappet_mm), WithinAbs(swing_rad, 1e-12));
      CHECK_THAT(linkage->at(tappet_mm).valve_mm, WithinAbs(valve_mm, 1e-10));
      CHECK_THAT(linkage->tappet_mm(valve_mm), WithinAbs(tappet_mm, 1e-9));
    }
  }
}
