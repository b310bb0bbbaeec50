// Files that are as they should be: every key arrives where it belongs, and files are found where they are looked for.
#include "files/demo_models.hpp"
#include "files/folder.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Every key of the format once, each with a value of its own.
constexpr const char* full_engine = R"(format = "phasewright-engine/1"
name = "Everything"
rotation = "anticlockwise"
[block]
cylinders = 2
firing_order = [1, 2]
bore_mm = 80
stroke_mm = 90.5
rod_mm = 150
pin_offset_mm = -1.5
deck_mm = -0.25
gasket_mm = 1.1
gasket_bore_mm = 82
chamber_cc = 40
crown_cc = -3
crown = { shape = "domed", height_mm = 4.5, radius_mm = 36 }
cylinder_clock_deg = 20
[chain]
pitch_mm = 8
roller_mm = 5
inner_width_mm = 4.77
pin_mm = 2.31
plate_height_mm = 7.05
transverse_pitch_mm = 5.64
rows = 2
links = 90
wear_limit_percent = 1.25
[[sprocket]]
name = "crank"
teeth = 20
centre_mm = [1, 2]
mark = "gap"
mark_clock_deg = 10
[[sprocket]]
name = "idler"
teeth = 15
centre_mm = [-60, 100]
wrap = "outside"
[[sprocket]]
name = "cams"
teeth = 40
centre_mm = [5, 200]
mark = "tooth"
mark_clock_deg = 190
camshaft = "upper"
[[guide]]
strand = ["cams", "crank"]
centre_mm = [-80, 90]
radius_mm = 120
side = "inside"
[tensioner]
strand = ["crank", "idler"]
centre_mm = [70, 80]
radius_mm = 65
push_clock_deg = 270
travel_mm = [-1, 8.5]
[shaft.crank]
diameter_mm = 30
key = "5x7.5x19"
key_clock_deg = 15
[shaft.upper]
diameter_mm = 24
key = "4x5x13"
key_clock_deg = 45
end_float_mm = [0.05, 0.15]
[[camshaft]]
name = "upper"
check_lift_mm = 1
check_at = "valve"
[camshaft.inlet]
centre_deg = 107.5
follower = "roller tappet"
rocker = { push_arm_mm = 24, valve_arm_mm = 33.5, push_arm_deg = -12, valve_arm_deg = -11.5, pad_radius_mm = 7 }
lash_mm = 0.2
base_radius_mm = 17
roller_radius_mm = 9
lobe = { kind = "card", lift_mm = 7, duration_deg = 220, seat_duration_deg = 270, ramp = { lift_mm = 0.3, length_deg = 25 }, closing_ramp = { lift_mm = 0.35, length_deg = 30 } }
[camshaft.exhaust]
centre_deg = 111.5
follower = "finger"
finger = { pivot_mm = [-22, -28], pad_arm_mm = 23, pad_radius_mm = 30, valve_arm_mm = 38, valve_arm_deg = -8.5 }
lobe = { kind = "polynomial-4567", lift_mm = 6.5, duration_deg = 300, rise_deg = 140 }
[valve.inlet]
head_mm = 35
margin_mm = 1.2
inclination_deg = 12
offset_mm = [-19, 3]
closed_height_mm = 2
pocket = { depth_mm = 1.5, radius_mm = 19 }
[valve.exhaust]
head_mm = 30
pocket = { depth_mm = -2.5, radius_mm = 16 }
closed_height_mm = 2.5
[fastener]
"cam nut" = { torque_nm = 80, locks = "tab washer" }
"cover screws" = {}
)";

constexpr const char* full_build = R"(format = "phasewright-build/1"
engine = "full.toml"
title = "All of it"
[fitted]
lay = { upper = -1 }
crank_key_deg = -2.5
cam_key_deg = 1.5
elongation_percent = 0.75
centre_change_mm = 0.2
holes = [3, 7]
slot_deg = -1
[target]
event = { exhaust_closes_atdc_deg = 15, at_lift_mm = 0.8 }
min_clearance_inlet_mm = 1.5
min_clearance_exhaust_mm = 2.25
min_clearance_radial_mm = 0.75
min_valve_to_valve_mm = 1.25
[stock]
crank_key_deg = [0, 2]
cam_key_deg = [1]
vernier = { hub_holes = 10, sprocket_holes = 11 }
slots_deg = [-8, 6]
shim_mm = [0.1, 0.1]
[measured]
stop_deg = [[-40, 42]]
lobe = [{ valve = "exhaust", cylinder = 2, lift_mm = 4, opens_deg = 530, closes_deg = 690 }]
clearance = [{ valve = "exhaust", crank_deg = 700, clearance_mm = 3.5 }]
gap_mm = { near = 0.9, far = 0.85, under = "cams" }
float_mm = [0.1]
[instruments]
wheel_deg = 0.25
indicator_mm = 0.005
dimension_mm = 0.15
)";

