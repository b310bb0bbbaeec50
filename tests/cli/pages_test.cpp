// The pages for a person, word for word. PHASEWRIGHT_APPROVE=1 in the environment rewrites golden/ with what the
// program says now; look at the difference before it is committed.
#include "cli/program.hpp"
#include "support/catch.hpp"

#include <cstdlib>
#include <fstream>

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
      {"phase-worn-out", {"phase", "--set", "fitted.elongation_percent=1.6"}, 0},
      {"phase-engine", {"phase", models_path("marram-1420.toml")}, 0},
      {"events", {"events"}, 0},
      {"events-twin", {"events", models_path("dunlin-3.build.toml")}, 0},
      {"clearance", {"clearance"}, 0},
      {"clearance-unsafe", {"clearance", "--set", "fitted.lay=1"}, 1},
      {"clearance-touching", {"clearance", "--set", "fitted.lay=2"}, 1},
      {"clearance-worn-no-further",
       {"clearance", models_path("marram-2050.toml"), "--set", "chain.wear_limit_percent=3"},
       0},
      {"clearance-unsafe-when-worn", {"clearance", "--set", "target.min_clearance_exhaust_mm=3.35"}, 1},
      {"plan", {"plan"}, 0},
      {"plan-twin", {"plan", models_path("dunlin-3.build.toml"), "--top", "4"}, 0},
      {"plan-bare-shelf",
       {"plan", "--lay", "2", "--set", "stock.crank_key_deg=[0]", "--set", "stock.cam_key_deg=[0, 3]", "--set",
        "target.phase_deg=-28"},
       0},
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

TEST_CASE("the phase is told although the target is none for this engine", "[cli][pages]") {
  const std::vector<std::string> arguments{"phase", "--set",
                                           "target.event={ inlet_closes_abdc_deg = 40, at_lift_mm = 20 }"};
  const Run run = run_program(arguments);
  CHECK(run.exit_code == 0);
  CHECK(run.out.find("The camshaft stands 2.03° of crank retarded.") != std::string::npos);
  CHECK(run.out.find("Target: none for this engine. target.event: found at 20 mm lift") != std::string::npos);
}

TEST_CASE("a pocket's wall is shown and said not to be judged", "[cli][pages]") {
  const Run run = run_program({"clearance", "--set", "valve.inlet.pocket={ depth_mm = 1, radius_mm = 17 }"});
  CHECK(run.exit_code == 0);
  CHECK(run.out.find("0.50") != std::string::npos);
  CHECK(run.out.find("shown but not judged") != std::string::npos);
  CHECK(run_program({"clearance"}).out.find("not judged") == std::string::npos);
}
