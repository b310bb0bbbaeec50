// Engines of several chain loops: files as they should be, faulty ones, overrides, and builds that go with them.
#include "files/build_text.hpp"
#include "files/folder.hpp"
#include "files/stage_engine.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Opened opened(const std::string& name, const Overrides& overrides = {}) {
  const Folder folder;
  folder.write("stage.toml", stage_engine);
  folder.write("stage.build.toml", stage_build);
  auto result = open_any(folder / name, {}, overrides);
  INFO((result ? std::string() : to_text(result.problems())));
  REQUIRE(result.ok());
  return std::move(*result);
}

std::string said(const Edits& edits, const Overrides& overrides = {}) {
  const Folder folder;
  folder.write("stage.toml", edited(stage_engine, edits));
  return folder.problems_of("stage.toml", overrides);
}

std::string said_of_build(const Edits& edits) {
  const Folder folder;
  folder.write("stage.toml", stage_engine);
  folder.write("stage.build.toml", edited(stage_build, edits));
  return folder.problems_of("stage.build.toml");
}

std::string repeated(const std::string& piece, int times) {
  std::string text;
  for (int i = 0; i < times; ++i) text += piece;
  return text;
}

const std::string guide = "[[guide]]\nstrand = [\"crank\", \"jack\"]\ncentre_mm = [-90, 60]\nradius_mm = 70\n";

} // namespace

TEST_CASE("Every key of a later loop arrives") {
  const Opened opened_engine = opened("stage.toml");
  const Engine& engine = *opened_engine.engine;
  REQUIRE(engine.loops.size() == 3);
  CHECK(engine.loops[0].driven_from.empty());
  CHECK(engine.loops[0].sprockets.size() == 3);
  CHECK_FALSE(engine.loops[0].tensioner.has_value());
  const Loop& first = engine.loops[1];
  CHECK(first.driven_from == "jack");
  CHECK(first.chain.pitch_mm == 8);
  CHECK(first.chain.links == 80);
  REQUIRE(first.sprockets.size() == 2);
  CHECK(first.sprockets[0].name == "jack outer");
  CHECK(first.sprockets[0].mark_clock_deg == 90);
  CHECK(first.sprockets[1].camshaft == "exhaust");
  CHECK(first.sprockets[1].centre_mm == glm::dvec2(-30, 350));
  REQUIRE(first.guides.size() == 2);
  CHECK(first.guides[0].strand == std::array<std::string, 2>{"cam", "jack outer"});
  CHECK(first.guides[0].side == Side::outside);
  CHECK(first.guides[1].side == Side::inside);
  CHECK(first.guides[1].radius_mm == 135);
  REQUIRE(first.tensioner.has_value());
  CHECK(first.tensioner->shoe.centre_mm == glm::dvec2(-130, 250));
  CHECK(first.tensioner->push_clock_deg == 90);
  CHECK(first.tensioner->travel_mm == std::array<double, 2>{-1, 8.5});
  const Loop& second = engine.loops[2];
  CHECK(second.driven_from == "cam");
  CHECK(second.chain.iso606 == "05B-1");
  CHECK(second.chain.pitch_mm == 8);
  CHECK(second.guides.empty());
  CHECK_FALSE(second.tensioner.has_value());
  CHECK(find_cam_sprocket(engine, "inlet") == SprocketPlace{2, 1});
  CHECK(sprocket_key({2, 1}) == "stage[2].sprocket[2]");
}

TEST_CASE("A later loop may be driven from the crank, or from the first sprocket of another loop") {
  CHECK(said({{"driven_from = \"jack\"", "driven_from = \"crank\""},
              {"centre_mm = [-30, 150.0005]", "centre_mm = [0.0, -0.001]"}}) == "");
  CHECK(said({{"driven_from = \"cam\"", "driven_from = \"jack outer\""},
              {"name = \"cam rear\"\nteeth = 24\ncentre_mm = [-30, 350]",
               "name = \"cam rear\"\nteeth = 24\ncentre_mm = [-30, 150]"}}) == "");
}

