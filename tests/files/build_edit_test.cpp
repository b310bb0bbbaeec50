// Saving a build: what differs is changed, and nothing else.
#include "files/build_text.hpp"
#include "files/folder.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Reads a text back through a file, with the engine compiled in.
Build read_back(const std::string& text) {
  const Folder folder;
  folder.write("x.build.toml", text);
  const auto opened = open_any(folder / "x.build.toml");
  INFO(text);
  INFO((opened ? std::string() : to_text(opened.problems())));
  REQUIRE(opened.ok());
  return opened->build;
}

// The edited text, checked to say what is meant and to stay as it is when edited again.
std::string edit(const std::string& text, const Build& build) {
  const auto changed = edit_build_text(text, build);
  INFO((changed ? std::string() : to_text(changed.problems())));
  REQUIRE(changed.ok());
  INFO(*changed);
  CHECK(build_entries(read_back(*changed)) == build_entries(build));
  const auto again = edit_build_text(*changed, build);
  REQUIRE(again.ok());
  CHECK(*again == *changed);
  return *changed;
}

template <class Change>
std::string edit_with(const std::string& text, Change change) {
  Build build = read_back(text);
  change(build);
  return edit(text, build);
}

std::string demo_text() {
  return slurp(models_folder() / "sandling-14.build.toml");
}

// The readings keep what was fitted when they were taken: that comes after the last of them.
const std::pair<std::string, std::string> as_measured{
    "float_mm = [0.11, 0.12, 0.11]\n",
    "float_mm = [0.11, 0.12, 0.11]\nwith = { elongation_percent = 0.9, centre_change_mm = -0.1 }\n"};

constexpr const char* head = "format = \"phasewright-build/1\"\nengine = \"marram-1420.toml\"\n";

} // namespace

TEST_CASE("A build that has not changed leaves the file as it is") {
  CHECK(edit(demo_text(), read_back(demo_text())) == demo_text());
}

TEST_CASE("Changed values keep their lines and comments") {
  const std::string text = edit_with(demo_text(), [](Build& build) {
    build.title = "The \"Sandling\" \\ again";
    build.fitted.lay = -1;
    build.fitted.crank_key_deg = 2.5;
    build.stock.shim_mm.pop_back();
    build.measured.gap->far_mm = 0.91;
  });
  CHECK(text == edited(demo_text(), {{"\"Launch 'Sandling', engine out 14\"", "\"The \\\"Sandling\\\" \\\\ again\""},
                                     as_measured,
                                     {"lay = 0 ", "lay = -1 "},
                                     {"crank_key_deg = 0.0", "crank_key_deg = 2.5"},
                                     {"[0.05, 0.10, 0.10, 0.13, 0.25, 0.50]", "[0.05, 0.1, 0.1, 0.13, 0.25]"},
                                     {"{ near = 0.89, far = 0.89, under = \"crank\" }",
                                      "{ near = 0.89, far = 0.91, under = \"crank\" }"}}));
}

TEST_CASE("Missing keys go to the end of their table") {
  const std::string text = edit_with(demo_text(), [](Build& build) {
    build.fitted.slot_deg = -1.5;
    build.stock.slots_deg = std::array<double, 2>{-8, 8};
    build.stock.vernier = Vernier{10, 11};
    build.fitted.holes = {1, 2};
  });
  CHECK(text ==
        edited(demo_text(), {as_measured,
                             {"line bored\n", "line bored\nholes = [1, 2]\nslot_deg = -1.5\n"},
                             {"0.25, 0.50]\n", "0.25, 0.50]\nvernier = { hub_holes = 10, sprocket_holes = 11 }\n"
                                               "slots_deg = [-8, 8]\n"}}));
}

TEST_CASE("Limits to the side, between the valves and of the dimensions are saved") {
  const std::string text = edit_with(demo_text(), [](Build& build) {
    build.target.min_clearance_radial_mm = 0.75;
    build.target.min_valve_to_valve_mm = 1.25;
    build.instruments.dimension_mm = 0.1;
  });
  CHECK(text == edited(demo_text(), {{"min_clearance_exhaust_mm = 2.5\n", "min_clearance_exhaust_mm = 2.5\n"
                                                                          "min_clearance_radial_mm = 0.75\n"
                                                                          "min_valve_to_valve_mm = 1.25\n"},
                                     {"indicator_mm = 0.01\n", "indicator_mm = 0.01\ndimension_mm = 0.1\n"}}));
  const Build plain = read_back(demo_text());
  CHECK(build_text(plain).find("radial") == std::string::npos);
  CHECK(build_text(plain).find("dimension") == std::string::npos);
}

TEST_CASE("Missing tables go to the end of the file") {
  CHECK(edit_with(std::string(head) + "# the end",
                  [](Build& build) {
                    build.fitted.lay = 1;
                    build.fitted.cam_key_deg = 2;
                    build.instruments.wheel_deg = 0.25;
                    build.title = "Engine out 15";
                  }) == std::string(head) + "title = \"Engine out 15\"\n# the end\n\n[fitted]\nlay = 1\ncam_key_deg = "
                                            "2\n\n[instruments]\nwheel_deg = 0.25\n");
}

TEST_CASE("A key that goes leaves its comment") {
  CHECK(edit_with(std::string(head) + "[target]\n  inlet_centre_deg = 104 # as the owner asked\n  # second thoughts\n",
                  [](Build& build) {
                    build.target.inlet_centre_deg.reset();
                    build.target.event = TargetEvent{EventKind::inlet_closes, 60, 1.27};
                  }) ==
        std::string(head) +
            "[target]\n  # as the owner asked\n  event = { inlet_closes_abdc_deg = 60, at_lift_mm = 1.27 }\n"
            "  # second thoughts\n");
}

