#include "geometry/angle.hpp"
#include "mechanics/lobe.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <limits>

using namespace phasewright;

namespace {

LobeProfile polynomial(double lift_mm, double duration_deg, std::optional<double> rise_deg = {}) {
  return *LobeProfile::make(LobePolynomial{lift_mm, duration_deg, rise_deg}, "lobe");
}

LobeTable sampled(const LobeProfile& law, double step_deg) {
  LobeTable table;
  const double end_deg = degrees(law.closes_rad());
  const int steps = static_cast<int>(std::lround(2.0 * end_deg / step_deg));
  for (int i = 0; i <= steps; ++i) {
    table.cam_deg.push_back(-end_deg + 2.0 * end_deg * i / steps);
    table.lift_mm.push_back(law.lift_mm(radians(table.cam_deg.back())));
  }
  return table;
}

LobeProfile card(const LobeCard& lobe, const CardLevels& levels = {}) {
  const Result<LobeProfile> made = LobeProfile::make(lobe, "lobe", levels);
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

std::string refusal(const Lobe& lobe, const CardLevels& levels = {}) {
  const Result<LobeProfile> made = LobeProfile::make(lobe, "camshaft[1].inlet.lobe", levels);
  return made ? "accepted" : to_text(made.problems());
}

} // namespace

// 4-5-6-7: peak velocity 2.1875 h/b, peak acceleration 7.5132 h/b^2 (Norton, Design of Machinery, and other cam texts:
// factors from memory, derived again from the polynomial with 30-digit arithmetic).
TEST_CASE("the polynomial lobe has the textbook's peaks", "[lobe]") {
  const LobeProfile lobe = polynomial(8.0, 280.0);
  const double flank_rad = radians(70.0);
  double velocity = 0.0, acceleration = 0.0;
  for (int i = -70000; i <= 70000; ++i) {
    const LiftState state = lobe.at(radians(i * 0.001));
    velocity = std::fmax(velocity, std::fabs(state.per_rad_mm));
    acceleration = std::fmax(acceleration, std::fabs(state.per_rad2_mm));
  }
  CHECK_THAT(velocity * flank_rad / 8.0, WithinAbs(2.1875, 1e-7));
  CHECK_THAT(acceleration * flank_rad * flank_rad / 8.0, WithinAbs(7.5132, 5e-5));
  CHECK(lobe.greatest_lift_mm() == 8.0);
  CHECK(lobe.greatest_at_rad() == 0.0);
  CHECK_THAT(degrees(lobe.closes_rad()), WithinAbs(70.0, 1e-12));
}

// Central differences of each derivative give the next, except across a row, where a spline's third steps.
TEST_CASE("slope, bend and third are the derivatives of the lift, whatever the law", "[lobe]") {
  const LobeProfile law = polynomial(7.0, 300.0);
  const LobeRamp slow{.lift_mm = 0.3, .length_deg = 50.0};
  const std::vector<LobeProfile> lobes{law, polynomial(7.0, 310.0, 140.0),
                                       *LobeProfile::make(sampled(law, 2.0), "lobe"), card({7.0, 220.0, 270.0, {}, {}}),
                                       card({.lift_mm = 7.0,
                                             .duration_deg = 216.0,
                                             .seat_duration_deg = 270.0,
                                             .ramp = LobeRamp{.lift_mm = 0.2, .length_deg = 30.0},
                                             .closing_ramp = slow})};
  constexpr double h = 1e-5;
  for (const LobeProfile& lobe : lobes) {
    for (double deg = -95.0; deg <= 95.0; deg += 0.7) {
      const double rad = radians(deg);
      CAPTURE(deg);
      const LiftState before = lobe.at(rad - h);
      const LiftState at = lobe.at(rad);
      const LiftState after = lobe.at(rad + h);
      CHECK(lobe.lift_mm(rad) == at.lift_mm);
      CHECK_THAT((after.lift_mm - before.lift_mm) / (2.0 * h), WithinAbs(at.per_rad_mm, 1e-6));
      CHECK_THAT((after.per_rad_mm - before.per_rad_mm) / (2.0 * h), WithinAbs(at.per_rad2_mm, 4e-3));
      const bool across_a_step = std::fabs(after.per_rad3_mm - before.per_rad3_mm) > 1.0;
      if (!across_a_step)
        CHECK_THAT((after.per_rad2_mm - before.per_rad2_mm) / (2.0 * h), WithinAbs(at.per_rad3_mm, 0.5));
    }
  }
}

TEST_CASE("a polynomial lobe may rise faster than it falls", "[lobe]") {
  const LobeProfile lobe = polynomial(7.0, 310.0, 140.0);
  CHECK_THAT(degrees(lobe.opens_rad()), WithinAbs(-70.0, 1e-12));
  CHECK_THAT(degrees(lobe.closes_rad()), WithinAbs(85.0, 1e-12));
  CHECK(lobe.greatest_at_rad() == 0.0);
  CHECK(lobe.greatest_lift_mm() == 7.0);
  // At half the way up each flank the law has half the lift.
  CHECK_THAT(lobe.lift_mm(radians(-35.0)), WithinAbs(3.5, 1e-12));
  CHECK_THAT(lobe.lift_mm(radians(42.5)), WithinAbs(3.5, 1e-12));
  CHECK_THAT(polynomial(7.0, 300.0, 150.0).lift_mm(0.4), WithinAbs(polynomial(7.0, 300.0).lift_mm(0.4), 1e-15));
  CHECK(refusal(LobePolynomial{7.0, 300.0, 300.0}) ==
        "camshaft[1].inlet.lobe.rise_deg: found 300, allowed more than 0 and less than the duration, 300\n");
  CHECK(refusal(LobePolynomial{7.0, 600.0, 200.0}) ==
        "camshaft[1].inlet.lobe.rise_deg: found 200, allowed 240 to 360; "
        "half a turn of the camshaft is the most either side of the nose\n");
}

TEST_CASE("a table follows its law between the rows", "[lobe]") {
  const LobeProfile law = polynomial(7.0, 300.0);
  const LobeProfile table = *LobeProfile::make(sampled(law, 2.0), "lobe");
  for (double deg = -90.0; deg <= 90.0; deg += 0.13)
    CHECK_THAT(table.lift_mm(radians(deg)), WithinAbs(law.lift_mm(radians(deg)), 2e-5));
  CHECK_THAT(table.greatest_lift_mm(), WithinAbs(7.0, 2e-5));
}

TEST_CASE("crossings are where the lift passes", "[lobe]") {
  const LobeProfile lobe = polynomial(7.0, 300.0);
  for (const double level_mm : {1e-6, 0.01, 0.3, 1.27, 5.0, 6.999}) {
    const auto crossings = lobe.crossings_rad(level_mm);
    REQUIRE(crossings.has_value());
    CHECK((*crossings)[0] < 0.0);
    CHECK_THAT((*crossings)[0], WithinAbs(-(*crossings)[1], 1e-12));
    CHECK_THAT(lobe.lift_mm((*crossings)[1]), WithinAbs(level_mm, 1e-12));
  }
  CHECK((*lobe.crossings_rad(0.0))[0] == lobe.opens_rad());
  CHECK((*lobe.crossings_rad(7.0))[0] == 0.0);
  CHECK_FALSE(lobe.crossings_rad(7.001).has_value());
  CHECK_FALSE(lobe.crossings_rad(std::numeric_limits<double>::quiet_NaN()).has_value());
}

TEST_CASE("lobes that cannot be computed are refused", "[lobe]") {
  CHECK(refusal(LobeTable{"", LiftOf::tappet, {0.0, 1.0}, {0.0, 1.0}}) ==
        "camshaft[1].inlet.lobe: found 2 angles and 2 lifts, allowed as many of each, 4 or more\n");
  CHECK(refusal(LobeTable{"", LiftOf::tappet, {0.0, 2.0, 1.0, 3.0}, {0.0, 1.0, 1.0, 0.0}}) ==
        "camshaft[1].inlet.lobe: found 1 deg after 2 deg in row 3, allowed angles that rise from row to row\n");
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(refusal(LobeTable{"", LiftOf::tappet, {0.0, 1.0, 2.0, 3.0}, {0.0, nan, 1.0, 0.0}}) ==
        "camshaft[1].inlet.lobe: found row 2 without a figure, allowed finite angles and lifts\n");
}

TEST_CASE("rows of no lift at a table's ends do not let the lobe swing below its base circle", "[lobe]") {
  LobeTable table = sampled(polynomial(7.0, 300.0), 2.0);
  for (const double beyond_deg : {77.0, 79.0, 81.0}) {
    table.cam_deg.push_back(beyond_deg);
    table.lift_mm.push_back(0.0);
    table.cam_deg.insert(table.cam_deg.begin(), -beyond_deg);
    table.lift_mm.insert(table.lift_mm.begin(), 0.0);
  }
  const LobeProfile lobe = *LobeProfile::make(table, "lobe");
  CHECK_THAT(degrees(lobe.opens_rad()), WithinAbs(-75.0, 1e-9));
  CHECK_THAT(degrees(lobe.closes_rad()), WithinAbs(75.0, 1e-9));
  for (double deg = -90.0; deg <= 90.0; deg += 0.05) REQUIRE(lobe.lift_mm(radians(deg)) >= 0.0);
  table.lift_mm.assign(table.lift_mm.size(), 0.0);
  CHECK(refusal(table) == "camshaft[1].inlet.lobe: found no lift in any row, allowed a lobe\n");
}

// JCGM 100, F.2.2.1 (from memory): rounding is an error of the last digit over the root of 12, row for row, and shows
// in the second derivative by the inverse square of the step.
TEST_CASE("a table written with few digits is curved nearly as its law is", "[lobe]") {
  const LobeProfile law = polynomial(7.5, 290.0);
  for (const double step_deg : {0.5, 1.0, 2.0}) {
    for (const double digit_mm : {0.01, 0.001}) {
      LobeTable table;
      for (double deg = -90.0; deg <= 90.0; deg += step_deg) {
        table.cam_deg.push_back(deg);
        table.lift_mm.push_back(std::round(law.lift_mm(radians(deg)) / digit_mm) * digit_mm);
      }
      const LobeProfile as_written = *LobeProfile::make(table, "lobe");
      table.last_digit_mm = digit_mm;
      const LobeProfile lobe = *LobeProfile::make(table, "lobe");
      double bend_off_mm = 0.0;
      double bend_off_as_written_mm = 0.0;
      for (double deg = -50.0; deg <= 50.0; deg += 0.1) {
        const double rad = radians(deg);
        const double bend_mm = law.at(rad).per_rad2_mm;
        bend_off_mm = std::fmax(bend_off_mm, std::fabs(lobe.at(rad).per_rad2_mm - bend_mm));
        bend_off_as_written_mm = std::fmax(bend_off_as_written_mm, std::fabs(as_written.at(rad).per_rad2_mm - bend_mm));
      }
      CAPTURE(step_deg, digit_mm);
      CHECK(bend_off_mm < 1.5); // 95 mm as written in whole hundredths each degree
      CHECK(bend_off_mm < bend_off_as_written_mm / 5.0);
      for (std::size_t row = 0; row < table.cam_deg.size(); ++row)
        CHECK_THAT(lobe.lift_mm(radians(table.cam_deg[row])), WithinAbs(table.lift_mm[row], 1.0001 * digit_mm));
    }
  }
}