TEST_CASE("Faults of a later loop are told with its keys") {
  struct Broken {
    const char* what;
    Edits edits;
    const char* said;
  };
  const std::vector<Broken> files{
      {"driven from nothing",
       {{"driven_from = \"jack\"\n", ""}},
       "stage.toml:25:1: stage[1].driven_from: found nothing, allowed 1 to 200 characters in quotes, on one line\n"},
      {"driven from no sprocket",
       {{"driven_from = \"jack\"", "driven_from = \"jak\""}},
       "stage.toml:26:15: stage[1].driven_from: found \"jak\", allowed a sprocket of an earlier loop: \"crank\", "
       "\"jack\", \"idler\"\n"},
      {"driven from itself",
       {{"driven_from = \"jack\"", "driven_from = \"jack outer\""}},
       "stage.toml:26:15: stage[1].driven_from: found \"jack outer\", allowed a sprocket of an earlier loop: "
       "\"crank\", \"jack\", \"idler\"\n"},
      {"driven from a later loop",
       {{"driven_from = \"jack\"", "driven_from = \"cam rear\""}},
       "stage.toml:26:15: stage[1].driven_from: found \"cam rear\", allowed a sprocket of an earlier loop: \"crank\", "
       "\"jack\", \"idler\"\n"},
      {"on another centre",
       {{"[-30, 150.0005]", "[-30, 150.0015]"}},
       "stage.toml:38:13: stage[1].sprocket[1].centre_mm: found [-30, 150.0015], allowed [-30, 150], the centre of "
       "\"jack\", on whose shaft it sits\n"},
      {"name of an earlier loop",
       {{"name = \"jack outer\"", "name = \"jack\""},
        {"strand = [\"jack outer\", \"cam\"]", "strand = [\"jack\", \"cam\"]"},
        {"side = \"inside\"", ""},
        {"strand = [\"cam\", \"jack outer\"]\ncentre_mm = [130, 250]",
         "strand = [\"cam\", \"jack\"]\ncentre_mm = [130, 250]"},
        {"strand = [\"cam\", \"jack outer\"]\ncentre_mm = [-140, 250]",
         "strand = [\"cam\", \"jack\"]\ncentre_mm = [-140, 250]"}},
       "stage.toml:36:8: stage[1].sprocket[1].name: found \"jack\", allowed a name that no other sprocket has\n"},
      {"first sprocket with a camshaft",
       {{"name = \"cam rear\"", "name = \"cam rear\"\ncamshaft = \"inlet\""}},
       "stage.toml:68:12: stage[2].sprocket[1].camshaft: found \"inlet\"; the first sprocket drives the chain; the "
       "camshaft belongs to the sprocket of an earlier loop that turns its shaft\n"},
      {"first sprocket on the chain's back",
       {{"name = \"cam rear\"", "name = \"cam rear\"\nwrap = \"outside\""}},
       "stage.toml:68:8: stage[2].sprocket[1].wrap: found \"outside\", allowed \"inside\" for the sprocket that drives "
       "the chain\n"},
      {"first sprocket without a mark",
       {{"mark = \"tooth\"\nmark_clock_deg = 90\n[[stage.sprocket]]\nname = \"inlet cam\"",
         "[[stage.sprocket]]\nname = \"inlet cam\""}},
       "stage.toml:66:1: stage[2].sprocket[1].mark: found nothing, allowed \"tooth\", \"gap\"\n"
       "stage.toml:66:1: stage[2].sprocket[1].mark_clock_deg: found nothing, allowed 0 to 360 deg\n"},
      {"driving sprocket without a mark",
       {{"mark = \"gap\"\nmark_clock_deg = 180\n", ""}},
       "stage.toml:14:1: sprocket[2].mark: found nothing, allowed \"tooth\", \"gap\"\n"
       "stage.toml:14:1: sprocket[2].mark_clock_deg: found nothing, allowed 0 to 360 deg\n"},
      {"camshaft driven twice",
       {{"camshaft = \"exhaust\"", "camshaft = \"inlet\""}},
       "stage.toml:84:8: camshaft[1].name: found 2 sprockets with camshaft = \"inlet\", allowed exactly one\n"
       "stage.toml:90:8: camshaft[2].name: found 0 sprockets with camshaft = \"exhaust\", allowed exactly one\n"},
      {"camshaft unknown",
       {{"camshaft = \"exhaust\"", "camshaft = \"outlet\""}},
       "stage.toml:47:12: stage[1].sprocket[2].camshaft: found \"outlet\", allowed a camshaft: \"inlet\", "
       "\"exhaust\"\n"},
      {"a name that means two things to the lay",
       {{"name = \"inlet\"\n[camshaft.inlet]", "name = \"jack\"\n[camshaft.inlet]"},
        {"camshaft = \"inlet\"", "camshaft = \"jack\""},
        {"inlet = { diameter_mm", "jack = { diameter_mm"}},
       "stage.toml:26:15: stage[1].driven_from: found \"jack\"; the sprocket needs a name that no camshaft has: "
       "\"jack\" is a camshaft that it does not drive\n"},
      {"a name that means others to the lay",
       {{"name = \"jack\"\n", "name = \"others\"\n"}, {"driven_from = \"jack\"", "driven_from = \"others\""}},
       "stage.toml:26:15: stage[1].driven_from: found \"others\"; the sprocket needs another name: \"others\" stands "
       "for the camshafts not named in a build's tables\n"},
      {"guide on a strand of another loop",
       {{"strand = [\"cam\", \"jack outer\"]\ncentre_mm = [130, 250]",
         "strand = [\"crank\", \"jack\"]\ncentre_mm = [130, 250]"}},
       "stage.toml:49:10: stage[1].guide[1].strand: found [\"crank\", \"jack\"], allowed a strand in the chain's "
       "direction of travel: [\"jack outer\", \"cam\"], [\"cam\", \"jack outer\"]\n"},
      {"tensioner on no strand, upside down",
       {{"strand = [\"jack outer\", \"cam\"]", "strand = [\"jack\", \"cam\"]"}, {"[-1, 8.5]", "[8.5, -1]"}},
       "stage.toml:58:10: stage[1].tensioner.strand: found [\"jack\", \"cam\"], allowed a strand in the chain's "
       "direction of travel: [\"jack outer\", \"cam\"], [\"cam\", \"jack outer\"]\n"
       "stage.toml:62:13: stage[1].tensioner.travel_mm: found [8.5, -1], allowed the lesser figure first\n"},
      {"chain that cannot be",
       {{"pin_mm = 2.31", "pin_mm = 5"}},
       "stage.toml:31:10: stage[1].chain.pin_mm: found 5, allowed less than 5 mm, the roller's diameter\n"},
      {"chain missing",
       {{"chain = { iso606 = \"05B-1\", links = 46 }", ""}},
       "stage.toml:63:1: stage[2].chain: found nothing, allowed a table\n"},
      {"one sprocket",
       {{"[[stage.sprocket]]\nname = \"inlet cam\"", "[[stage.sprockt]]\nname = \"inlet cam\""}},
       "stage.toml:66:1: stage[2].sprocket: found 1, allowed 2 to 8 sprockets\n"
       "stage.toml:72:9: stage[2].sprockt: found an unknown key; did you mean sprocket?\n"},
      {"teeth beyond the range, and an unknown key",
       {{"teeth = 36", "teeth = 360\ncolour = \"red\""}},
       "stage.toml:43:9: stage[1].sprocket[2].teeth: found 360, allowed a whole number 6 to 200\n"
       "stage.toml:44:1: stage[1].sprocket[2].colour: found an unknown key, allowed name, teeth, centre_mm, camshaft, "
       "mark, mark_clock_deg, wrap\n"},
      {"unknown key of a stage",
       {{"driven_from = \"cam\"", "driven_from = \"cam\"\ndriven_form = \"cam\""}},
       "stage.toml:65:1: stage[2].driven_form: found an unknown key; did you mean driven_from?\n"},
  };
  for (const Broken& broken : files) {
    INFO(broken.what);
    CHECK(said(broken.edits) == broken.said);
  }
}