void write_full(const Folder& folder) {
  folder.write("full.toml", full_engine);
  folder.write("full.build.toml", full_build);
}

} // namespace

TEST_CASE("Every model of the tree opens") {
  int count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(models_folder())) {
    if (entry.path().extension() != ".toml") continue;
    INFO(entry.path());
    const auto opened = open_any(entry.path());
    INFO((opened ? std::string() : to_text(opened.problems())));
    CHECK(opened.ok());
    ++count;
  }
  CHECK(count >= 2);
}

TEST_CASE("Every key of an engine file arrives") {
  const Folder folder;
  write_full(folder);
  REQUIRE(folder.problems_of("full.toml") == "");
  const auto opened = open_any(folder / "full.toml");
  const Engine& engine = *opened->engine;
  CHECK(engine.name == "Everything");
  CHECK(engine.rotation == Rotation::anticlockwise);

  const Block& block = engine.block;
  CHECK(block.cylinders == 2);
  CHECK(block.firing_order == std::vector<int>{1, 2});
  CHECK(block.bore_mm == 80);
  CHECK(block.stroke_mm == 90.5);
  CHECK(block.rod_mm == 150);
  CHECK(block.pin_offset_mm == -1.5);
  CHECK(block.deck_mm == -0.25);
  CHECK(block.gasket_mm == 1.1);
  CHECK(block.gasket_bore_mm == 82);
  CHECK(block.chamber_cc == 40);
  CHECK(block.crown_cc == -3);
  CHECK(block.crown.shape == CrownShape::domed);
  CHECK(block.crown.height_mm == 4.5);
  CHECK(block.crown.radius_mm == 36);
  CHECK(block.cylinder_clock_deg == 20);

  const Chain& chain = engine.loops[0].chain;
  CHECK(chain.iso606.empty());
  CHECK(chain.pitch_mm == 8);
  CHECK(chain.roller_mm == 5);
  CHECK(chain.inner_width_mm == 4.77);
  CHECK(chain.pin_mm == 2.31);
  CHECK(chain.plate_height_mm == 7.05);
  CHECK(chain.transverse_pitch_mm == 5.64);
  CHECK(chain.rows == 2);
  CHECK(chain.links == 90);
  CHECK(chain.wear_limit_percent == 1.25);

  REQUIRE(engine.loops[0].sprockets.size() == 3);
  CHECK(engine.loops[0].sprockets[0].name == "crank");
  CHECK(engine.loops[0].sprockets[0].teeth == 20);
  CHECK(engine.loops[0].sprockets[0].centre_mm == glm::dvec2(1, 2));
  CHECK(engine.loops[0].sprockets[0].mark == MarkOn::gap);
  CHECK(engine.loops[0].sprockets[0].mark_clock_deg == 10);
  CHECK(engine.loops[0].sprockets[0].camshaft.empty());
  CHECK(engine.loops[0].sprockets[1].wrap == Wrap::outside);
  CHECK(engine.loops[0].sprockets[2].wrap == Wrap::inside);
  CHECK(engine.loops[0].sprockets[2].mark == MarkOn::tooth);
  CHECK(engine.loops[0].sprockets[2].camshaft == "upper");

  REQUIRE(engine.loops[0].guides.size() == 1);
  CHECK(engine.loops[0].guides[0].strand == std::array<std::string, 2>{"cams", "crank"});
  CHECK(engine.loops[0].guides[0].centre_mm == glm::dvec2(-80, 90));
  CHECK(engine.loops[0].guides[0].radius_mm == 120);
  CHECK(engine.loops[0].guides[0].side == Side::inside);
  REQUIRE(engine.loops[0].tensioner.has_value());
  CHECK(engine.loops[0].tensioner->shoe.strand == std::array<std::string, 2>{"crank", "idler"});
  CHECK(engine.loops[0].tensioner->shoe.side == Side::outside);
  CHECK(engine.loops[0].tensioner->push_clock_deg == 270);
  CHECK(engine.loops[0].tensioner->travel_mm == std::array<double, 2>{-1, 8.5});

  CHECK(engine.crank_seat.diameter_mm == 30);
  CHECK(engine.crank_seat.key == KeySize{5, 7.5, 19});
  CHECK(engine.crank_seat.key_clock_deg == 15);
  CHECK_FALSE(engine.crank_seat.end_float_mm.has_value());
  REQUIRE(engine.cam_seats.contains("upper"));
  CHECK(engine.cam_seats.at("upper").end_float_mm == std::array<double, 2>{0.05, 0.15});

  CHECK(engine.fasteners.at("cam nut").torque_nm == 80);
  CHECK(engine.fasteners.at("cam nut").locks == "tab washer");
  CHECK(engine.fasteners.at("cover screws").torque_nm == 0);
}

