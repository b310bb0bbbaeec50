#include "geometry/angle.hpp"
#include "mechanics/gears.hpp"
#include "mechanics/lobe_cautions.hpp"
#include "mechanics/mechanism.hpp"
#include "mechanics/valve_gear.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>
#include <random>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Camshaft with(const ValveGear& gear, CheckAt check_at = CheckAt::tappet) {
  Camshaft camshaft;
  camshaft.name = "cam";
  camshaft.check_lift_mm = 1.0;
  camshaft.check_at = check_at;
  camshaft.inlet = gear;
  camshaft.inlet->lash_mm = 0.25;
  return camshaft;
}

ValveMotion motion_of(const Camshaft& camshaft) {
  const Result<ValveMotion> made = ValveMotion::make(camshaft, 0, ValveKind::inlet);
  if (!made) FAIL(to_text(made.problems()));
  return *made;
}

std::string refusal(const Camshaft& camshaft) {
  const Result<ValveMotion> made = ValveMotion::make(camshaft, 0, ValveKind::inlet);
  return made ? "accepted" : to_text(made.problems());
}

LobeCard plain_card(double lift_mm, double duration_deg, double seat_duration_deg) {
  return {lift_mm, duration_deg, seat_duration_deg, {}, {}};
}

} // namespace

TEST_CASE("a valve's state holds the derivatives of its lift, through lobe and levers", "[valve gear]") {
  constexpr double h = 1e-5;
  for (const ValveGear& gear : {flat_gear(), rocker_gear(), sliding_finger_gear(), roller_finger_gear()}) {
    const ValveMotion motion = motion_of(with(gear));
    int lifted = 0;
    for (double deg = -170.0; deg < 170.0; deg += 1.3) {
      CAPTURE(to_word(gear.follower), deg);
      const double rad = radians(deg);
      const ValveState at = motion.valve_state(rad);
      CHECK(at.lift_mm == motion.valve_lift_mm(rad));
      if (motion.valve_lift_mm(rad - h) == 0.0 || motion.valve_lift_mm(rad + h) == 0.0) {
        if (at.lift_mm == 0.0) CHECK((at.per_rad_mm == 0.0 && at.per_rad2_mm == 0.0));
        continue;
      }
      ++lifted;
      CHECK_THAT((motion.valve_lift_mm(rad + h) - motion.valve_lift_mm(rad - h)) / (2.0 * h),
                 WithinAbs(at.per_rad_mm, 1e-6));
      CHECK_THAT((motion.valve_state(rad + h).per_rad_mm - motion.valve_state(rad - h).per_rad_mm) / (2.0 * h),
                 WithinAbs(at.per_rad2_mm, 1e-4));
    }
    CHECK(lifted > 60);
  }
}

TEST_CASE("the tappet lift that lifts the valve so far, lash included, is found back", "[valve gear]") {
  for (const ValveGear& gear : {flat_gear(), rocker_gear(), sliding_finger_gear(), roller_finger_gear()}) {
    const ValveMotion motion = motion_of(with(gear));
    CHECK_THAT(motion.linkage().at(motion.tappet_at_valve_mm(0.0)).valve_mm, WithinAbs(0.25, 1e-12));
    for (double valve_mm = 0.0; valve_mm < motion.greatest_valve_lift_mm(); valve_mm += 0.37)
      CHECK_THAT(motion.linkage().at(motion.tappet_at_valve_mm(valve_mm)).valve_mm - 0.25, WithinAbs(valve_mm, 1e-11));
    CHECK(motion.greatest_valve_lift_mm() == motion.valve_lift_mm(motion.lobe().greatest_at_rad()));
  }
}

TEST_CASE("the lobe stands so that equal lifts at the check lift have its centre between them", "[valve gear]") {
  ValveGear rocker = rocker_gear();
  rocker.lobe = LobePolynomial{6.9, 330.0, 150.0};
  for (const ValveGear& gear : {rocker, sliding_finger_gear()}) {
    for (const CheckAt check_at : {CheckAt::tappet, CheckAt::valve}) {
      const ValveMotion motion = motion_of(with(gear, check_at));
      // The camshaft's angle at which the valve (or tappet) passes the check lift, by halving along either flank.
      const auto lift_mm = [&](double camshaft_rad) {
        const double from_nose_rad = motion.from_nose_rad(camshaft_rad, 0.0);
        return check_at == CheckAt::tappet ? motion.tappet_lift_mm(from_nose_rad) : motion.valve_lift_mm(from_nose_rad);
      };
      const auto passes = [&](double low, double high) { // lifted less at low
        for (int i = 0; i < 100; ++i) {
          const double middle = 0.5 * (low + high);
          (lift_mm(middle) < 1.0 ? low : high) = middle;
        }
        return low;
      };
      const double nose = motion.nose_rad();
      CHECK_THAT(degrees(passes(nose - 1.7, nose) + passes(nose + 1.7, nose)), WithinAbs(gear.centre_deg, 1e-9));
      CHECK(std::fabs(degrees(2.0 * nose) - gear.centre_deg) > 1.0); // the nose itself stands elsewhere
    }
  }
}

