// An engine with every kind of chain loop, as text: the crank drives a jackshaft with an idler on the chain's back, the
// jackshaft the exhaust camshaft, and that the inlet camshaft. Only the format is looked at: no chain is laid.
#pragma once

namespace phasewright::testing {

constexpr const char* stage_engine = R"(format = "phasewright-engine/1"
name = "Three chains"
rotation = "clockwise"
block = { cylinders = 1, firing_order = [1], bore_mm = 80, stroke_mm = 90, rod_mm = 160 }
[chain]
iso606 = "06B-1"
links = 60
[[sprocket]]
name = "crank"
teeth = 20
centre_mm = [0, 0]
mark = "tooth"
mark_clock_deg = 0
[[sprocket]]
name = "jack"
teeth = 20
centre_mm = [-30, 150]
mark = "gap"
mark_clock_deg = 180
[[sprocket]]
name = "idler"
teeth = 15
centre_mm = [40, 80]
wrap = "outside"
[[stage]]
driven_from = "jack"
[stage.chain]
pitch_mm = 8
roller_mm = 5
inner_width_mm = 4.77
pin_mm = 2.31
plate_height_mm = 7.05
transverse_pitch_mm = 5.64
links = 80
[[stage.sprocket]]
name = "jack outer"
teeth = 18
centre_mm = [-30, 150.0005]
mark = "tooth"
mark_clock_deg = 90
[[stage.sprocket]]
name = "cam"
teeth = 36
centre_mm = [-30, 350]
mark = "tooth"
mark_clock_deg = 180
camshaft = "exhaust"
[[stage.guide]]
strand = ["cam", "jack outer"]
centre_mm = [130, 250]
radius_mm = 140
[[stage.guide]]
strand = ["cam", "jack outer"]
centre_mm = [-140, 250]
radius_mm = 135
side = "inside"
[stage.tensioner]
strand = ["jack outer", "cam"]
centre_mm = [-130, 250]
radius_mm = 70
push_clock_deg = 90
travel_mm = [-1, 8.5]
[[stage]]
driven_from = "cam"
chain = { iso606 = "05B-1", links = 46 }
[[stage.sprocket]]
name = "cam rear"
teeth = 24
centre_mm = [-30, 350]
mark = "tooth"
mark_clock_deg = 90
[[stage.sprocket]]
name = "inlet cam"
teeth = 24
centre_mm = [60, 350]
mark = "tooth"
mark_clock_deg = 270
camshaft = "inlet"
[shaft]
crank = { diameter_mm = 30, key = "5x7.5x19", key_clock_deg = 15 }
inlet = { diameter_mm = 24, key = "4x5x13", key_clock_deg = 45 }
exhaust = { diameter_mm = 24, key = "4x5x13", key_clock_deg = 45 }
[[camshaft]]
name = "inlet"
[camshaft.inlet]
centre_deg = 107
follower = "bucket"
lobe = { kind = "polynomial-4567", lift_mm = 8, duration_deg = 300 }
[[camshaft]]
name = "exhaust"
[camshaft.exhaust]
centre_deg = 111
follower = "bucket"
lobe = { kind = "polynomial-4567", lift_mm = 8, duration_deg = 300 }
[valve]
inlet = { head_mm = 35, closed_height_mm = 2, pocket = { depth_mm = 1, radius_mm = 18 } }
exhaust = { head_mm = 31, closed_height_mm = 2 }
)";

constexpr const char* stage_build = R"(format = "phasewright-build/1"
engine = "stage.toml"
[fitted]
lay = { jack = -1, exhaust = 2 }
cam_key_deg = { inlet = 1.5, exhaust = -2 }
[measured]
stop_deg = [[-40, 42]]
with = { cam_key_deg = { inlet = 0.5 }, lay = { jack = 3 } }
gap_mm = { near = 0.9, far = 0.85, under = "inlet cam" }
)";

} // namespace phasewright::testing
