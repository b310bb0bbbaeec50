// Fault drills on the command line: what the sheet says and does not say, and that other commands can work on it.
#include "cli/answer.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"

#include <algorithm>
#include <filesystem>
#include <set>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

json drill_of(const std::vector<std::string>& more) {
  std::vector<std::string> arguments{"drill"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  const json all = answer(arguments);
  REQUIRE(all["drills"].size() == 1);
  return all["drills"][0];
}

} // namespace

TEST_CASE("a drill's answers for programs", "[cli][drill]") {
  const json drill = drill_of({"--seed", "7", "--level", "2", "--readings", "--answers"});
  check_has(drill, {"seed", "level", "words", "hides", "engine", "may_be", "wanted_centre_deg", "instruments",
                    "handed_on", "readings", "build", "answers"});
  CHECK(drill["seed"] == 7);
  CHECK(drill["hides"] == 1);
  const json& answers = drill["answers"];
  check_has(answers, {"faults", "wheel_zero_deg", "wheel_moved_deg", "cannot_be_told_from", "cure", "works", "readings",
                      "explained", "beside", "words"});
  REQUIRE(answers["faults"].size() == 1);
  const std::string fault = answers["faults"][0]["fault"];
  CHECK(std::ranges::count_if(drill["may_be"], [&](const json& one) { return one["fault"] == fault; }) == 1);
  for (const json& one : drill["may_be"]) CHECK_FALSE(one["means"].get<std::string>().empty());
  CHECK(answers["cannot_be_told_from"][0] == json::array({fault}));
  CHECK(drill["readings"]["lobe"].size() == 8);
  CHECK(number(drill["instruments"]["wheel_deg"]) == 0.5);
  CHECK(std::abs(number(answers["wheel_zero_deg"])) <= 15.0);
}

TEST_CASE("the sheet does not say what is hidden", "[cli][drill]") {
  int asked = 0;
  for (const char* level : {"1", "2", "3", "4"})
    for (const char* seed : {"11", "12", "13"}) {
      const json told = drill_of({"--seed", seed, "--level", level, "--answers"});
      const json asking = drill_of({"--seed", seed, "--level", level});
      CHECK_FALSE(asking.contains("answers"));
      CHECK(asking["readings"].is_null());
      const std::string page = run_program({"drill", "--seed", seed, "--level", level}).out;
      const std::string build = asking["build"];
      for (const json& fault : told["answers"]["faults"]) {
        ++asked;
        const std::string words = fault["words"];
        CHECK(page.find(words) == std::string::npos);
        CHECK(build.find(words) == std::string::npos);
      }
      // All else is the same with the answers and without.
      json without = told;
      without.erase("answers");
      CHECK(without == asking);
      CHECK(run_program({"drill", "--seed", seed, "--level", level}).out == page);
    }
  CHECK(asked == 3 * (1 + 1 + 1 + 2));
}

TEST_CASE("a class gets a page each", "[cli][drill]") {
  const Run run = run_program({"drill", "--seed", "20", "--level", "3", "--count", "6"});
  CHECK(run.exit_code == 0);
  CHECK(std::ranges::count(run.out, '\f') == 5);
  for (const char* title : {"Drill 20, level 3", "Drill 21, level 3", "Drill 25, level 3"})
    CHECK(run.out.find(title) != std::string::npos);
  const json all = answer({"drill", "--seed", "20", "--level", "3", "--count", "6", "--answers"});
  std::set<std::string> unlike;
  for (const json& drill : all["drills"]) unlike.insert(drill["answers"]["faults"][0]["words"]);
  CHECK(all["drills"].size() == 6);
  CHECK(unlike.size() > 2);
  // One by itself is the same as in a class.
  CHECK(all["drills"][4] == drill_of({"--seed", "24", "--level", "3", "--answers"}));
  const Run with_answers = run_program({"drill", "--count", "2", "--answers"});
  CHECK(std::ranges::count(with_answers.out, '\f') == 3);
}

TEST_CASE("every other command works on a drill's build", "[cli][drill]") {
  const Scratch scratch;
  for (const char* level : {"1", "2", "3", "4"})
    for (const char* seed : {"3", "4"}) {
      const std::string path = scratch / (std::string("drill-") + level + "-" + seed + ".build.toml");
      const json saved = answer({"drill", "--seed", seed, "--level", level, "--readings", "--answers", "-o", path});
      INFO(saved.dump(1));
      CHECK(saved["saved"] == path);
      CHECK(read_file(path) == saved["drills"][0]["build"].get<std::string>());
      for (const char* command : {"phase", "events", "clearance", "plan", "align", "endfloat", "degree", "explain"}) {
        const Run run = run_program({command, path});
        INFO(command << ": " << run.err);
        CHECK((run.exit_code == 0 || run.exit_code == 1));
      }
      // Explain says of the file what the answer sheet says of the drill.
      const json explained = json::parse(run_program({"explain", path, "--json"}).out);
      const json& foretold = saved["drills"][0]["answers"]["explained"]["causes"][0];
      CHECK(explained["causes"][0]["faults"] == foretold["faults"]);
      CHECK(explained["causes"][0]["probability"] == foretold["probability"]);
    }
  // Without the readings there is a card to begin with.
  const std::string bare = scratch / "bare.build.toml";
  const json card = answer({"drill", "--seed", "3", "--level", "1", "-o", bare});
  CHECK(card["drills"][0]["handed_on"].is_null());
  CHECK(run_program({"phase", bare}).exit_code == 0);
  CHECK(run_program({"degree", bare}).exit_code == 2);
}

TEST_CASE("what is no drill is refused", "[cli][drill][refusals]") {
  check_refused(run_program({"drill", "--level", "0"}),
                "--level: found 0, allowed 1 to 4\ntry: phasewright drill --help");
  check_refused(run_program({"drill", "--level", "5"}), "--level: found 5, allowed 1 to 4");
  check_refused(run_program({"drill", "--level", "two"}), "--level: found two");
  check_refused(run_program({"drill", "--seed", "-1"}), "--seed: found -1, allowed 0 to ");
  check_refused(run_program({"drill", "--seed", "1.5"}), "--seed: found 1.5");
  check_refused(run_program({"drill", "--count", "0"}), "--count: found 0, allowed 1 to 100 drills");
  check_refused(run_program({"drill", "--count", "101"}), "--count: found 101");
  check_refused(run_program({"drill", "--count", "2", "-o", "two.build.toml"}),
                "-o: found --count beside it, allowed one drill at a time");
  check_refused(run_program({"drill", "-o", "drill.toml"}), "-o: found drill.toml, allowed a file name that ends in");
  check_refused(run_program({"phase", "--level", "2"}), "no such option: --level");
  const Scratch scratch;
  const std::string there = scratch.write("there.build.toml", "");
  check_refused(run_program({"drill", "-o", there}), "allowed one that is not there yet");
  CHECK(read_file(there).empty());
  check_refused(run_program({"drill", "-o", scratch / "new.build.toml", "--set", "fitted.elongation_percent=0.2"}),
                "--set: found values for one run");
  check_refused(run_program({"drill", models_path("no-such-engine.toml")}), "there is no such file");
}

TEST_CASE("the example of drill can be run as it stands", "[cli][help]") {
  const Scratch scratch;
  std::filesystem::create_directory_symlink(std::filesystem::path(models_path("")).parent_path(),
                                            scratch.path() / "models");
  const Run run =
      run_program(example_of("drill"), {.environment = {}, .out_file = {}, .directory = scratch.path().string()});
  INFO(run.err);
  CHECK(run.exit_code == 0);
  CHECK(run.out.find("Drill 7, level 2") == 0);
}
