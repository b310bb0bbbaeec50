// The pages for a person, word for word. PHASEWRIGHT_APPROVE=1 in the environment rewrites golden/ with what the
// program says now; look at the difference before it is committed.
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace phasewright::testing;

namespace {

struct Page {
  const char* name;
  std::vector<std::string> arguments;
  int exit_code;
};

} // namespace

TEST_CASE("the pages of the demos", "[cli][pages]") {
  const std::vector<Page> pages{
      {"pose", {"pose"}, 0},
      {"pose-110", {"pose", "--crank", "110"}, 0},
      {"pose-backward", {"pose", "--crank", "100", "--turned", "backward"}, 0},
      {"pose-twin", {"pose", models_path("dunlin-3.build.toml"), "--crank", "100"}, 0},
      {"pose-twin-backward", {"pose", models_path("dunlin-3.build.toml"), "--crank", "100", "--turned", "backward"}, 0},
      {"pose-stages", {"pose", models_path("marram-1850.toml"), "--crank", "45"}, 0},
      {"pose-pump", {"pose", models_path("marram-2290.toml")}, 0},
      {"phase", {"phase"}, 0},
      {"phase-twin", {"phase", models_path("dunlin-3.build.toml"), "--set", "fitted.lay={inlet=1,exhaust=0}"}, 0},
      {"phase-stages", {"phase", models_path("marram-1850.toml"), "--set", "fitted.lay={jack=-1,cam=1}"}, 0},
      {"chain", {"chain"}, 0},
      {"chain-asked",
       {"chain", "--band", "1", "--links", "54", "--centre-change", "-0.2", "--count", "15", "--block-growth", "11e-6",
        "--chain-growth", "12e-6", "--rise", "60"},
       0},
      {"chain-worn-out", {"chain", "--set", "fitted.elongation_percent=1.6"}, 1},
      {"chain-twin", {"chain", models_path("dunlin-3.build.toml"), "--count", "73", "--camshaft", "exhaust"}, 0},
      {"chain-twin-run-out", {"chain", models_path("marram-2050.toml"), "--set", "fitted.elongation_percent=1.3"}, 1},
      {"chain-stages", {"chain", models_path("marram-1850.toml"), "--loop", "2"}, 0},
      {"phase-keys",
       {"phase", "--set", "fitted.lay=-1", "--set", "fitted.crank_key_deg=3", "--set", "fitted.cam_key_deg=-2"},
       0},
      {"phase-spread", {"phase", "--spread"}, 0},
      {"phase-spread-stages",
       {"phase", models_path("marram-1850.toml"), "--spread", "--builds", "100000", "--seed", "2", "--set",
        "tolerance.lobe_centre_deg=0"},
       0},
      {"phase-worn-out", {"phase", "--set", "fitted.elongation_percent=1.6"}, 0},
      {"phase-engine", {"phase", models_path("marram-1420.toml")}, 0},
      {"events", {"events"}, 0},
      {"events-twin", {"events", models_path("dunlin-3.build.toml")}, 0},
      {"events-all", {"events", "--cylinder", "all", "--lift", "1", "--lift", "20", "--at", "valve"}, 0},
      {"events-offset", {"events", "--cylinder", "3", "--set", "block.pin_offset_mm=1.5", "--altitude", "1500"}, 0},
      {"clearance", {"clearance"}, 0},
      {"clearance-curve", {"clearance", "--curve"}, 0},
      {"clearance-unmeasured",
       {"clearance", "--set", "measured.clearance=[]", "--set", "target.min_clearance_inlet_mm=3.0"},
       0},
      {"clearance-valves-meet", {"clearance", "--set", "target.min_valve_to_valve_mm=10"}, 1},
      {"clearance-unsafe", {"clearance", "--set", "fitted.lay=1"}, 1},
      {"clearance-touching", {"clearance", "--set", "fitted.lay=2"}, 1},
      {"clearance-worn-no-further",
       {"clearance", models_path("marram-2050.toml"), "--set", "chain.wear_limit_percent=3"},
       0},
      {"clearance-unsafe-when-worn", {"clearance", "--set", "target.min_clearance_exhaust_mm=3.35"}, 1},
      {"degree", {"degree"}, 0},
      {"degree-against", {"degree", "--against", "last"}, 0},
      {"degree-tooth", {"degree", models_path("curlew-7.build.toml")}, 0},
      {"degree-slip",
       {"degree", "--set", "measured.lobe=[{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg=166.5,closes_deg=51.5}]"},
       1},
      {"degree-slip-then",
       {"degree", "--against", "1", "--set",
        "history=[{with={},lobe=[{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg=165,closes_deg=49.5}]}]"},
       1},
      {"degree-no-stop", {"degree", "--set", "measured.stop_deg=[]"}, 0},
      {"explain", {"explain"}, 0},
      {"explain-tooth", {"explain", models_path("curlew-7.build.toml")}, 0},
      {"explain-counted", {"explain", models_path("curlew-7.build.toml"), "--set", "measured.pins=16"}, 0},
      {"drill", {"drill"}, 0},
      {"drill-handed-on", {"drill", "--seed", "4", "--level", "2", "--readings", "--answers"}, 0},
      {"drill-answers", {"drill", "--seed", "5", "--level", "4", "--readings", "--answers"}, 0},
      {"drill-twin",
       {"drill", models_path("dunlin-3.build.toml"), "--seed", "5", "--level", "1", "--readings", "--answers"},
       0},
      {"drill-small", {"drill", models_path("marram-1850.toml"), "--seed", "2", "--level", "3", "--answers"}, 0},
      {"fit-unsafe", {"fit", "--option", "189", "-o", "never-saved.build.toml"}, 1},
      {"plan", {"plan"}, 0},
      {"plan-twin", {"plan", models_path("dunlin-3.build.toml"), "--top", "4"}, 0},
      {"plan-bare-shelf",
       {"plan", "--lay", "2", "--set", "stock.crank_key_deg=[0]", "--set", "stock.cam_key_deg=[0, 3]", "--set",
        "target.phase_deg=-28"},
       0},
      {"align", {"align"}, 0},
      {"align-proud", {"align", "--set", "measured.gap_mm={near=0.30,far=0.32,under=\"cam\"}"}, 1},
      {"align-tilted", {"align", "--set", "measured.gap_mm.far=1.4"}, 1},
      {"align-short", {"align", "--set", "stock.shim_mm=[0.5]"}, 1},
      {"endfloat", {"endfloat"}, 0},
      {"endfloat-edge", {"endfloat", "--set", "measured.float_mm=[0.08,0.09]"}, 0},
      {"endfloat-below", {"endfloat", "--set", "measured.float_mm=[0.05,0.06,0.05]"}, 1},
      {"key", {"key"}, 0},
      {"key-cam", {"key", "--at", "cam", "--deg", "2"}, 0},
      {"key-twin",
       {"key", models_path("dunlin-3.build.toml"), "--at", "cam", "--camshaft", "exhaust", "--step", "-0.4"},
       0},
      {"key-port", {"key", models_path("marram-1020.toml"), "--deg", "9"}, 0},
      {"plan-none-safe", {"plan", "--top", "3", "--set", "target.min_clearance_inlet_mm=9"}, 1},
  };
  const bool approve = std::getenv("PHASEWRIGHT_APPROVE") != nullptr;
  for (const Page& page : pages) {
    const std::string path = std::string(PHASEWRIGHT_TEST_DIR) + "/cli/golden/" + page.name + ".txt";
    const Run run = run_program(page.arguments);
    INFO(page.name);
    INFO(run.err);
    CHECK(run.exit_code == page.exit_code);
    CHECK(run.err.empty());
    if (approve) std::ofstream(path, std::ios::binary) << run.out;
    CHECK(run.out == read_file(path));
  }
}

