// Crowns, valves and what moves them: what a file leaves out, and values set for one run.
#include "files/folder.hpp"

using namespace phasewright;
using namespace phasewright::testing;

TEST_CASE("What an engine file leaves out of a valve train is plain") {
  const auto opened = open_any(models_folder() / "marram-1420.toml");
  REQUIRE(opened.ok());
  const ValveGear& gear = *opened->engine->camshafts[0].inlet;
  CHECK(opened->engine->block.crown.shape == CrownShape::flat);
  CHECK_FALSE(gear.rocker.has_value());
  CHECK_FALSE(gear.finger.has_value());
  CHECK(gear.rocker_ratio == 1.3);
  CHECK(gear.face_mm == 0);
  CHECK(gear.roller_radius_mm == 0);
  CHECK(std::get<LobeTable>(gear.lobe).lift_of == LiftOf::tappet);
}

TEST_CASE("A crown may be dished, a tappet's face stated, and a valve without a pocket") {
  const Folder folder;
  folder.copy_engine(
      {{"crown_cc = 4.5                        # dish",
        "crown_cc = 4.5\ncrown = { shape = \"dished\", depth_mm = 1.8, radius_mm = 36 }"},
       {"base_radius_mm = 14.5\nlobe = { kind = \"table\", file = \"marram-inlet.csv\" }",
        "face_mm = 26\nlobe = { kind = \"table\", file = \"marram-inlet.csv\" }"},
       {"closed_height_mm = 4.6\npocket = { depth_mm = 0.0, radius_mm = 0.0 }", "closed_height_mm = 4.6"}});
  REQUIRE(folder.problems_of("marram-1420.toml") == "");
  const auto opened = open_any(folder / "marram-1420.toml");
  CHECK(opened->engine->block.crown.shape == CrownShape::dished);
  CHECK(opened->engine->block.crown.height_mm == 1.8);
  CHECK(opened->engine->block.crown.radius_mm == 36);
  CHECK(opened->engine->camshafts[0].inlet->face_mm == 26);
  CHECK(opened->engine->exhaust_valve->pocket.depth_mm == 0);
  CHECK(opened->engine->exhaust_valve->pocket.radius_mm == 0);
}

TEST_CASE("The keys of a valve train can be set for one run") {
  const Folder folder;
  folder.write("x.toml",
               edited(slurp(models_folder() / "marram-1420.toml"),
                      {{"follower = \"flat tappet\"\nrocker_ratio = 1.30\nlash_mm = 0.30                        # at",
                        "follower = \"flat tappet\"\n# at"}}));
  folder.copy_engine();
  const auto opened = open_any(
      folder / "x.toml", {},
      {"camshaft.inlet.rocker={ push_arm_mm = 24, valve_arm_mm = 31, push_arm_deg = -10, valve_arm_deg = -9 }",
       "camshaft.inlet.rocker.push_arm_mm=25", "camshaft.inlet.face_mm=26",
       "camshaft.exhaust.lobe={ kind = \"polynomial-4567\", lift_mm = 6, duration_deg = 300 }",
       "camshaft.exhaust.lobe.rise_deg=140", "block.crown.shape=dished", "block.crown.depth_mm=1.5",
       "block.crown.radius_mm=30", "valve.inlet.margin_mm=1.25", "valve.inlet.pocket.radius_mm=18",
       "target.min_clearance_radial_mm=0.5", "target.min_valve_to_valve_mm=1.5", "instruments.dimension_mm=0.1"});
  INFO((opened ? std::string() : to_text(opened.problems())));
  REQUIRE(opened.ok());
  CHECK(opened->engine->camshafts[0].inlet->rocker->push_arm_mm == 25);
  CHECK(opened->engine->camshafts[0].inlet->face_mm == 26);
  CHECK(std::get<LobePolynomial>(opened->engine->camshafts[0].exhaust->lobe).rise_deg == 140.0);
  CHECK(opened->engine->block.crown.shape == CrownShape::dished);
  CHECK(opened->engine->block.crown.height_mm == 1.5);
  CHECK(opened->engine->inlet_valve->margin_mm == 1.25);
  CHECK(opened->engine->inlet_valve->pocket.radius_mm == 18);
  CHECK(opened->build.target.min_clearance_radial_mm == 0.5);
  CHECK(opened->build.target.min_valve_to_valve_mm == 1.5);
  CHECK(opened->build.instruments.dimension_mm == 0.1);
}
