// Values set for one run.
#include "files/folder.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Opened with(const Overrides& overrides) {
  auto opened = open_demo(overrides);
  INFO((opened ? std::string() : to_text(opened.problems())));
  REQUIRE(opened.ok());
  return std::move(*opened);
}

std::string said(const Overrides& overrides) {
  const auto opened = open_demo(overrides);
  return opened ? "" : to_text(opened.problems());
}

} // namespace

TEST_CASE("A value is set for one run") {
  CHECK(with({"fitted.lay=1"}).build.fitted.lay == 1);
  CHECK(with({" fitted.lay = -1 "}).build.fitted.lay == -1);
  CHECK(with({"fitted.slot_deg=-0.5"}).build.fitted.slot_deg == -0.5);
  CHECK(with({"block.bore_mm=73"}).engine->block.bore_mm == 73);
  CHECK(with({"stock.cam_key_deg=[2.5]"}).build.stock.cam_key_deg == std::vector<double>{2.5});
  CHECK(with({"stock.cam_key_deg[2]=1.25"}).build.stock.cam_key_deg == std::vector<double>{0, 1.25, 2, 3});
  CHECK(with({"stock.cam_key_deg[5]=4"}).build.stock.cam_key_deg.size() == 5);
  CHECK(with({"measured.lobe[1].lift_mm=4.5"}).build.measured.lobe[0].lift_mm == 4.5);
  CHECK(with({"fitted.lay=1", "fitted.lay=2"}).build.fitted.lay == 2);
}

TEST_CASE("A table of a list goes by its number or by its name") {
  CHECK(with({"sprocket[2].teeth=40"}).engine->loops[0].sprockets[1].teeth == 40);
  CHECK(with({"sprocket.crank.teeth=20"}).engine->loops[0].sprockets[0].teeth == 20);
  CHECK(with({"camshaft.cam.inlet.lash_mm=0.4"}).engine->camshafts[0].inlet->lash_mm == 0.4);
  CHECK(with({"camshaft.inlet.lash_mm=0.4"}).engine->camshafts[0].inlet->lash_mm == 0.4);
  CHECK(with({"fastener.\"cam nut\".torque_nm=90"}).engine->fasteners.at("cam nut").torque_nm == 90);
}

TEST_CASE("Words need no quotes") {
  CHECK(with({"rotation=anticlockwise"}).engine->rotation == Rotation::anticlockwise);
  CHECK(with({"title=As it came in"}).build.title == "As it came in");
  CHECK(with({"title=\"As it came in\""}).build.title == "As it came in");
  CHECK(with({"shaft.cam.key=3x5x13"}).engine->cam_seats.at("cam").key == KeySize{3, 5, 13});
  CHECK(with({"camshaft.inlet.follower=bucket"}).engine->camshafts[0].inlet->follower == Follower::bucket);
}

TEST_CASE("Tables that are not there are made") {
  CHECK(with({"fitted.lay.cam=-1"}).build.fitted.lay_of.at("cam") == -1);
  CHECK(with({"fitted.cam_key_deg.cam=-1.5"}).build.fitted.cam_key_of.at("cam") == -1.5);
  const Opened vernier = with({"stock.vernier.hub_holes=10", "stock.vernier.sprocket_holes=11", "fitted.holes=[2, 3]"});
  CHECK(vernier.build.stock.vernier->sprocket_holes == 11);
  CHECK(vernier.build.fitted.holes == HolePair{2, 3});
}

TEST_CASE("One way of stating the target puts out the others") {
  const Target phase = with({"target.phase_deg=2"}).build.target;
  CHECK(phase.phase_deg == 2.0);
  CHECK_FALSE(phase.inlet_centre_deg.has_value());
  const Target event = with({"target.event={ inlet_opens_btdc_deg = 5 }"}).build.target;
  CHECK(event.event->deg == 5);
  CHECK_FALSE(event.inlet_centre_deg.has_value());
}

TEST_CASE("An engine alone takes values of a build") {
  const auto opened = open_any(models_folder() / "marram-1420.toml", {}, {"fitted.lay=1", "block.deck_mm=0.4"});
  REQUIRE(opened.ok());
  CHECK(opened->build.fitted.lay == 1);
  CHECK(opened->engine->block.deck_mm == 0.4);
  const auto refused = open_any(models_folder() / "marram-1420.toml", {}, {"fitted.lay=11"});
  REQUIRE_FALSE(refused.ok());
  CHECK(to_text(refused.problems()) == "--set: fitted.lay: found 11, allowed a whole number -10 to 10\n");
}

TEST_CASE("The engine itself may be another") {
  const Folder folder;
  folder.copy_build();
  folder.copy_model("marram-1420.toml");
  folder.write("other.toml", edited(slurp(models_folder() / "marram-1420.toml"), {{"Marram 1420", "Marram other"}}));
  const auto opened = open_any(folder / "sandling-14.build.toml", {}, {"engine=other.toml"});
  REQUIRE(opened.ok());
  CHECK(opened->engine->name == "Marram other");
}