TEST_CASE("another lash moves the valve and leaves the camshaft where it is", "[valve gear]") {
  const ValveMotion cold = motion_of(with(sliding_finger_gear(), CheckAt::valve));
  const ValveMotion hot = cold.with_lash(0.1);
  CHECK(hot.gear().lash_mm == 0.1);
  CHECK(cold.gear().lash_mm == 0.25);
  CHECK(hot.nose_rad() == cold.nose_rad());
  CHECK_THAT(hot.valve_lift_mm(0.2), WithinAbs(cold.valve_lift_mm(0.2) + 0.15, 1e-12));
  CHECK_THAT(hot.tappet_at_valve_mm(0.15), WithinAbs(cold.tappet_at_valve_mm(0.0), 1e-12));
}

TEST_CASE("a card's levels are those at the tappet, through the rocker", "[valve gear]") {
  ValveGear gear = rocker_gear();
  gear.lobe = plain_card(6.5, 214.0, 268.0);
  const ValveMotion motion = motion_of(with(gear, CheckAt::valve));
  // Between the silent ramps' tops the lash is just taken up; at the check lift the valve is lifted so far.
  const double seat_rad = radians(268.0) / 4.0;
  CHECK_THAT(motion.linkage().at(motion.tappet_lift_mm(seat_rad)).valve_mm, WithinAbs(0.25, 1e-12));
  CHECK_THAT(motion.valve_lift_mm(radians(214.0) / 4.0), WithinAbs(1.0, 1e-12));
  CHECK_THAT(motion.valve_lift_mm(-radians(214.0) / 4.0), WithinAbs(1.0, 1e-12));
  CHECK_THAT(degrees(2.0 * motion.nose_rad()), WithinAbs(gear.centre_deg, 1e-9));
  CHECK_THAT(degrees(motion.lobe().closes_rad()), WithinAbs(67.0 + 10.0, 1e-12));
  gear.lobe = plain_card(6.5, 266.0, 268.0);
  CHECK(refusal(with(gear, CheckAt::valve)).starts_with("camshaft[1].inlet.lobe.duration_deg: found 266, allowed "));
}

TEST_CASE("a table of the lobe's own radius is rolled under the follower before it moves a valve", "[valve gear]") {
  const LobeProfile law = *LobeProfile::make(roller_gear().lobe, "lobe");
  const LobeContour ground = *LobeContour::make(roller_gear(), law, "lobe");
  LobeTable table;
  table.lift_of = LiftOf::lobe;
  for (const double deg : {-66.0, -64.0}) {
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(0.0);
  }
  for (double deg = -62.0; deg <= 62.0; deg += 0.5) { // wherever those contacts are on the lobe
    const glm::dvec2 at = ground.contact(radians(deg)).in_lobe_mm;
    table.cam_deg.push_back(degrees(std::atan2(at.x, at.y)));
    table.lift_mm.push_back(length2(at) - 16.0);
  }
  for (const double deg : {64.0, 66.0}) {
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(0.0);
  }
  ValveGear gear = roller_gear();
  gear.lobe = table;
  const ValveMotion motion = motion_of(with(gear));
  for (double deg = -60.0; deg <= 60.0; deg += 1.7)
    CHECK_THAT(motion.tappet_lift_mm(radians(deg)), WithinAbs(law.lift_mm(radians(deg)), 1e-4));
  // As the follower's lift, the same figures would be another lobe.
  const LobeProfile misread = *LobeProfile::make(table, "lobe");
  CHECK(std::fabs(misread.lift_mm(radians(35.0)) - law.lift_mm(radians(35.0))) > 0.3);
}

