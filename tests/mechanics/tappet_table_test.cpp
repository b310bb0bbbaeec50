#include "geometry/angle.hpp"
#include "geometry/spline.hpp"
#include "mechanics/gears.hpp"
#include "mechanics/lobe_contour.hpp"
#include "mechanics/table_rows.hpp"
#include "mechanics/valve_gear.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// The growth of a lobe's own radius, row by row: what that gear's follower needs for its law, by shooting rays at the
// contour, so that such a table can be had for any gear.
LobeTable radius_table(const ValveGear& gear, double step_deg) {
  const LobeProfile lobe = *LobeProfile::make(gear.lobe, "lobe");
  const LobeContour contour = *LobeContour::make(gear, lobe, "gear");
  LobeTable table;
  table.lift_of = LiftOf::lobe;
  const auto on_lobe_rad = [&](double from_nose_rad) {
    const glm::dvec2 at = contour.contact(from_nose_rad).in_lobe_mm;
    return std::atan2(at.x, at.y);
  };
  for (double deg = -90.0; deg <= 90.0; deg += step_deg) {
    double low = -pi, high = pi - 1e-9;
    for (int i = 0; i < 100; ++i) {
      const double middle = 0.5 * (low + high);
      (on_lobe_rad(middle) < radians(deg) ? low : high) = middle;
    }
    table.cam_deg.push_back(deg);
    const double growth_mm = length2(contour.contact(low).in_lobe_mm) - gear.base_radius_mm;
    table.lift_mm.push_back(growth_mm < 1e-12 ? 0.0 : growth_mm);
  }
  return table;
}

LobeTable rolled(const LobeTable& table, const ValveGear& gear) {
  const Result<LobeTable> made = tappet_table(table, gear, "camshaft[1].inlet.lobe");
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

std::string refusal(const LobeTable& table, const ValveGear& gear) {
  const Result<LobeTable> made = tappet_table(table, gear, "camshaft[1].inlet.lobe");
  return made ? "accepted" : to_text(made.problems());
}

std::vector<ValveGear> gears() {
  ValveGear asymmetric = roller_gear();
  asymmetric.lobe = LobePolynomial{6.0, 300.0, 140.0};
  return {flat_gear(), roller_gear(), asymmetric, sliding_finger_gear(), roller_finger_gear()};
}

} // namespace

TEST_CASE("the contour of the rolled table's motion has the table's radius at every row", "[tappet table]") {
  for (const ValveGear& gear : gears()) {
    for (const double step_deg : {1.0, 2.0, 5.0}) {
      const LobeTable table = radius_table(gear, step_deg);
      const LobeTable motion = rolled(table, gear);
      CHECK(motion.lift_of == LiftOf::tappet);
      const LobeProfile lobe = *LobeProfile::make(motion, "lobe");
      const LobeContour contour = *LobeContour::make(gear, lobe, "gear");
      const FlatEndedSpline growth = spline_through(table);
      const auto off_mm = [&](double from_nose_rad) {
        const glm::dvec2 at = contour.contact(from_nose_rad).in_lobe_mm;
        // Rows far apart let the curve through them swing a little below the base circle, which no lobe is ground to.
        return length2(at) - gear.base_radius_mm - std::fmax(0.0, growth.value(std::atan2(at.x, at.y)));
      };
      CAPTURE(to_word(gear.follower), step_deg);
      // The motion's table has a row for each of the radius table's.
      double at_rows_mm = 0.0;
      double anywhere_mm = 0.0;
      for (const double deg : motion.cam_deg) {
        const glm::dvec2 at = contour.contact(radians(deg)).in_lobe_mm;
        const double row = (degrees(std::atan2(at.x, at.y)) + 90.0) / step_deg;
        if (std::fabs(row - std::round(row)) < 1e-5)
          at_rows_mm = std::fmax(at_rows_mm, std::fabs(off_mm(radians(deg))));
      }
      for (double deg = -100.0; deg <= 100.0; deg += 0.03)
        anywhere_mm = std::fmax(anywhere_mm, std::fabs(off_mm(radians(deg))));
      CHECK(at_rows_mm < 1e-6);
      CHECK(anywhere_mm < 2e-5);
    }
  }
}