TEST_CASE("Every key of a valve train arrives") {
  const Folder folder;
  write_full(folder);
  const auto opened = open_any(folder / "full.toml");
  REQUIRE(opened.ok());
  const Engine& engine = *opened->engine;
  REQUIRE(engine.camshafts.size() == 1);
  const Camshaft& camshaft = engine.camshafts[0];
  CHECK(camshaft.name == "upper");
  CHECK(camshaft.check_lift_mm == 1);
  CHECK(camshaft.check_at == CheckAt::valve);
  REQUIRE(camshaft.inlet.has_value());
  CHECK(camshaft.inlet->centre_deg == 107.5);
  CHECK(camshaft.inlet->follower == Follower::roller_tappet);
  CHECK(camshaft.inlet->rocker_ratio == 1);
  REQUIRE(camshaft.inlet->rocker.has_value());
  CHECK(camshaft.inlet->rocker->push_arm_mm == 24);
  CHECK(camshaft.inlet->rocker->valve_arm_mm == 33.5);
  CHECK(camshaft.inlet->rocker->push_arm_deg == -12);
  CHECK(camshaft.inlet->rocker->valve_arm_deg == -11.5);
  CHECK(camshaft.inlet->rocker->pad_radius_mm == 7);
  CHECK_FALSE(camshaft.inlet->finger.has_value());
  CHECK(camshaft.inlet->lash_mm == 0.2);
  CHECK(camshaft.inlet->base_radius_mm == 17);
  CHECK(camshaft.inlet->roller_radius_mm == 9);
  const auto* card = std::get_if<LobeCard>(&camshaft.inlet->lobe);
  REQUIRE(card != nullptr);
  CHECK(card->lift_mm == 7);
  CHECK(card->duration_deg == 220);
  CHECK(card->seat_duration_deg == 270);
  REQUIRE(card->ramp.has_value());
  CHECK(card->ramp->lift_mm == 0.3);
  CHECK(card->ramp->length_deg == 25);
  REQUIRE(card->closing_ramp.has_value());
  CHECK(card->closing_ramp->lift_mm == 0.35);
  CHECK(card->closing_ramp->length_deg == 30);
  REQUIRE(camshaft.exhaust.has_value());
  CHECK(camshaft.exhaust->follower == Follower::finger);
  CHECK(camshaft.exhaust->rocker_ratio == 1);
  REQUIRE(camshaft.exhaust->finger.has_value());
  CHECK(camshaft.exhaust->finger->pivot_mm == glm::dvec2(-22, -28));
  CHECK(camshaft.exhaust->finger->pad_arm_mm == 23);
  CHECK(camshaft.exhaust->finger->pad_radius_mm == 30);
  CHECK(camshaft.exhaust->finger->valve_arm_mm == 38);
  CHECK(camshaft.exhaust->finger->valve_arm_deg == -8.5);
  CHECK(camshaft.exhaust->lash_mm == 0);
  const auto* polynomial = std::get_if<LobePolynomial>(&camshaft.exhaust->lobe);
  REQUIRE(polynomial != nullptr);
  CHECK(polynomial->lift_mm == 6.5);
  CHECK(polynomial->duration_deg == 300);
  CHECK(polynomial->rise_deg == 140.0);

  REQUIRE(engine.inlet_valve.has_value());
  CHECK(engine.inlet_valve->head_mm == 35);
  CHECK(engine.inlet_valve->margin_mm == 1.2);
  CHECK(engine.inlet_valve->inclination_deg == 12);
  CHECK(engine.inlet_valve->offset_mm == glm::dvec2(-19, 3));
  CHECK(engine.inlet_valve->closed_height_mm == 2);
  CHECK(engine.inlet_valve->pocket.depth_mm == 1.5);
  CHECK(engine.inlet_valve->pocket.radius_mm == 19);
  REQUIRE(engine.exhaust_valve.has_value());
  CHECK(engine.exhaust_valve->margin_mm == 1.5);
  CHECK(engine.exhaust_valve->pocket.depth_mm == -2.5);
  CHECK(engine.exhaust_valve->pocket.radius_mm == 16);
}