TEST_CASE("what is not safe is said first, and every clearance comes with its cautions", "[cli][pages]") {
  for (const auto& arguments : {std::vector<std::string>{"clearance", "--set", "fitted.lay=1"},
                                std::vector<std::string>{"plan", "--set", "target.min_clearance_inlet_mm=9"}})
    CHECK(run_program(arguments).out.rfind("NOT SAFE: ", 0) == 0);
  CHECK(run_program({"chain", "--set", "fitted.elongation_percent=1.5"}).out.rfind("OUT OF LIMITS: ", 0) == 0);
  for (const char* command : {"clearance", "plan", "chain"})
    for (const char* caution : {"Turn the engine by hand only, in the running direction, plugs out",
                                "physically before starting", "judgement come first"})
      CHECK(run_program({command}).out.find(caution) != std::string::npos);
}

TEST_CASE("a plan repeats the event it aims for", "[cli][pages]") {
  const Run run =
      run_program({"plan", "--set", "target.event={ inlet_closes_abdc_deg = 40, at_lift_mm = 0.5 }", "--top", "1"});
  CHECK(run.out.find("Target: inlet closes 40.0° ABDC at 0.50 mm lift, which is ") != std::string::npos);
}

TEST_CASE("the phase is told although the target is none for this engine", "[cli][pages]") {
  const std::vector<std::string> arguments{"phase", "--set",
                                           "target.event={ inlet_closes_abdc_deg = 40, at_lift_mm = 20 }"};
  const Run run = run_program(arguments);
  CHECK(run.exit_code == 0);
  CHECK(run.out.find("The camshaft stands 2.03° of crank retarded.") != std::string::npos);
  CHECK(run.out.find("Target: none for this engine. target.event: found at 20 mm lift") != std::string::npos);
}

TEST_CASE("a valve that is too near sideways or to the other valve is told as such", "[cli][pages]") {
  const Run apart = run_program({"clearance", "--set", "target.min_valve_to_valve_mm=10"});
  CHECK(apart.exit_code == 1);
  CHECK(apart.out.rfind("NOT SAFE: the inlet and exhaust valves come within ", 0) == 0);
}