TEST_CASE("Tables in braces, dotted keys and tables of their own are changed where they stand") {
  const auto change = [](Build& build) {
    build.fitted.lay = 2;
    build.fitted.cam_key_deg = 1;
  };
  CHECK(edit_with(std::string(head) + "fitted = { lay = 1, slot_deg = 3 } # so far\n", change) ==
        std::string(head) + "fitted = { lay = 2, slot_deg = 3, cam_key_deg = 1 } # so far\n");
  CHECK(edit_with(std::string(head) + "fitted = {}", change) ==
        std::string(head) + "fitted = { lay = 2, cam_key_deg = 1 }");
  CHECK(edit_with(std::string(head) + "fitted.lay = 1 # so far\n[stock]\n", change) ==
        std::string(head) + "fitted.lay = 2 # so far\nfitted.cam_key_deg = 1\n[stock]\n");
  CHECK(edit_with(std::string(head) + "[fitted]\n[fitted.lay]\ncam = 1 # so far\n", [](Build& build) {
          build.fitted.lay_of["cam"] = 2;
        }) == std::string(head) + "[fitted]\nlay = { cam = 2 }\n# so far\n");
}

TEST_CASE("Readings in tables of their own become a list") {
  const std::string text = std::string(head) +
                           "[[measured.lobe]] # first\nvalve = \"inlet\"\nlift_mm = 5\nopens_deg = 50\n"
                           "closes_deg = 160\n# kept\n[stock]\n";
  CHECK(edit_with(text, [](Build& build) { build.measured.lobe[0].closes_deg = 161; }) ==
        std::string(head) +
            "# first\n# kept\n[stock]\n\n[measured]\nlobe = [\n"
            "  { valve = \"inlet\", cylinder = 1, lift_mm = 5, opens_deg = 50, closes_deg = 161 },\n]\n");
}

TEST_CASE("A file with the other line ends keeps them") {
  const std::string text =
      std::string("format = \"phasewright-build/1\"\r\nengine = \"marram-1420.toml\"\r\n[fitted]\r\nlay = 1\r\n");
  CHECK(edit_with(text,
                  [](Build& build) {
                    build.fitted.lay = 2;
                    build.fitted.slot_deg = 1;
                  }) ==
        "format = \"phasewright-build/1\"\r\nengine = \"marram-1420.toml\"\r\n[fitted]\r\nlay = 2\r\nslot_deg = 1\r\n");
}

TEST_CASE("Letters of other alphabets do not put the places out") {
  const std::string text =
      std::string(head) + "fitted = { lay = 1 } # Motor Nº 14 – überholt\ntitle = \"Fähre ‘Höör’\" # ö\n";
  CHECK(edit_with(text, [](Build& build) {
          build.fitted.lay = 2;
          build.title = "Fähre";
        }) == std::string(head) + "fitted = { lay = 2 } # Motor Nº 14 – überholt\ntitle = \"Fähre\" # ö\n");
}

TEST_CASE("Every number survives being saved") {
  const std::string text = edit_with(demo_text(), [](Build& build) {
    build.fitted.crank_key_deg = 1.0 / 3.0;
    build.fitted.slot_deg = 1e-300;
    build.fitted.cam_key_deg = -0.1 - 0.2;
  });
  CHECK(read_back(text).fitted.crank_key_deg == 1.0 / 3.0);
  CHECK(read_back(text).fitted.cam_key_deg == -0.1 - 0.2);
}

TEST_CASE("A new build file says what differs from the defaults") {
  Build build = read_back(demo_text());
  CHECK(build_entries(read_back(build_text(build))) == build_entries(build));
  Build plain;
  plain.engine = "marram-1420.toml";
  CHECK(build_text(plain) == head);
}

TEST_CASE("A build that cannot be told is not written") {
  Build build = read_back(demo_text());
  build.fitted.slot_deg = 99; // out of range: the file could not be opened again
  CHECK_FALSE(edit_build_text(demo_text(), build).ok());
  const auto faulty = edit_build_text("format = 1\nengine = \"x\"\nfitted = 3\n", build);
  REQUIRE_FALSE(faulty.ok());
  CHECK(to_text(faulty.problems()) ==
        "build file:1:10: format: found 1, allowed 1 to 200 characters in quotes, on one line\n"
        "build file:3:10: fitted: found 3, allowed a table\n");
}

TEST_CASE("A build is saved into its file or into a new one") {
  const Folder folder;
  folder.copy_build();
  Build build = read_back(demo_text());
  build.fitted.lay = 3;
  CHECK_FALSE(save_build(folder / "sandling-14.build.toml", build).has_value());
  CHECK(slurp(folder / "sandling-14.build.toml") == edited(demo_text(), {as_measured, {"lay = 0 ", "lay = 3 "}}));
  const auto reopened = open_any(folder / "sandling-14.build.toml");
  REQUIRE(reopened.ok());
  CHECK(reopened->build.fitted.lay == 3);
  CHECK(reopened->build.measured.with == read_back(demo_text()).fitted);
  build.fitted.lay = 0; // back as it was when measured: nothing more to say
  CHECK_FALSE(save_build(folder / "sandling-14.build.toml", build).has_value());
  CHECK(slurp(folder / "sandling-14.build.toml") == demo_text());
  build.fitted.lay = 3;
  CHECK_FALSE(save_build(folder / "new.build.toml", build).has_value());
  CHECK(build_entries(open_any(folder / "new.build.toml")->build) == build_entries(build));
  const auto problem = save_build(folder / "marram-1420.toml", build);
  CHECK(problem.has_value()); // an engine file
  CHECK(slurp(folder / "marram-1420.toml") == slurp(models_folder() / "marram-1420.toml"));
}