TEST_CASE("A faulty override is told what is wrong with it") {
  CHECK(said({"fitted.lay=eleven"}) == "--set: fitted.lay: found \"eleven\", allowed a whole number -10 to 10\n");
  CHECK(said({"block.bore_mm=-3"}) == "--set: block.bore_mm: found -3, allowed 20 to 500 mm\n");
  CHECK(said({"block.bore_mm=nan"}) == "--set: block.bore_mm: found nan, allowed 20 to 500 mm\n");
  CHECK(said({"fitted.lya=1"}) == "--set: fitted.lya: found an unknown key; did you mean lay?\n");
  CHECK(said({"fited.lay=1"}) == "--set: fited.lay=1: did you mean fitted?\n");
  CHECK(said({"colour=blue"}) == "--set: colour=blue: neither an engine nor a build has such a key\n");
  CHECK(said({"format=x"}) == "--set: format=x: the format cannot be set\n");
  CHECK(said({"fitted.lay"}) == "--set: fitted.lay: write KEY=VALUE, such as fitted.lay=1\n");
  CHECK(said({""}) == "--set: write KEY=VALUE, such as fitted.lay=1\n");
  CHECK(said({"fitted..lay=1"}) == "--set: fitted..lay=1: write KEY=VALUE, such as fitted.lay=1\n");
  CHECK(said({"sprocket[0].teeth=38"}) == "--set: sprocket[0].teeth=38: write KEY=VALUE, such as fitted.lay=1\n");
  CHECK(said({"fitted.lay="}) == "--set: fitted.lay=: the value is neither a TOML value nor a word\n");
  CHECK(said({"fitted.lay=[1"}) == "--set: fitted.lay=[1: the value is neither a TOML value nor a word\n");
  CHECK(said({"fitted.lay=1\nfitted.cam_key_deg=3"}) ==
        "--set: fitted.lay=1?fitted.cam_key_deg=3: the value is neither a TOML value nor a word\n");
  CHECK(said({"sprocket.idler.teeth=20"}) == "--set: sprocket.idler.teeth=20: sprocket has none called \"idler\"\n");
  CHECK(said({"stock.cam_key_deg[9]=1"}) == "--set: stock.cam_key_deg[9]=1: stock.cam_key_deg has 4 entries\n");
  CHECK(said({"fitted.lay=99", "fitted.lay.cam=2"}) ==
        "--set: fitted.lay.others: found 99, allowed a whole number -10 to 10\n");
  CHECK(said({"fitted.cam_key_deg.exhaust=2"}) ==
        "--set: fitted.cam_key_deg.exhaust: found an unknown camshaft, allowed cam\n");
  CHECK(said({"fitted=1"}) == "--set: fitted: found 1, allowed a table\n");
}

TEST_CASE("All faulty overrides are told, with those of the files") {
  const Folder folder;
  folder.copy_build({{"crank_key_deg = 0.0", "crank_key_deg = 30"}});
  CHECK(folder.problems_of("sandling-14.build.toml", {"fitted.lay=12", "chain.links=1", "nothing"}) ==
        "--set: nothing: write KEY=VALUE, such as fitted.lay=1\n"
        "--set: fitted.lay: found 12, allowed a whole number -10 to 10\n"
        "sandling-14.build.toml:9:17: fitted.crank_key_deg: found 30, allowed -20 to 20 deg\n"
        "--set: chain.links: found 1, allowed a whole number 8 to 1000\n");
}

TEST_CASE("Overrides from a stranger are kept small") {
  CHECK(said({"title=" + std::string(5000, 'x')}).find("write KEY=VALUE") != std::string::npos);
  std::string deep = "fitted";
  for (int i = 0; i < 500; ++i) deep += ".lay";
  CHECK(said({deep + "=1"}).find("write KEY=VALUE") != std::string::npos);
  CHECK(said({"stock.shim_mm=" + std::string(200, '[') + std::string(200, ']')}).find("neither a TOML value") !=
        std::string::npos);
}

TEST_CASE("an override of what is fitted leaves the readings with what the file says", "[override]") {
  const auto asked = open_demo({"fitted.lay=1", "fitted.cam_key_deg=2"});
  REQUIRE(asked.ok());
  CHECK(asked->build.fitted.lay == 1);
  CHECK(asked->build.measured.with.lay == 0);
  CHECK(asked->build.measured.with.cam_key_deg == 0.0);
  CHECK(asked->build.measured.with.elongation_percent == 0.9);
  CHECK(open_demo()->build.measured.with == open_demo()->build.fitted);
  CHECK(asked->build.measured.engine->block.deck_mm == 0.35);
  const auto faced = open_demo({"block.deck_mm=-0.15"});
  REQUIRE(faced.ok());
  CHECK(faced->engine->block.deck_mm == -0.15);
  CHECK(faced->build.measured.engine->block.deck_mm == 0.35);
}