TEST_CASE("an undercut lobe of a table names the row near the place", "[valve gear]") {
  const LobeProfile law = *LobeProfile::make(LobePolynomial{6.9, 330.0, {}}, "lobe");
  LobeTable table;
  for (double deg = -84.0; deg <= 84.0; deg += 2.0) {
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(law.lift_mm(radians(deg)));
  }
  table.lift_mm[32] += 0.05; // -20 deg: a bump that no flat face can follow
  ValveGear gear = flat_gear();
  gear.lobe = table;
  const std::string words = refusal(with(gear));
  CAPTURE(words);
  CHECK(words.starts_with("camshaft[1].inlet.base_radius_mm: found 26 mm, allowed more than "));
  CHECK(words.find("the lobe is undercut 20.0 cam degrees before its nose, near row 33 of its table") !=
        std::string::npos);
}

// Dial indicators are read to their graduation and repeat within about one: common practice, no source.
TEST_CASE("a table read off an indicator that wavers a graduation is evened out, and said to be", "[valve gear]") {
  const LobeProfile law = *LobeProfile::make(LobePolynomial{6.9, 330.0, {}}, "lobe");
  std::mt19937 random(12);
  std::uniform_real_distribution<double> waver_mm(-0.01, 0.01);
  LobeTable table;
  for (double deg = -84.0; deg <= 84.0; deg += 1.0) {
    const double lift_mm = law.lift_mm(radians(deg));
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(std::round(std::fmax(0.0, lift_mm + (lift_mm > 0.0 ? waver_mm(random) : 0.0)) * 100.0) /
                            100.0);
  }
  Engine engine = small_engine();
  engine.camshafts[0].inlet = flat_gear();
  engine.camshafts[0].inlet->lobe = table;
  CHECK_FALSE(Mechanism::assemble(engine, {}).ok()); // taken as exact it is undercut

  table.last_digit_mm = 0.01;
  engine.camshafts[0].inlet->lobe = table;
  const Result<ValveMotion> motion = ValveMotion::make(engine.camshafts[0], 0, ValveKind::inlet);
  REQUIRE(motion.ok());
  CHECK(motion->evened_out_mm() > 0.0);
  CHECK(motion->evened_out_mm() <= 0.04);
  for (std::size_t row = 0; row < table.cam_deg.size(); ++row)
    CHECK_THAT(motion->tappet_lift_mm(radians(table.cam_deg[row])),
               WithinAbs(table.lift_mm[row], 1.0001 * motion->evened_out_mm()));
  for (double deg = -80.0; deg <= 80.0; deg += 0.5)
    CHECK_THAT(motion->tappet_lift_mm(radians(deg)), WithinAbs(law.lift_mm(radians(deg)), 0.015));
  const std::vector<std::string> cautions = lobe_cautions(engine);
  REQUIRE(cautions.size() == 1);
  CHECK(cautions[0].starts_with("the inlet lobe's table is uneven: its rows were moved by up to 0.0"));
}

TEST_CASE("a nose that comes nearly to a point is cautioned of, another is not", "[valve gear]") {
  Engine engine = small_engine();
  CHECK(lobe_cautions(engine).empty());
  engine.camshafts[0].exhaust->base_radius_mm = 19.2; // undercut below 18.80
  const std::vector<std::string> cautions = lobe_cautions(engine);
  REQUIRE(cautions.size() == 1);
  CHECK(cautions[0].starts_with("the exhaust lobe comes to a point: radius of curvature 0.4"));
  CHECK(cautions[0].find("cam degrees") != std::string::npos);
  const Mechanism mechanism = *Mechanism::assemble(engine, {});
  CHECK(lobe_caution(*mechanism.motion(ValveKind::exhaust)) == cautions[0]);
  CHECK_FALSE(lobe_caution(*mechanism.motion(ValveKind::inlet)).has_value());
}

TEST_CASE("a pose tells the swing of rocker and finger", "[valve gear]") {
  Engine engine = small_engine();
  engine.camshafts[0].inlet = rocker_gear();
  const Mechanism mechanism = *Mechanism::assemble(engine, {});
  for (const ValvePose& valve : mechanism.pose(100.0).valves) {
    const Linkage& linkage = mechanism.motion(valve.valve)->linkage();
    CHECK(valve.swing_deg == degrees(linkage.swing_rad(valve.tappet_mm)));
    if (valve.valve == ValveKind::exhaust) CHECK(valve.swing_deg == 0.0);
    if (valve.valve == ValveKind::inlet && valve.cylinder == 1) CHECK(valve.swing_deg > 5.0);
  }
}
