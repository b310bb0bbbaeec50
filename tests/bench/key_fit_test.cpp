#include "bench/key_fit.hpp"
#include "geometry/angle.hpp"
#include "support/catch.hpp"
#include "support/small_engine.hpp"

#include <cmath>

using namespace phasewright;
using phasewright::testing::small_engine;

namespace {

KeyFit fit_of(const KeyReading& reading, const Engine& engine = small_engine(), const Instruments& instruments = {}) {
  Measured measured;
  measured.key = {reading};
  const Result<KeyFit> fit = key_fit(engine, measured, "crank", instruments);
  REQUIRE(fit.ok());
  return *fit;
}

KeyReading crank_key() {
  KeyReading reading;
  reading.shaft = "crank";
  return reading;
}

bool says(const KeyFit& fit, const std::string& words) {
  for (const std::string& advice : fit.advice)
    if (advice.find(words) != std::string::npos) return true;
  return false;
}

} // namespace

TEST_CASE("an angle leads to its step and back", "[key fit]") {
  for (const double deg : {-90.0, -20.0, -0.25, 0.0, 1.0, 4.0, 45.0, 90.0}) {
    INFO(deg);
    CHECK_THAT(key_deg_for_step(28.0, key_step_mm(28.0, deg)), WithinAbs(deg, 1e-6));
  }
  CHECK_THAT(key_deg_for_step(30.0, 7.5), WithinAbs(30.0, 1e-12));
  CHECK(key_deg_for_step(30.0, 15.0) == 90.0);
}

TEST_CASE("a standard key stands out by its height less the seat's depth", "[key fit]") {
  const Result<KeyFit> fit = key_fit(small_engine(), {}, "cam"); // 4x6.5x16: 5.0 deep in the shaft, 1.7 in the hub
  REQUIRE(fit.ok());
  CHECK(fit->standard);
  CHECK_FALSE(fit->measured);
  CHECK(fit->shaft_mm == 25.0);
  CHECK(fit->proud_mm == 1.5);
  CHECK_THAT(fit->top_gap_mm, WithinAbs(0.2, 1e-12));
  CHECK(fit->u_top_gap_mm == 0.0);
  CHECK(fit->dress_top_mm == 0.0);
  CHECK_FALSE(is_out_of_limits(*fit));
  // Sliding fit of a 4 mm key: h9 -0.030/0, seat N9 -0.030/0, hub JS9 +-0.015.
  CHECK_THAT(fit->seat_play_mm[0], WithinAbs(-0.030, 1e-12));
  CHECK_THAT(fit->seat_play_mm[1], WithinAbs(0.030, 1e-12));
  CHECK_THAT(fit->hub_play_mm[0], WithinAbs(-0.015, 1e-12));
  CHECK_THAT(fit->hub_play_mm[1], WithinAbs(0.045, 1e-12));
  // No play in the seat and 0.015 in the hub, on the mean, at a radius of 12.5.
  CHECK_THAT(fit->play_deg, WithinAbs(0.015 / 12.5 * 180.0 / pi, 1e-9));
}

TEST_CASE("no key of the table wants dressing by the standard's own figures", "[key fit]") {
  Engine engine = small_engine();
  for (const Keyway& keyway : keyways()) {
    INFO(to_text(keyway.key));
    engine.crank_seat.key = keyway.key;
    const Result<KeyFit> fit = key_fit(engine, {}, "crank");
    REQUIRE(fit.ok());
    CHECK_FALSE(is_out_of_limits(*fit));
    CHECK(fit->advice.empty());
    CHECK(fit->dress_limit_mm >= 0.0);
  }
}

