#include "geometry/angle.hpp"
#include "mechanics/lobe.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <cstdio>
#include <vector>

using namespace phasewright;

namespace {

LobeProfile card(const LobeCard& lobe, const CardLevels& levels = {}) {
  const Result<LobeProfile> made = LobeProfile::make(lobe, "lobe", levels);
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

std::string refusal(const LobeCard& lobe, const CardLevels& levels = {}) {
  const Result<LobeProfile> made = LobeProfile::make(lobe, "camshaft[1].inlet.lobe", levels);
  return made ? "accepted" : to_text(made.problems());
}

LobeCard plain(double lift_mm, double duration_deg, double seat_duration_deg) {
  LobeCard lobe;
  lobe.lift_mm = lift_mm;
  lobe.duration_deg = duration_deg;
  lobe.seat_duration_deg = seat_duration_deg;
  return lobe;
}

double duration_deg(const LobeProfile& lobe, double lift_mm) {
  const auto crossings = lobe.crossings_rad(lift_mm);
  return degrees(2.0 * ((*crossings)[1] - (*crossings)[0]));
}

} // namespace

TEST_CASE("a card lobe meets its card: lift, duration at check lift, duration between the ramps' tops", "[card]") {
  struct Case {
    LobeCard lobe;
    CardLevels levels;
    double ramp_mm;
  };
  LobeCard stated = plain(9.5, 236.0, 286.0);
  stated.ramp = LobeRamp{.lift_mm = 0.15, .length_deg = 36.0};
  const std::vector<Case> cases{{plain(6.9, 218.0, 264.0), {.check_mm = 1.27, .lash_mm = 0.0}, 0.0},
                                {plain(6.9, 218.0, 264.0), {.check_mm = 1.27, .lash_mm = 0.23}, 0.23},
                                {plain(8.2, 226.0, 270.0), {.check_mm = 1.0, .lash_mm = 0.12}, 0.12},
                                {stated, {.check_mm = 1.27, .lash_mm = 0.3}, 0.15}};
  for (const Case& one : cases) {
    CAPTURE(one.lobe.lift_mm, one.lobe.duration_deg, one.ramp_mm);
    const LobeProfile lobe = card(one.lobe, one.levels);
    CHECK(lobe.greatest_lift_mm() == one.lobe.lift_mm);
    CHECK(lobe.greatest_at_rad() == 0.0);
    CHECK_THAT(duration_deg(lobe, one.levels.check_mm), WithinAbs(one.lobe.duration_deg, 1e-9));
    const double seat_rad = radians(one.lobe.seat_duration_deg) / 4.0;
    CHECK_THAT(lobe.lift_mm(seat_rad), WithinAbs(one.ramp_mm, 1e-12));
    if (one.ramp_mm > 0.0) CHECK_THAT(duration_deg(lobe, one.ramp_mm), WithinAbs(one.lobe.seat_duration_deg, 1e-9));
    const double ramp_deg = one.lobe.ramp ? one.lobe.ramp->length_deg : one.ramp_mm > 0.0 ? 20.0 : 0.0;
    CHECK_THAT(degrees(lobe.closes_rad()), WithinAbs(one.lobe.seat_duration_deg / 4.0 + ramp_deg / 2.0, 1e-12));
    for (double rad = 0.0; rad < pi; rad += 0.013) CHECK(lobe.lift_mm(rad) == lobe.lift_mm(-rad));
  }
}

// The ramp h (2 u^3 - u^4) by its own formula, written out again.
TEST_CASE("below the seat a card lobe is its ramp", "[card]") {
  LobeCard lobe = plain(9.5, 236.0, 286.0);
  lobe.ramp = LobeRamp{.lift_mm = 0.15, .length_deg = 36.0};
  lobe.closing_ramp = LobeRamp{.lift_mm = 0.25, .length_deg = 44.0};
  const LobeProfile made = card(lobe);
  for (double u = 0.0; u <= 1.0; u += 0.05) {
    const double shape = 2.0 * std::pow(u, 3.0) - std::pow(u, 4.0);
    CHECK_THAT(made.lift_mm(-radians(143.0 + 36.0 * (1.0 - u)) / 2.0), WithinAbs(0.15 * shape, 1e-12));
    CHECK_THAT(made.lift_mm(radians(143.0 + 44.0 * (1.0 - u)) / 2.0), WithinAbs(0.25 * shape, 1e-12));
  }
  CHECK(made.lift_mm(radians(93.6)) == 0.0);
  CHECK(made.lift_mm(-radians(89.6)) == 0.0);
}

TEST_CASE("where ramp and main part meet, value, slope, bend and third go over without a step", "[card]") {
  LobeCard lobe = plain(8.0, 224.0, 272.0);
  lobe.ramp = LobeRamp{.lift_mm = 0.2, .length_deg = 30.0};
  lobe.closing_ramp = LobeRamp{.lift_mm = 0.3, .length_deg = 40.0};
  const LobeProfile made = card(lobe);
  for (const double seat_rad : {radians(68.0), -radians(68.0)}) {
    const LiftState inside = made.at(seat_rad * (1.0 - 1e-12));
    const LiftState outside = made.at(seat_rad * (1.0 + 1e-12));
    CHECK_THAT(inside.lift_mm, WithinAbs(outside.lift_mm, 1e-10));
    CHECK_THAT(inside.per_rad_mm, WithinAbs(outside.per_rad_mm, 1e-9));
    CHECK_THAT(inside.per_rad2_mm, WithinAbs(outside.per_rad2_mm, 1e-7));
    CHECK_THAT(inside.per_rad3_mm, WithinAbs(outside.per_rad3_mm, 1e-5));
    CHECK(std::fabs(inside.per_rad_mm) > 0.5); // a real ramp: it does not arrive flat
  }
}

TEST_CASE("different ramps make an asymmetric lobe that still meets its card and has no step at the nose", "[card]") {
  LobeCard lobe = plain(8.0, 224.0, 272.0);
  lobe.ramp = LobeRamp{.lift_mm = 0.2, .length_deg = 30.0};
  lobe.closing_ramp = LobeRamp{.lift_mm = 0.3, .length_deg = 50.0};
  const LobeProfile made = card(lobe);
  CHECK_THAT(duration_deg(made, 1.27), WithinAbs(224.0, 1e-9));
  CHECK(made.greatest_lift_mm() == 8.0);
  const LiftState before = made.at(-1e-9);
  const LiftState after = made.at(1e-9);
  CHECK_THAT(before.per_rad_mm, WithinAbs(0.0, 1e-6));
  CHECK_THAT(after.per_rad_mm, WithinAbs(0.0, 1e-6));
  CHECK_THAT(before.per_rad2_mm, WithinAbs(after.per_rad2_mm, 1e-6));
  CHECK(std::fabs(made.lift_mm(0.9) - made.lift_mm(-0.9)) > 1e-3);
}

TEST_CASE("a card lobe falls all the way from its nose", "[card]") {
  for (const double duration_deg : {170.0, 190.0, 210.0, 228.0}) {
    const LobeProfile lobe = card(plain(8.0, duration_deg, 268.0), {.check_mm = 1.0, .lash_mm = 0.1});
    for (double rad = 0.0; rad < lobe.closes_rad(); rad += 0.001) CHECK(lobe.at(rad).per_rad_mm <= 1e-9);
  }
}

TEST_CASE("cards that no such lobe has are refused, and the durations it could have said", "[card]") {
  const std::string too_long = refusal(plain(6.9, 255.0, 264.0), {.check_mm = 1.27, .lash_mm = 0.25});
  const std::string too_short = refusal(plain(6.9, 120.0, 264.0), {.check_mm = 1.27, .lash_mm = 0.25});
  CAPTURE(too_long, too_short);
  CHECK(too_long.starts_with("camshaft[1].inlet.lobe.duration_deg: found 255, allowed "));
  CHECK(too_long.ends_with("with 6.9 mm of lift and 264 at the seat; "
                           "a shorter duration at check lift, or a longer one at the seat\n"));
  CHECK(too_short.ends_with("a longer duration at check lift, or a shorter one at the seat\n"));
  // The figures said are true: just inside is accepted.
  double least_deg = 0.0;
  double most_deg = 0.0;
  REQUIRE(std::sscanf(too_long.c_str() + too_long.find("allowed") + 8, "%lf to %lf", &least_deg, &most_deg) == 2);
  CHECK(most_deg - least_deg > 30.0);
  for (const double duration_deg : {least_deg, most_deg})
    CHECK(refusal(plain(6.9, duration_deg, 264.0), {.check_mm = 1.27, .lash_mm = 0.25}) == "accepted");
  for (const double duration_deg : {least_deg - 0.2, most_deg + 0.2})
    CHECK(refusal(plain(6.9, duration_deg, 264.0), {.check_mm = 1.27, .lash_mm = 0.25}) != "accepted");

  CHECK(refusal(plain(6.9, 264.0, 264.0)) ==
        "camshaft[1].inlet.lobe.seat_duration_deg: found 264, allowed more than the duration at check lift, 264\n");
  CHECK(refusal(plain(1.2, 200.0, 264.0)) == "camshaft[1].inlet.lobe.lift_mm: found 1.2 mm, allowed more than the "
                                             "check lift, 1.270 mm at the tappet\n");
  LobeCard lobe = plain(6.9, 218.0, 264.0);
  lobe.ramp = LobeRamp{.lift_mm = 1.3, .length_deg = 40.0};
  CHECK(refusal(lobe) == "camshaft[1].inlet.lobe.ramp: found a ramp 1.300 mm high at the tappet, allowed less than the "
                         "check lift, 1.270 mm there; the check lift is then on the flank, inside the duration at the "
                         "seat\n");
  lobe.ramp = LobeRamp{.lift_mm = 0.3, .length_deg = 0.0};
  CHECK(refusal(lobe) == "camshaft[1].inlet.lobe.ramp.length_deg: found 0, allowed more than 0\n");
  lobe.ramp = LobeRamp{.lift_mm = 1.2, .length_deg = 2.0};
  CHECK(refusal(lobe) ==
        "camshaft[1].inlet.lobe.ramp: found ramps that no flank goes over into without rising again, allowed "
        "lower or longer ramps\n");
}