TEST_CASE("what may be right but should be looked at is said with every answer", "[cli][pages]") {
  // A flat tappet's outline has the radius base circle + lift + second derivative: 0.41 mm is left on this flank.
  const std::vector<std::string> pointed{
      "--set", "camshaft.cam.inlet.lobe={kind=\"polynomial-4567\",lift_mm=7,duration_deg=270}", "--set",
      "camshaft.cam.inlet.base_radius_mm=32"};
  for (const char* command : {"phase", "events", "clearance", "plan"}) {
    std::vector<std::string> arguments{command};
    arguments.insert(arguments.end(), pointed.begin(), pointed.end());
    INFO(command);
    CHECK(run_program(arguments).out.find("\nCaution: the inlet lobe comes to a point: radius of curvature 0.41 mm") !=
          std::string::npos);
    arguments.emplace_back("--json");
    CHECK(run_program(arguments).out.find("\"the inlet lobe comes to a point") != std::string::npos);
    CHECK(run_program({command}).out.find("Caution:") == std::string::npos);
    CHECK(run_program({command, "--json"}).out.find("\"cautions\": []") != std::string::npos);
  }
  // A reading a tenth of a millimetre off the curve through its neighbours.
  const Scratch scratch;
  for (const char* name : {"marram-1420.toml", "marram-inlet.csv", "marram-exhaust.csv"})
    CHECK(scratch.write(name, read_file(models_path(name))) == scratch / name);
  std::string lobe = read_file(models_path("marram-inlet.csv"));
  const std::size_t at = lobe.find("\n30,4.8488\n");
  REQUIRE(at != std::string::npos);
  lobe.replace(at, 11, "\n30,4.9500\n");
  CHECK_FALSE(scratch.write("marram-inlet.csv", lobe).empty());
  const Run stray = run_program({"phase", "--json", scratch / "marram-1420.toml"});
  CHECK(stray.exit_code == 0);
  CHECK(stray.out.find("0.10 mm above the curve through its neighbours") != std::string::npos);
}

namespace {

std::size_t columns_of(const std::string& line) {
  return static_cast<std::size_t>(std::ranges::count_if(
      line, [](char c) { return (static_cast<unsigned char>(c) & 0xC0u) != 0x80u; })); // UTF-8: bytes that begin one
}

} // namespace

TEST_CASE("no page is wider than 100 columns, whatever the engine", "[cli][pages]") {
  const std::vector<std::vector<std::string>> commands{
      {"pose", "--crank", "105"},
      {"pose", "--crank", "105", "--turned", "backward"},
      {"phase"},
      {"phase", "--set", "fitted.crank_key_deg=3", "--set", "fitted.cam_key_deg=-2"},
      {"phase", "--spread", "--builds", "10000", "--set", "fitted.cam_key_deg=-2"},
      {"chain"},
      {"chain", "--count", "15"},
      {"chain", "--band", "1", "--centre-change", "-0.2", "--block-growth", "11e-6", "--chain-growth", "12e-6",
       "--rise", "60"},
      {"events"},
      {"events", "--cylinder", "all", "--lift", "0.5", "--lift", "20", "--altitude", "1500"},
      {"events", "--set", "block.pin_offset_mm=-1.5"},
      {"clearance"},
      {"clearance", "--curve"},
      {"clearance", "--set", "fitted.lay=1"},
      {"clearance", "--set", "target.min_clearance_inlet_mm=9", "--set", "target.min_clearance_exhaust_mm=9", "--set",
       "target.min_valve_to_valve_mm=10"},
      {"plan"},
      {"degree"},
      {"degree", "--against", "last"},
      {"align"},
      {"align", "--set", "measured.gap_mm={near=3.3,far=12.2,under=\"cam\"}"},
      {"endfloat"},
      {"drill", "--seed", "3", "--level", "4", "--readings", "--answers"},
      {"key", "--step", "-11"},
      {"plan", "--lay", "2", "--set", "stock.crank_key_deg=[0,2.5,4]", "--set", "stock.cam_key_deg=[0,1.5,3]"},
  };
  int pages = 0;
  for (const auto& model : std::filesystem::directory_iterator(models_path(""))) {
    if (model.path().extension() != ".toml") continue;
    for (std::vector<std::string> arguments : commands) {
      arguments.insert(arguments.begin() + 1, model.path().string());
      const Run run = run_program(arguments);
      std::string said = model.path().filename().string();
      for (const std::string& word : arguments) said += " " + word;
      INFO(said);
      INFO(run.err);
      std::istringstream lines(run.out);
      for (std::string line; std::getline(lines, line);) {
        INFO(line);
        CHECK(columns_of(line) <= 100);
        CHECK((line.empty() || line.back() != ' '));
      }
      if (run.exit_code != 2) ++pages;
    }
  }
  CHECK(pages > 60);
  for (const char* command : {"pose", "phase", "chain", "events", "clearance", "plan", "export", "--help"}) {
    std::istringstream lines(run_program({command, "--help"}).out);
    for (std::string line; std::getline(lines, line);) {
      INFO(line);
      CHECK(columns_of(line) <= 100);
    }
  }
}