TEST_CASE("a key that sits high makes a sliding sprocket tight and is dressed on its top", "[key fit]") {
  KeyReading reading = crank_key();
  reading.seat_depth_mm = 4.70; // 0.3 shallow
  const KeyFit fit = fit_of(reading);
  CHECK_THAT(fit.proud_mm, WithinAbs(1.8, 1e-12));
  CHECK_THAT(fit.top_gap_mm, WithinAbs(-0.1, 1e-12));
  CHECK(fit.bears_on_top);
  CHECK_THAT(fit.dress_top_mm, WithinAbs(0.2, 1e-12));
  CHECK_THAT(fit.dress_limit_mm, WithinAbs(1.8 - 1.7 * 2.0 / 3.0, 1e-12));
  CHECK(is_out_of_limits(fit));
  CHECK(fit.words == "The key stands 1.80 mm (71 thou) out of the shaft, 0.10 mm (4 thou) more than the sprocket's "
                     "keyway is deep: the sprocket goes on tight by so much.");
  CHECK(says(fit, "dress 0.20 mm (8 thou) off its top, flat, and no more than 0.67 mm (26 thou) in all"));
  CHECK(says(fit, "Never file the sides of a key until it is loose"));
  CHECK_THAT(fit.u_top_gap_mm, WithinAbs(0.02 / std::sqrt(3.0), 1e-12)); // one caliper reading

  reading.seat_depth_mm = 4.95; // room left, but little
  const KeyFit little = fit_of(reading);
  CHECK_FALSE(little.bears_on_top);
  CHECK(little.dress_top_mm == 0.0); // 0.15 of room
  reading.seat_depth_mm = 4.85;
  const KeyFit close = fit_of(reading);
  CHECK_FALSE(close.bears_on_top);
  CHECK_THAT(close.dress_top_mm, WithinAbs(0.05, 1e-12));
  CHECK(is_out_of_limits(close));
}

TEST_CASE("no more is dressed off than leaves the key driving", "[key fit]") {
  KeyReading reading = crank_key();
  reading.seat_depth_mm = 4.0;
  reading.hub_depth_mm = 0.25;
  reading.height_mm = 4.2;
  // 0.2 proud in 0.25: 0.05 of room; 0.05 to come off, 0.033 may.
  const KeyFit fit = fit_of(reading);
  CHECK_THAT(fit.dress_top_mm, WithinAbs(0.05, 1e-12));
  CHECK_THAT(fit.dress_limit_mm, WithinAbs(0.2 - 0.25 * 2.0 / 3.0, 1e-12));
  CHECK(says(fit, "it is the wrong key, or the seat wants to be deeper"));
  CHECK_FALSE(says(fit, "dress 0.05"));
}

TEST_CASE("a key that sits low is said to drive on too little", "[key fit]") {
  KeyReading reading = crank_key();
  reading.height_mm = 5.8;
  const KeyFit fit = fit_of(reading); // 0.8 proud in a keyway of 1.7
  CHECK(fit.too_low);
  CHECK(is_out_of_limits(fit));
  CHECK(fit.dress_limit_mm == 0.0);
  CHECK(says(fit, "less than half way into the sprocket's keyway"));
  reading.height_mm = 4.9;
  CHECK(fit_of(reading).words.find("0.10 mm (4 thou) below the shaft's surface and drives nothing") !=
        std::string::npos);
}

TEST_CASE("measured widths give one figure of play and are judged by the sliding fit", "[key fit]") {
  KeyReading reading = crank_key();
  reading.width_mm = 3.98;
  reading.seat_width_mm = 3.99;
  reading.hub_width_mm = 4.02;
  const KeyFit good = fit_of(reading);
  CHECK_THAT(good.seat_play_mm[0], WithinAbs(0.01, 1e-12));
  CHECK(good.seat_play_mm[0] == good.seat_play_mm[1]);
  CHECK_THAT(good.play_deg, WithinAbs(0.05 / 14.0 * 180.0 / pi, 1e-9));
  CHECK_FALSE(is_out_of_limits(good));

  // The loosest hub the standard allows has 0.045; two caliper readings of 0.02 may be out by 0.033.
  reading.hub_width_mm = 3.98 + 0.077;
  CHECK_FALSE(fit_of(reading).too_loose);
  reading.hub_width_mm = 3.98 + 0.079;
  const KeyFit loose = fit_of(reading);
  CHECK(loose.too_loose);
  CHECK(says(loose, "fit a new key"));
  CHECK_FALSE(says(loose, "ease the key"));

  // The tightest seat has -0.030.
  reading.hub_width_mm.reset();
  reading.seat_width_mm = 3.98 - 0.062;
  CHECK_FALSE(fit_of(reading).too_tight);
  reading.seat_width_mm = 3.98 - 0.064;
  const KeyFit tight = fit_of(reading);
  CHECK(tight.too_tight);
  CHECK(says(tight, "ease the key on its sides"));
  CHECK(says(tight, "Never file the sides of a key until it is loose"));
}

TEST_CASE("the reading of another shaft is left alone", "[key fit]") {
  Measured measured;
  measured.key.push_back(crank_key());
  measured.key[0].seat_depth_mm = 4.0;
  const Result<KeyFit> cam = key_fit(small_engine(), measured, "cam");
  REQUIRE(cam.ok());
  CHECK_FALSE(cam->measured);
  CHECK(cam->proud_mm == 1.5);
}