TEST_CASE("Every key of a build file arrives") {
  const Folder folder;
  write_full(folder);
  REQUIRE(folder.problems_of("full.build.toml") == "");
  const auto opened = open_any(folder / "full.build.toml");
  const Build& build = opened->build;
  CHECK(build.engine == "full.toml");
  CHECK(build.title == "All of it");
  CHECK(lay_of(build.fitted, "upper") == -1);
  CHECK(build.fitted.crank_key_deg == -2.5);
  CHECK(build.fitted.cam_key_deg == 1.5);
  CHECK(build.fitted.elongation_percent == 0.75);
  CHECK(build.fitted.centre_change_mm == 0.2);
  CHECK(build.fitted.holes == HolePair{3, 7});
  CHECK(build.fitted.slot_deg == -1);
  CHECK_FALSE(build.target.inlet_centre_deg.has_value());
  CHECK_FALSE(build.target.phase_deg.has_value());
  REQUIRE(build.target.event.has_value());
  CHECK(build.target.event->kind == EventKind::exhaust_closes);
  CHECK(build.target.event->deg == 15);
  CHECK(build.target.event->at_lift_mm == 0.8);
  CHECK(build.target.min_clearance_inlet_mm == 1.5);
  CHECK(build.target.min_clearance_exhaust_mm == 2.25);
  CHECK(build.target.min_clearance_radial_mm == 0.75);
  CHECK(build.target.min_valve_to_valve_mm == 1.25);
  CHECK(build.stock.crank_key_deg == std::vector<double>{0, 2});
  CHECK(build.stock.cam_key_deg == std::vector<double>{1});
  REQUIRE(build.stock.vernier.has_value());
  CHECK(build.stock.vernier->hub_holes == 10);
  CHECK(build.stock.vernier->sprocket_holes == 11);
  CHECK(build.stock.slots_deg == std::array<double, 2>{-8, 6});
  CHECK(build.stock.shim_mm == std::vector<double>{0.1, 0.1});
  CHECK(build.measured.stop_deg == std::vector<std::array<double, 2>>{{-40, 42}});
  REQUIRE(build.measured.lobe.size() == 1);
  CHECK(build.measured.lobe[0].valve == ValveKind::exhaust);
  CHECK(build.measured.lobe[0].cylinder == 2);
  CHECK(build.measured.lobe[0].lift_mm == 4);
  CHECK(build.measured.lobe[0].opens_deg == 530);
  CHECK(build.measured.lobe[0].closes_deg == 690);
  REQUIRE(build.measured.clearance.size() == 1);
  CHECK(build.measured.clearance[0].valve == ValveKind::exhaust);
  CHECK(build.measured.clearance[0].crank_deg == 700);
  CHECK(build.measured.clearance[0].clearance_mm == 3.5);
  REQUIRE(build.measured.gap.has_value());
  CHECK(build.measured.gap->near_mm == 0.9);
  CHECK(build.measured.gap->far_mm == 0.85);
  CHECK(build.measured.gap->under == "cams");
  CHECK(build.measured.float_mm == std::vector<double>{0.1});
  CHECK(build.instruments.wheel_deg == 0.25);
  CHECK(build.instruments.indicator_mm == 0.005);
  CHECK(build.instruments.dimension_mm == 0.15);
}