TEST_CASE("A strand has room for three guides") {
  const auto with = [](int count) {
    return said({{"[[stage]]\ndriven_from = \"jack\"", repeated(guide, count) + "[[stage]]\ndriven_from = \"jack\""}});
  };
  CHECK(with(3) == "");
  CHECK(with(5) == "stage.toml:38:10: guide[4].strand: found [\"crank\", \"jack\"]; one strand has at most 3 guides\n");
}

TEST_CASE("Later loops from a stranger are counted") {
  const std::string stage = "[[stage]]\ndriven_from = \"jack\"";
  CHECK(said({{stage, repeated("[[stage]]\n", 9000) + stage}})
            .find("stage.toml:25:1: stage: found 9002, allowed at most 3 stages\n") != std::string::npos);
  CHECK(said({{stage, "[[stage]]\n[[stage]]\n" + stage}})
            .find("stage.toml:25:1: stage: found 4, allowed at most 3 stages\n") != std::string::npos);
  CHECK(said({{"camshaft = \"exhaust\"", "camshaft = \"exhaust\"\n" + repeated("[[stage.sprocket]]\n", 9000)}})
            .find("stage[1].sprocket: found 9002, allowed 2 to 8 sprockets\n") != std::string::npos);
  const Folder folder;
  folder.copy_engine({{"[shaft.crank]", "[stage]\n[shaft.crank]"}});
  CHECK(folder.problems_of("marram-1420.toml") ==
        "marram-1420.toml:41:1: stage: found a table, allowed at most 3 stages; write [[stage]] for each\n");
  folder.copy_engine({{"[shaft.crank]", "[[stage]]\n[shaft.crank]"}});
  CHECK(folder.problems_of("marram-1420.toml") ==
        "marram-1420.toml:41:1: stage[1].driven_from: found nothing, allowed 1 to 200 characters in quotes, on one "
        "line\n"
        "marram-1420.toml:41:1: stage[1].chain: found nothing, allowed a table\n"
        "marram-1420.toml:41:1: stage[1].sprocket: found nothing, allowed 2 to 8 sprockets\n");
}

