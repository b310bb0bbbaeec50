// The animated model as the program writes it: what it answers, which state it shows, and what it refuses.
#include "cli/answer.hpp"
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"
#include "support/catch.hpp"

#include <nlohmann/json.hpp>

#include <cstring>
#include <filesystem>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

// The JSON chunk of a binary glTF 2.0 file: its length at byte 12, itself from byte 20.
json document_of(const std::string& file) {
  const std::string glb = read_file(file);
  REQUIRE(glb.size() > 20);
  REQUIRE(glb.substr(0, 4) == "glTF");
  std::uint32_t length = 0;
  std::memcpy(&length, glb.data() + 12, sizeof length);
  return json::parse(glb.substr(20, length));
}

json extras_of(const std::string& file) {
  return document_of(file)["nodes"][0]["extras"];
}

} // namespace

TEST_CASE("export: the demo's model, in words and in JSON, the same twice", "[cli][export]") {
  const Scratch scratch;
  const std::string file = scratch / "drive.glb";
  const json said = answer({"export", "-o", file});
  const std::string first = read_file(file);
  const json document = document_of(file);
  CHECK(said["file"] == file);
  CHECK(said["shows"] == "the drive as fitted");
  CHECK(said["nodes"] == document["nodes"].size());
  CHECK(said["channels"] == document["animations"][0]["channels"].size());
  CHECK(said["animation_s"] == 12.0);
  CHECK(said["bytes"] == first.size());
  check_has(said, {"meshes", "triangles", "keys", "not_as_stated", "cautions"});
  const json extras = extras_of(file);
  CHECK(extras["engine"] == "Marram 1420");
  CHECK(extras["build"] == "Launch 'Sandling', engine out 14");
  CHECK_THAT(number(extras["phase_crank_deg"]["cam"]), WithinAbs(number(answer({"phase"})["phase_deg"]), 1e-12));

  const Run page = run_program({"export", "-o", file});
  CHECK(page.exit_code == 0);
  CHECK(page.out.find("drive.glb: the drive as fitted, ") != std::string::npos);
  CHECK(page.out.find("computed and not measured") != std::string::npos);
  CHECK(read_file(file) == first);
  CHECK(scratch.files() == 1);
}

TEST_CASE("export: the model shows the state that is asked for", "[cli][export]") {
  const Scratch scratch;
  const std::string file = scratch / "drive.glb";
  CHECK(answer({"export", "-o", file, "--as", "reference"})["shows"] == "the maker's reference assembly");
  CHECK_THAT(number(extras_of(file)["phase_crank_deg"]["cam"]), WithinAbs(0.0, 1e-9));
  const json option = answer({"plan"})["options"][1];
  const json planned = answer({"export", "-o", file, "--plan", "2"});
  const std::string words = option["words"];
  CHECK(planned["shows"] == "the drive as planned, option 2 (" + words + ")");
  CHECK(planned["option"] == 2);
  CHECK(planned["words"] == words);
  CHECK(planned["safe"] == true);
  CHECK(extras_of(file)["shows"] == planned["shows"]);
  CHECK(extras_of(file)["safe"] == true);
  CHECK_THAT(number(extras_of(file)["phase_crank_deg"]["cam"]), WithinAbs(number(option["phase_deg"]), 1e-9));
  // Where readings show more than the drive explains, what is fitted goes by them, as a picture does.
  const Run run = run_program({"export", models_path("curlew-7.build.toml"), "-o", file});
  CHECK(run.exit_code == 1); // with its chain a tooth off by the readings, as clearance says
  CHECK(run.out.find("the model goes by\nthe readings.") != std::string::npos);
  const json degree = answer({"degree", models_path("curlew-7.build.toml")});
  CHECK_THAT(number(extras_of(file)["phase_crank_deg"]["cam"]), WithinAbs(number(degree["phase_deg"]), 1e-6));
}

TEST_CASE("export: a model of what is not safe says so in the answer and in itself", "[cli][export]") {
  const Scratch scratch;
  const std::string file = scratch / "drive.glb";
  // The plan's last option is the worst; the plan itself says whether it is safe.
  const json options = answer({"plan"})["options"];
  REQUIRE(options.back()["safe"] == false);
  const std::string last = std::to_string(options.size());
  const std::vector<std::pair<std::vector<std::string>, std::string>> unsafe{
      {{"--plan", last}, "as planned, option " + last + " (" + options.back()["words"].get<std::string>() + ")"},
      {{"--set", "fitted.lay=2"}, "as fitted"}};
  for (const auto& [state, of] : unsafe) {
    std::vector<std::string> words{"export", "-o", file};
    words.insert(words.end(), state.begin(), state.end());
    const Run page = run_program(words);
    INFO(page.err << page.out);
    CHECK(page.exit_code == 1);
    CHECK(page.out.find("NOT SAFE: as ") == 0);
    words.emplace_back("--json");
    const Run run = run_program(words);
    CHECK(run.exit_code == 1);
    const json said = json::parse(run.out);
    CHECK(said["safe"] == false);
    CHECK(said["verdict"].get<std::string>().find("NOT SAFE: " + of + ": the ") == 0);
    CHECK(said["shows"] == "the drive " + of);
    const json extras = extras_of(file);
    CHECK(extras["safe"] == false);
    CHECK(extras["verdict"] == said["verdict"]);
    CHECK(extras["shows"] == said["shows"]);
  }
  // The reference assembly is nobody's engine: neither safe nor not.
  CHECK(answer({"export", "-o", file, "--as", "reference"})["safe"].is_null());
  CHECK_FALSE(extras_of(file).contains("safe"));
}

TEST_CASE("export: a model that cannot be had is refused and leaves nothing behind", "[cli][export]") {
  const Scratch scratch;
  const std::string file = scratch / "a.glb";
  const std::vector<std::pair<std::vector<std::string>, std::string>> refusals{
      {{"-o", scratch / "none/a.glb"}, "a.glb: cannot be written"},
      {{"-o", "/proc/a.glb"}, "a.glb: cannot be written"},
      {{"-o", file, "--of", "cycle"}, "--of: found a model, FILE.glb, allowed only with FILE.csv"},
      {{"-o", file, "--step", "2"}, "--step: found a model, FILE.glb, allowed only with FILE.csv"},
      {{"-o", file, "--as", "new"}, "--as: found new, allowed fitted or reference"},
      {{"-o", file, "--plan", "0"}, "--plan: found 0"},
      {{"-o", file, "--plan", "100000"}, "--plan: found 100000, allowed 1 to 189"},
      {{"-o", file, "--plan", "1", "--as", "fitted"}, "--plan: found --as beside it"},
      {{"-o", file, "--set", "fitted.lay=11"}, "fitted.lay: found 11"},
  };
  for (const auto& [arguments, said] : refusals) {
    std::vector<std::string> words{"export"};
    words.insert(words.end(), arguments.begin(), arguments.end());
    check_refused(run_program(words), said);
  }
  CHECK(scratch.files() == 0);
  CHECK(scratch.write("a.glb", "kept") == file);
  CHECK(run_program({"export", "-o", file, "--plan", "100000"}).exit_code == 2);
  CHECK(read_file(file) == "kept");
}
