// An invented engine for tests that need one without a file: a pushrod four with polynomial lobes.
#pragma once

#include "parts/build.hpp"

namespace phasewright::testing {

inline Engine small_engine() {
  Engine engine;
  engine.name = "test four";
  engine.block = {.cylinders = 4,
                  .firing_order = {1, 3, 4, 2},
                  .bore_mm = 72.0,
                  .stroke_mm = 87.0,
                  .rod_mm = 152.0,
                  .pin_offset_mm = 0.0,
                  .deck_mm = 0.35,
                  .gasket_mm = 0.9,
                  .gasket_bore_mm = 73.5,
                  .chamber_cc = 34.0,
                  .crown_cc = 4.5,
                  .crown = {},
                  .cylinder_clock_deg = 0.0};
  engine.loops[0].chain = {.iso606 = "06B-1",
                           .pitch_mm = 9.525,
                           .roller_mm = 6.35,
                           .inner_width_mm = 5.72,
                           .pin_mm = 3.28,
                           .plate_height_mm = 8.26,
                           .transverse_pitch_mm = 10.24,
                           .rows = 1,
                           .links = 52,
                           .wear_limit_percent = 1.5};
  engine.loops[0].sprockets = {{.name = "crank",
                                .teeth = 19,
                                .centre_mm = {0.0, 0.0},
                                .mark = MarkOn::tooth,
                                .mark_clock_deg = 0.0,
                                .camshaft = "",
                                .wrap = Wrap::inside},
                               {.name = "cam",
                                .teeth = 38,
                                .centre_mm = {0.0, 107.9},
                                .mark = MarkOn::gap,
                                .mark_clock_deg = 180.0,
                                .camshaft = "cam",
                                .wrap = Wrap::inside}};
  engine.crank_seat = {.diameter_mm = 28.0, .key = {4.0, 6.5, 16.0}, .key_clock_deg = 0.0, .end_float_mm = {}};
  engine.cam_seats["cam"] = {
      .diameter_mm = 25.0, .key = {4.0, 6.5, 16.0}, .key_clock_deg = 45.0, .end_float_mm = {{0.08, 0.18}}};
  ValveGear inlet;
  inlet.centre_deg = 106.0;
  inlet.rocker_ratio = 1.3;
  inlet.lash_mm = 0.3;
  inlet.base_radius_mm = 20.0;
  inlet.lobe = LobePolynomial{.lift_mm = 6.9, .duration_deg = 330.0, .rise_deg = {}};
  ValveGear exhaust = inlet;
  exhaust.centre_deg = 110.0;
  engine.camshafts = {
      {.name = "cam", .check_lift_mm = 1.27, .check_at = CheckAt::tappet, .inlet = inlet, .exhaust = exhaust}};
  Valve valve;
  valve.head_mm = 33.0;
  valve.closed_height_mm = 4.5;
  valve.offset_mm = {0.0, -17.5}; // the heads 2 mm apart
  engine.inlet_valve = valve;
  valve.offset_mm = {0.0, 17.5};
  engine.exhaust_valve = valve;
  return engine;
}

// The same engine with its valves leaning apart, in pockets of a domed crown.
inline Engine pocketed_engine(Engine engine = small_engine()) {
  engine.block.crown = {CrownShape::domed, 3.0, 33.0};
  engine.inlet_valve->inclination_deg = -10.0;
  engine.exhaust_valve->inclination_deg = 12.0;
  engine.inlet_valve->pocket = {2.5, 18.0};
  engine.exhaust_valve->pocket = {2.5, 18.5};
  return engine;
}

} // namespace phasewright::testing