TEST_CASE("Lay and cam keys go by camshaft, and the lay by the sprocket that drives a later loop") {
  const Build build = opened("stage.build.toml").build;
  CHECK(lay_of(build.fitted, "jack") == -1);
  CHECK(lay_of(build.fitted, "exhaust") == 2);
  CHECK(lay_of(build.fitted, "inlet") == 0);
  CHECK(cam_key_of(build.fitted, "inlet") == 1.5);
  CHECK(cam_key_of(build.fitted, "exhaust") == -2);
  CHECK(build.measured.with.lay_of == std::map<std::string, int>{{"jack", 3}});
  CHECK(build.measured.with.cam_key_of == std::map<std::string, double>{{"inlet", 0.5}});
  CHECK(build.measured.gap->under == "inlet cam");
  const std::string neither =
      ": found neither a camshaft nor the driven sprocket of a jackshaft, allowed inlet, exhaust, jack\n";
  CHECK(said_of_build({{"lay = { jack = -1,", "lay = { crank = -1,"}}) ==
        "stage.build.toml:4:17: fitted.lay.crank" + neither);
  CHECK(said_of_build({{"lay = { jack = -1,", "lay = { \"jack outer\" = -1, cam = 0,"}}) ==
        "stage.build.toml:4:24: fitted.lay.\"jack outer\"" + neither + "stage.build.toml:4:34: fitted.lay.cam" +
            neither);
  CHECK(said_of_build({{"lay = { jack = -1,", "lay = { jack = -11,"}}) ==
        "stage.build.toml:4:16: fitted.lay.jack: found -11, allowed a whole number -10 to 10\n");
  CHECK(said_of_build({{"lay = { jack = 3 }", "lay = { idler = 3 }"}}) ==
        "stage.build.toml:8:57: measured.with.lay.idler" + neither);
  CHECK(said_of_build({{"cam_key_deg = { inlet = 1.5,", "cam_key_deg = { jack = 1.5,"}}) ==
        "stage.build.toml:5:24: fitted.cam_key_deg.jack: found an unknown camshaft, allowed inlet, exhaust\n");
  CHECK(said_of_build({{"under = \"inlet cam\"", "under = \"inlet\""}}) ==
        "stage.build.toml:9:44: measured.gap_mm.under: found \"inlet\", allowed a sprocket: \"crank\", \"jack\", "
        "\"idler\", \"jack outer\", \"cam\", \"cam rear\", \"inlet cam\"\n");
}

TEST_CASE("The lay of a shaft goes by the sprocket that turns it") {
  const Folder folder;
  folder.write("stage.toml", edited(stage_engine, {{"driven_from = \"cam\"", "driven_from = \"jack outer\""},
                                                   {"name = \"cam rear\"\nteeth = 24\ncentre_mm = [-30, 350]",
                                                    "name = \"cam rear\"\nteeth = 24\ncentre_mm = [-30, 150]"}}));
  folder.write("stage.build.toml", edited(stage_build, {{"lay = { jack = -1,", "lay = { \"jack outer\" = -1,"}}));
  CHECK(folder.problems_of("stage.build.toml") == "stage.build.toml:4:24: fitted.lay.\"jack outer\": found neither a "
                                                  "camshaft nor the driven sprocket of a jackshaft, allowed "
                                                  "inlet, exhaust, jack\n");
}