TEST_CASE("a key outside the table needs its depths measured", "[key fit]") {
  Engine engine = small_engine();
  engine.crank_seat.key = {5.0, 7.5, 19.0};
  const auto none = key_fit(engine, {}, "crank");
  REQUIRE_FALSE(none.ok());
  CHECK(none.problems().front().key == "measured.key");
  KeyReading reading = crank_key();
  reading.seat_depth_mm = 5.5;
  Measured measured;
  measured.key = {reading};
  CHECK_FALSE(key_fit(engine, measured, "crank").ok());
  reading.hub_depth_mm = 2.3;
  const KeyFit fit = fit_of(reading, engine);
  CHECK_FALSE(fit.standard);
  CHECK(fit.proud_mm == 2.0);
  CHECK_THAT(fit.seat_play_mm[1], WithinAbs(0.030, 1e-12)); // of 3 to 6 mm

  engine.crank_seat.key.width_mm = 12.0;
  measured.key = {reading};
  CHECK_FALSE(key_fit(engine, measured, "crank").ok());
  reading.width_mm = 12.0;
  reading.seat_width_mm = 12.01;
  reading.hub_width_mm = 12.03;
  const KeyFit wide = fit_of(reading, engine);
  CHECK_THAT(wide.hub_play_mm[0], WithinAbs(0.03, 1e-12));
  CHECK_FALSE(wide.too_loose); // no limits to judge by
}

TEST_CASE("a shaft that is not there is refused", "[key fit]") {
  const auto wrong = key_fit(small_engine(), {}, "jack");
  REQUIRE_FALSE(wrong.ok());
  CHECK(wrong.problems().front().found == "shaft \"jack\"");
}

TEST_CASE("a key the wrong way round is out by twice its angle in crank degrees", "[key fit]") {
  const WrongWay crank = key_wrong_way(KeyAt::crank, 3.0);
  CHECK(crank.meant_deg == 3.0);
  CHECK(crank.got_deg == -3.0);
  CHECK(crank.error_deg == -6.0);
  const WrongWay cam = key_wrong_way(KeyAt::cam, -2.0); // cam degrees: 4 of crank
  CHECK(cam.meant_deg == -4.0);
  CHECK(cam.got_deg == 4.0);
  CHECK(cam.error_deg == 8.0);
  CHECK(cam.words == "Fitted the other way round the cam comes out 4.00° crank advanced where 4.00° crank retarded was "
                     "meant: 8.00° crank, twice as much, in error.");
  CHECK(key_wrong_way(KeyAt::cam, 0.0).error_deg == 0.0);
}

TEST_CASE("key widths have the limits of their size", "[key fit]") {
  const auto is = [](const std::optional<KeyWidthLimits>& limits, SizeLimits seat, SizeLimits hub) {
    REQUIRE(limits.has_value());
    CHECK_THAT(limits->seat.lower_mm, WithinAbs(seat.lower_mm, 1e-12));
    CHECK_THAT(limits->seat.upper_mm, WithinAbs(seat.upper_mm, 1e-12));
    CHECK_THAT(limits->hub.lower_mm, WithinAbs(hub.lower_mm, 1e-12));
    CHECK_THAT(limits->hub.upper_mm, WithinAbs(hub.upper_mm, 1e-12));
  };
  // ISO 286, from memory: P9, N9, JS9.
  is(key_width_limits(3.0, KeywayFit::tight), {-0.031, -0.006}, {-0.031, -0.006});
  is(key_width_limits(3.0, KeywayFit::sliding), {-0.029, -0.004}, {-0.0125, 0.0125});
  is(key_width_limits(4.0, KeywayFit::tight), {-0.042, -0.012}, {-0.042, -0.012});
  is(key_width_limits(6.0, KeywayFit::sliding), {-0.030, 0.0}, {-0.015, 0.015});
  CHECK(key_width_limits(3.0, KeywayFit::tight)->key.lower_mm == -0.025);
  CHECK(key_width_limits(3.1, KeywayFit::tight)->key.lower_mm == -0.030);
  CHECK_FALSE(key_width_limits(10.1, KeywayFit::tight).has_value());
  CHECK_FALSE(key_width_limits(0.0, KeywayFit::tight).has_value());
  CHECK_FALSE(key_width_limits(std::nan(""), KeywayFit::tight).has_value());
}