TEST_CASE("An engine alone has nothing fitted") {
  const auto opened = open_any(models_folder() / "marram-1420.toml");
  REQUIRE(opened.ok());
  CHECK(opened->build_path.empty());
  CHECK(opened->engine_path == (models_folder() / "marram-1420.toml").string());
  CHECK(opened->build.fitted == Fitted{});
  CHECK(opened->build.stock.crank_key_deg.empty());
  CHECK(opened->build.engine == "marram-1420.toml");
  CHECK_FALSE(opened->compiled_in);
}

TEST_CASE("The demo compiled in is that of the tree") {
  for (const DemoModel& model : demo_models()) {
    INFO(model.name);
    CHECK(model.text == slurp(models_folder() / std::string(model.name)));
  }
  const auto demo = open_demo();
  REQUIRE(demo.ok());
  CHECK(demo->compiled_in);
  CHECK(demo->engine->name == "Marram 1420");
  CHECK(demo->build.title == "Launch 'Sandling', engine out 14");
  CHECK(demo->engine->block.cylinder_clock_deg == 35);
  const auto& lobe = std::get<LobeTable>(demo->engine->camshafts[0].inlet->lobe);
  CHECK(lobe.file == "marram-inlet.csv");
  CHECK(lobe.lift_mm[lobe.lift_mm.size() / 2] == 6.9);
}

TEST_CASE("An engine is looked for beside its build, then in the models folder, then in the program") {
  const Folder builds;
  const Folder models;
  builds.copy_model("sandling-14.build.toml");
  CHECK(open_any(builds / "sandling-14.build.toml", models.path())->engine_path == "demo/marram-1420.toml");
  models.copy_engine({{"Marram 1420", "From the models folder"}});
  CHECK(open_any(builds / "sandling-14.build.toml", models.path())->engine->name == "From the models folder");
  builds.copy_engine({{"Marram 1420", "From beside it"}});
  const auto beside = open_any(builds / "sandling-14.build.toml", models.path());
  CHECK(beside->engine->name == "From beside it");
  CHECK(beside->build_path == (builds / "sandling-14.build.toml").string());
}

TEST_CASE("The faults of a build and of its engine and lobe tables are told together") {
  const Folder folder;
  folder.copy_build({{"lay = 0", "lay = 99"}});
  folder.copy_engine({{"links = 52", "links = 5"}});
  folder.copy_model("marram-inlet.csv", {{"\n0,6.9000", "\n0,-6.9000"}});
  CHECK(folder.problems_of("sandling-14.build.toml") ==
        "sandling-14.build.toml:8:7: fitted.lay: found 99, allowed a whole number -10 to 10\n"
        "marram-1420.toml:23:9: chain.links: found 5, allowed a whole number 8 to 1000\n"
        "marram-inlet.csv:46:3: row 42 lift_mm: found -6.9, allowed 0 to 40\n");
}

TEST_CASE("Faults found later are blamed on their lines") {
  const auto demo = open_demo({"sprocket.cam.teeth=40"});
  REQUIRE(demo.ok());
  const auto problem = [](const char* key) {
    Problem made;
    made.key = key;
    made.advice = "said";
    return made;
  };
  Problems problems{problem("sprocket[2].teeth"),      problem("sprocket.crank.teeth"),
                    problem("camshaft.inlet.lash_mm"), problem("camshaft[1].exhaust.never.there"),
                    problem("fitted.slot_deg"),        problem("elsewhere")};
  problems.push_back(problem("fitted.lay"));
  problems.back().file = "other.toml";
  locate(problems, demo->sources);
  CHECK(to_text(problems) == "--set: sprocket[2].teeth: found 40; said\n"
                             "demo/marram-1420.toml:28:9: sprocket.crank.teeth: found 19; said\n"
                             "demo/marram-1420.toml:63:11: camshaft.inlet.lash_mm: found 0.30; said\n"
                             "demo/marram-1420.toml:67:1: camshaft[1].exhaust.never.there: said\n"
                             "demo/sandling-14.build.toml:7:1: fitted.slot_deg: said\n"
                             "demo/sandling-14.build.toml:1:1: elsewhere: said\n"
                             "other.toml: fitted.lay: said\n");
}