TEST_CASE("Tables of later loops are set for one run") {
  CHECK(opened("stage.toml", {"stage[1].sprocket[2].teeth=38"}).engine->loops[1].sprockets[1].teeth == 38);
  CHECK(opened("stage.toml", {"stage[2].sprocket.\"inlet cam\".teeth=26"}).engine->loops[2].sprockets[1].teeth == 26);
  CHECK(opened("stage.toml", {"stage[1].guide[2].radius_mm=150"}).engine->loops[1].guides[1].radius_mm == 150);
  CHECK(opened("stage.toml", {"stage[1].tensioner.travel_mm[2]=9"}).engine->loops[1].tensioner->travel_mm[1] == 9);
  CHECK(opened("stage.toml", {"stage[2].chain.links=48"}).engine->loops[2].chain.links == 48);
  CHECK(said({}, {"stage[1].sprocket[2].teeth=5"}) ==
        "--set: stage[1].sprocket[2].teeth: found 5, allowed a whole number 6 to 200\n");
  CHECK(said({}, {"stage[4].chain.links=48"}) == "--set: stage[4].chain.links=48: stage has 2 entries\n");
  CHECK(said({}, {"stage.chain.links=48"}) == "--set: stage.chain.links=48: stage has none called \"chain\"\n");
  CHECK(said({}, {"stage[1].driven_from=idlers"}) ==
        "--set: stage[1].driven_from: found \"idlers\", allowed a sprocket of an earlier loop: \"crank\", \"jack\", "
        "\"idler\"\n");
  const Fitted fitted = opened("stage.build.toml", {"fitted.cam_key_deg.inlet=2", "fitted.lay.jack=4"}).build.fitted;
  CHECK(fitted.cam_key_of == std::map<std::string, double>{{"exhaust", -2}, {"inlet", 2}});
  CHECK(fitted.lay_of == std::map<std::string, int>{{"exhaust", 2}, {"jack", 4}});
}

TEST_CASE("Tables of lay and keys survive being saved") {
  const Build build = opened("stage.build.toml").build;
  const auto same = edit_build_text(stage_build, build);
  REQUIRE(same.ok());
  CHECK(*same == stage_build);
  const Folder folder;
  folder.write("stage.toml", stage_engine);
  CHECK_FALSE(save_build(folder / "new.build.toml", build).has_value());
  const auto reopened = open_any(folder / "new.build.toml");
  REQUIRE(reopened.ok());
  CHECK(reopened->build.fitted == build.fitted);
  CHECK(reopened->build.measured.with == build.measured.with);
  CHECK(build_entries(reopened->build) == build_entries(build));
  Build changed = build;
  changed.fitted.cam_key_of = {{"exhaust", -0.1 - 0.2}};
  changed.fitted.lay_of.clear();
  changed.fitted.lay = 1;
  changed.measured.with.cam_key_of["inlet"] = 1;
  const auto text = edit_build_text(stage_build, changed);
  REQUIRE(text.ok());
  CHECK(*text == edited(stage_build, {{"lay = { jack = -1, exhaust = 2 }", "lay = 1"},
                                      {"{ inlet = 1.5, exhaust = -2 }", "{ exhaust = -0.30000000000000004 }"},
                                      {"{ cam_key_deg = { inlet = 0.5 }, lay = { jack = 3 } }",
                                       "{ lay = { jack = 3 }, cam_key_deg = { inlet = 1 } }"}}));
}

TEST_CASE("One figure for all the camshafts not named stands beside the names") {
  const auto fitted = [](const Overrides& overrides) { return opened("stage.build.toml", overrides).build.fitted; };
  const Fitted file = fitted({"fitted.lay={ inlet = 1, others = -1 }", "fitted.cam_key_deg={ others = 2.5 }"});
  CHECK(file.lay_of == std::map<std::string, int>{{"inlet", 1}});
  CHECK(lay_of(file, "exhaust") == -1);
  CHECK(file.cam_key_of.empty());
  CHECK(file.cam_key_deg == 2.5);
  // Setting one camshaft does not move the others.
  const Fitted one =
      fitted({"fitted.lay=1", "fitted.lay.inlet=2", "fitted.cam_key_deg=3", "fitted.cam_key_deg.inlet=0"});
  CHECK(lay_of(one, "inlet") == 2);
  CHECK(lay_of(one, "exhaust") == 1);
  CHECK(cam_key_of(one, "inlet") == 0);
  CHECK(cam_key_of(one, "exhaust") == 3);
  Build build = opened("stage.build.toml").build;
  build.fitted = one;
  const auto text = edit_build_text(stage_build, build);
  REQUIRE(text.ok());
  CHECK(*text == edited(stage_build, {{"{ jack = -1, exhaust = 2 }", "{ inlet = 2, others = 1 }"},
                                      {"{ inlet = 1.5, exhaust = -2 }", "{ inlet = 0, others = 3 }"}}));
  const Folder folder;
  folder.write("stage.toml", stage_engine);
  folder.write("x.build.toml", *text);
  CHECK(open_any(folder / "x.build.toml")->build.fitted == one);
}
