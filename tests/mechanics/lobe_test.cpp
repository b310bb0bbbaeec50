#include "geometry/angle.hpp"
#include "mechanics/lobe.hpp"
#include "mechanics/valve_gear.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>
#include <limits>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

LobeProfile polynomial(double lift_mm, double duration_deg) {
  return *LobeProfile::make(LobePolynomial{lift_mm, duration_deg}, "lobe");
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

std::string refusal(const Lobe& lobe) {
  const Result<LobeProfile> made = LobeProfile::make(lobe, "camshaft[1].inlet.lobe");
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

TEST_CASE("slope and bend are the derivatives of the lift", "[lobe]") {
  const LobeProfile law = polynomial(7.0, 300.0);
  for (const LobeProfile& lobe : {law, *LobeProfile::make(sampled(law, 2.0), "lobe")}) {
    constexpr double h = 1e-5;
    for (double deg = -80.0; deg <= 80.0; deg += 1.7) {
      const double rad = radians(deg);
      CHECK_THAT((lobe.lift_mm(rad + h) - lobe.lift_mm(rad - h)) / (2.0 * h), WithinAbs(lobe.at(rad).per_rad_mm, 1e-6));
      CHECK_THAT((lobe.at(rad + h).per_rad_mm - lobe.at(rad - h).per_rad_mm) / (2.0 * h),
                 WithinAbs(lobe.at(rad).per_rad2_mm, 1e-3));
    }
  }
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
  CHECK(refusal(LobeCard{6.9, 218.0, 264.0}) ==
        "camshaft[1].inlet.lobe: found a \"card\" lobe, allowed \"table\" or \"polynomial-4567\"; "
        "lobes given by the card alone are not computed yet\n");
  CHECK(refusal(LobeTable{"", {0.0, 1.0}, {0.0, 1.0}}) ==
        "camshaft[1].inlet.lobe: found 2 angles and 2 lifts, allowed as many of each, 4 or more\n");
  CHECK(refusal(LobeTable{"", {0.0, 2.0, 1.0, 3.0}, {0.0, 1.0, 1.0, 0.0}}) ==
        "camshaft[1].inlet.lobe: found 1 deg after 2 deg in row 3, allowed angles that rise from row to row\n");
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(refusal(LobeTable{"", {0.0, 1.0, 2.0, 3.0}, {0.0, nan, 1.0, 0.0}}) ==
        "camshaft[1].inlet.lobe: found row 2 without a figure, allowed finite angles and lifts\n");
}

TEST_CASE("a flat tappet's lobe that would be undercut is refused, and the radius that cures it said", "[valve gear]") {
  Camshaft camshaft = small_engine().camshafts[0];
  camshaft.inlet->base_radius_mm = 15.0;
  const Result<ValveMotion> undercut = ValveMotion::make(camshaft, 0, ValveKind::inlet);
  REQUIRE_FALSE(undercut.ok());
  const std::string words = to_text(undercut.problems());
  CHECK(words.starts_with(
      "camshaft[1].inlet.base_radius_mm: found 15 mm, allowed more than 18.80 mm; the lobe is undercut"));
  camshaft.inlet->base_radius_mm = 18.81;
  CHECK(ValveMotion::make(camshaft, 0, ValveKind::inlet).ok());
  camshaft.inlet->base_radius_mm = 15.0;
  camshaft.inlet->follower = Follower::roller_tappet;
  camshaft.inlet->roller_radius_mm = 9.0;
  CHECK(ValveMotion::make(camshaft, 0, ValveKind::inlet).ok());
}

// Rolled back under its follower, the outline must push it up by the lift: a flat face touches the outermost point.
TEST_CASE("a flat face on the outline is lifted by the lobe", "[valve gear]") {
  const Camshaft camshaft = small_engine().camshafts[0];
  const LobeProfile lobe = *LobeProfile::make(camshaft.inlet->lobe, "lobe");
  const std::vector<glm::dvec2> outline = lobe_outline_mm(*camshaft.inlet, lobe, 7200);
  for (double past_deg = -80.0; past_deg <= 80.0; past_deg += 4.0) {
    const glm::dvec2 direction = unit_vector(radians(90.0 - past_deg));
    double reach_mm = 0.0;
    for (const glm::dvec2& point : outline) reach_mm = std::fmax(reach_mm, dot2(point, direction));
    CHECK_THAT(reach_mm - camshaft.inlet->base_radius_mm, WithinAbs(lobe.lift_mm(radians(past_deg)), 1e-4));
  }
}

TEST_CASE("a roller on the outline is lifted by the lobe", "[valve gear]") {
  Camshaft camshaft = small_engine().camshafts[0];
  camshaft.inlet->follower = Follower::roller_tappet;
  camshaft.inlet->roller_radius_mm = 9.0;
  const LobeProfile lobe = *LobeProfile::make(camshaft.inlet->lobe, "lobe");
  const std::vector<glm::dvec2> outline = lobe_outline_mm(*camshaft.inlet, lobe, 7200);
  for (double past_deg = -80.0; past_deg <= 80.0; past_deg += 4.0) {
    const double centre_mm = camshaft.inlet->base_radius_mm + 9.0 + lobe.lift_mm(radians(past_deg));
    const glm::dvec2 centre = centre_mm * unit_vector(radians(90.0 - past_deg));
    double nearest_mm = 1e9;
    for (const glm::dvec2& point : outline) nearest_mm = std::fmin(nearest_mm, length2(point - centre));
    CHECK_THAT(nearest_mm, WithinAbs(9.0, 1e-4));
  }
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