TEST_CASE("a table of the lobe's own radius gives back the law it was ground for", "[tappet table]") {
  for (const ValveGear& gear : gears()) {
    const LobeProfile law = *LobeProfile::make(gear.lobe, "lobe");
    const LobeProfile lobe = *LobeProfile::make(rolled(radius_table(gear, 0.5), gear), "lobe");
    CAPTURE(to_word(gear.follower));
    for (double deg = -95.0; deg <= 95.0; deg += 0.3)
      CHECK_THAT(lobe.lift_mm(radians(deg)), WithinAbs(law.lift_mm(radians(deg)), 2e-5));
    CHECK_THAT(lobe.greatest_lift_mm(), WithinAbs(law.greatest_lift_mm(), 1e-6));
  }
}

// A round disc turning about a point off its centre: a flat face is lifted by e (1 - cos), a roller as the big end of a
// slider-crank with a rod of disc and roller together. Elementary plane geometry.
TEST_CASE("an eccentric disc moves a flat face and a roller by what plane geometry says", "[tappet table]") {
  constexpr double disc_mm = 23.0, off_mm = 3.0;
  LobeTable table;
  table.lift_of = LiftOf::lobe;
  for (double deg = -180.0; deg <= 180.0; deg += 1.0) {
    const double along_mm = off_mm * std::cos(radians(deg));
    const double across_mm = off_mm * std::sin(radians(deg));
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(along_mm + std::sqrt(disc_mm * disc_mm - across_mm * across_mm) - (disc_mm - off_mm));
  }
  table.lift_mm.front() = table.lift_mm.back() = 0.0;
  ValveGear gear = flat_gear();
  gear.base_radius_mm = disc_mm - off_mm;
  const LobeProfile flat = *LobeProfile::make(rolled(table, gear), "lobe");
  ValveGear roller = roller_gear();
  roller.base_radius_mm = disc_mm - off_mm;
  const LobeProfile rolling = *LobeProfile::make(rolled(table, roller), "lobe");
  for (double deg = -170.0; deg <= 170.0; deg += 1.7) {
    const double cosine = std::cos(radians(deg)), sine = std::sin(radians(deg));
    CHECK_THAT(flat.lift_mm(radians(deg)), WithinAbs(off_mm * (1.0 + cosine), 1e-6));
    const double rod_mm = disc_mm + 9.0;
    CHECK_THAT(rolling.lift_mm(radians(deg)),
               WithinAbs(off_mm * cosine + std::sqrt(rod_mm * rod_mm - off_mm * off_mm * sine * sine) - rod_mm + off_mm,
                         1e-6));
  }
}

TEST_CASE("a hollow that its follower would bridge is refused, and the row near it named", "[tappet table]") {
  const LobeTable hollow = radius_table(roller_gear(), 1.0); // for a roller of 9 mm
  const std::string under_flat = refusal(hollow, flat_gear());
  CAPTURE(under_flat);
  CHECK(under_flat.starts_with("camshaft[1].inlet.lobe: found a hollow of "));
  CHECK(under_flat.find("cam degrees before the nose, near row ") != std::string::npos);
  CHECK(under_flat.ends_with("allowed no hollow under a flat face; the follower would bridge it\n"));
  ValveGear wider = roller_gear();
  wider.roller_radius_mm = 38.0;
  CHECK(refusal(hollow, wider) == "accepted");
  // A dent of three tenths of a millimetre on the flank.
  LobeTable dented = radius_table(flat_gear(), 1.0);
  dented.lift_mm[50] -= 0.3; // -40 deg
  const std::string under_roller = refusal(dented, wider);
  CAPTURE(under_roller);
  CHECK(under_roller.find("allowed more than 38 mm, the roller's or pad's radius") != std::string::npos);
  CHECK((under_roller.find("near row 50") != std::string::npos ||
         under_roller.find("near row 51") != std::string::npos ||
         under_roller.find("near row 52") != std::string::npos));
}

TEST_CASE("a radius table without its follower's measures is refused", "[tappet table]") {
  const LobeTable table = radius_table(sliding_finger_gear(), 2.0);
  ValveGear gear = sliding_finger_gear();
  gear.finger.reset();
  CHECK(refusal(table, gear).starts_with("camshaft[1].inlet.lobe: found the lobe's own radius, allowed"));
  gear = roller_gear();
  gear.roller_radius_mm = 0.0;
  CHECK(refusal(table, gear).starts_with("camshaft[1].inlet.lobe: found the lobe's own radius, allowed"));
  gear = sliding_finger_gear();
  gear.finger->pad_arm_mm = 100.0;
  CHECK(refusal(table, gear).starts_with("camshaft[1].inlet.finger.pad_arm_mm: found 100 mm"));
}
