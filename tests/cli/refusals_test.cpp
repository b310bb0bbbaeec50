// What cannot be used: exit code 2, the reason on standard error, nothing on standard output.
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace phasewright::testing;

namespace {

struct Refusal {
  std::vector<std::string> arguments;
  std::string said; // somewhere in what standard error says
};

void check_refused(const Refusal& refusal) {
  std::string line;
  for (const std::string& word : refusal.arguments) line += " '" + word + "'";
  INFO("phasewright" << line);
  const Run run = run_program(refusal.arguments);
  INFO(run.err);
  CHECK(run.exit_code == 2);
  CHECK(run.out.empty());
  CHECK(run.err.find(refusal.said) != std::string::npos);
  REQUIRE_FALSE(run.err.empty());
  CHECK(run.err.back() == '\n');
  CHECK(std::count(run.err.begin(), run.err.end(), '\n') <= 2);
}

} // namespace

TEST_CASE("nonsense on the command line is refused in a line, with a hint", "[cli][refusals]") {
  const std::vector<Refusal> refusals{
      {{"plam"}, "no such command: \"plam\"; did you mean plan?\ntry: phasewright --help"},
      {{"clearence"}, "did you mean clearance?"},
      {{"xyzzy"}, "no such command: \"xyzzy\"\n"},
      {{""}, "no such command: \"\""},
      {{"PHASE"}, "no such command: \"PHASE\""},
      {{"phase", "--jsn"}, "no such option: --jsn; did you mean --json?\ntry: phasewright phase --help"},
      {{"phase", "--json=maybe"}, "--json"},
      {{"phase", "-x"}, "no such option: -x"},
      {{"phase", "--crank", "3"}, "no such option: --crank"},
      {{"phase", ""}, "an empty word"},
      {{"phase", "a.toml", "b.toml"}, "one FILE at a time: \"b.toml\" is a second"},
      {{"phase", "--", "--json"}, "--json: there is no such file"},
      {{"pose", "--crank"}, "--crank"},
      {{"pose", "--crank", "abc"}, "--crank: found abc, allowed -1000000 to 1000000 crank degrees"},
      {{"pose", "--crank", "nan"}, "--crank: found nan"},
      {{"pose", "--crank", "-inf"}, "--crank: found -inf"},
      {{"pose", "--crank", "1e999"}, "--crank: found 1e999"},
      {{"pose", "--crank", "1e300"}, "--crank: found 1e300, allowed -1000000 to 1000000 crank degrees"},
      {{"pose", "--crank", "-1000001"}, "--crank: found -1000001"},
      {{"pose", "--crank", "1,5"}, "--crank: found 1,5"},
      {{"pose", "--crank", "0x10"}, "--crank: found 0x10"},
      {{"pose", "--crank", "12deg"}, "--crank: found 12deg"},
      {{"pose", "--crank", ""}, "an empty word"},
      {{"pose", "--crank="}, "--crank"},
      {{"pose", "--crank", "--json"}, "--crank: found --json"},
      {{"plan", "--lay", "-1"}, "--lay: found -1, allowed 0 to 10 teeth"},
      {{"plan", "--lay", "11"}, "--lay: found 11"},
      {{"plan", "--lay", "1.5"}, "--lay: found 1.5"},
      {{"plan", "--top", "0"}, "--top: found 0, allowed 1 to 1000 rows"},
      {{"plan", "--top", "1001"}, "--top: found 1001"},
      {{"plan", "--top", "99999999999999"}, "--top"},
      {{"phase", "--set"}, "--set"},
      {{"pose", "--turned", "back"}, "--turned: found back, allowed forward or backward\ntry: phasewright pose --help"},
      {{"pose", "--turned"}, "--turned"},
      {{"phase", "--turned", "backward"}, "no such option: --turned"},
      {{"chain", "--loop", "0"}, "--loop: found 0, allowed 1 to 4 chains\ntry: phasewright chain --help"},
      {{"chain", "--loop", "5"}, "--loop: found 5"},
      {{"chain", "--loop", "1.0"}, "--loop: found 1.0"},
      {{"chain", "--band", "0"}, "--band: found 0, allowed 0.01 to 30 crank degrees"},
      {{"chain", "--band", "31"}, "--band: found 31"},
      {{"chain", "--band", "nan"}, "--band: found nan"},
      {{"chain", "--count", "-1"}, "--count: found -1, allowed 0 to 1000 pins"},
      {{"chain", "--count", "1001"}, "--count: found 1001"},
      {{"chain", "--count", "15.5"}, "--count: found 15.5"},
      {{"chain", "--links", "7"}, "--links: found 7, allowed 8 to 1000 links"},
      {{"chain", "--links", "1001"}, "--links: found 1001"},
      {{"chain", "--centre-change", "5.1"}, "--centre-change: found 5.1, allowed -5 to 5 mm"},
      {{"chain", "--centre-change", "0,2"}, "--centre-change: found 0,2"},
      {{"chain", "--block-growth", "-1e-6"}, "--block-growth: found -1e-6, allowed 0 to 0.0001 per K"},
      {{"chain", "--chain-growth", "0.012"}, "--chain-growth: found 0.012"},
      {{"chain", "--rise", "301"}, "--rise: found 301, allowed -100 to 300 K"},
      {{"chain", "--rise", "60"}, "--block-growth: --block-growth, --chain-growth and --rise come together"},
      {{"chain", "--block-growth", "11e-6", "--rise", "60"}, "--chain-growth: --block-growth"},
      {{"chain", "--block-growth", "11e-6", "--chain-growth", "12e-6"}, "--rise: --block-growth"},
      {{"chain", "--camshaft", "cam"}, "--camshaft: found no --count beside it, allowed both"},
      {{"chain", "--crank", "3"}, "no such option: --crank"},
  };
  for (const Refusal& refusal : refusals) check_refused(refusal);
}

TEST_CASE("events of what the engine has not got are refused", "[cli][refusals]") {
  const std::vector<Refusal> refusals{
      {{"events", "--cylinder", "5"}, "--cylinder: found 5, allowed 1 to 4, or all"},
      {{"events", "--cylinder", "0"}, "--cylinder: found 0, allowed the number of a cylinder, or all"},
      {{"events", "--cylinder", "every"}, "--cylinder: found every"},
      {{"events", "--lift", "41"}, "--lift: found 41, allowed 0 to 40 mm"},
      {{"events", "--lift", "nan"}, "--lift: found nan"},
      {{"events", "--lift", "1", "--at", "rocker"}, "--at: found rocker, allowed tappet or valve"},
      {{"events", "--at", "valve"}, "--at: found no --lift beside it, allowed both"},
      {{"events", "--altitude", "5001"}, "--altitude: found 5001, allowed -400 to 5000 m"},
      {{"events", "--exponent", "1.5"}, "--exponent: found 1.5, allowed 1 to 1.4\n"},
      {{"clearance", "--lift", "1"}, "no such option: --lift"},
      {{"events", "--curve"}, "no such option: --curve"},
  };
  for (const Refusal& refusal : refusals) check_refused(refusal);
}

TEST_CASE("what a chain has not got is refused, and no file is blamed for it", "[cli][refusals]") {
  const std::string twin = models_path("marram-2050.toml");
  const std::string two_stages = models_path("marram-1850.toml");
  const std::vector<Refusal> refusals{
      {{"chain", "--loop", "2"}, "--loop: found 2, allowed 1: the engine has one chain\n"},
      {{"chain", two_stages, "--loop", "3"}, "--loop: found 3, allowed 1 to 2\n"},
      {{"chain", "--links", "20"}, "--links: found 20, allowed "},
      {{"chain", twin, "--links", "160"}, "--links: found 3 sprockets in this chain, allowed 2"},
      {{"chain", "--count", "3", "--camshaft", "kam"}, "--camshaft: found kam, allowed cam\n"},
      {{"chain", twin, "--count", "85"}, "--camshaft: found none, allowed inlet, exhaust; say which mark"},
      {{"chain", twin, "--count", "700", "--camshaft", "inlet"}, "--count: found 700 pins"},
      {{"chain", two_stages, "--count", "20"}, "--count: found 20 pins, allowed a camshaft on the crank's chain"},
      {{"chain", two_stages, "--loop", "2", "--count", "20"}, "--count: found 20 pins"},
  };
  for (const Refusal& refusal : refusals) {
    check_refused(refusal);
    CHECK(run_program(refusal.arguments).err.rfind("--", 0) == 0);
  }
  check_refused({{"chain", "--set", "chain.links=50"}, "chain.links"});
}

TEST_CASE("overrides that fit nothing are refused", "[cli][refusals]") {
  const std::vector<Refusal> refusals{
      {{"phase", "--set", "nonsense"}, "--set: nonsense: write KEY=VALUE, such as fitted.lay=1"},
      {{"phase", "--set", "=1"}, "write KEY=VALUE"},
      {{"phase", "--set", "fitted.lay"}, "write KEY=VALUE"},
      {{"phase", "--set", "fitted.lay=11"}, "--set: fitted.lay: found 11, allowed a whole number -10 to 10"},
      {{"phase", "--set", "fitted.lay=one"}, "fitted.lay: found \"one\""},
      {{"phase", "--set", "fitted.ley=1"}, "did you mean lay?"},
      {{"phase", "--set", "block.bore_mm=nan"}, "block.bore_mm: found nan, allowed 20 to 500 mm"},
      {{"phase", "--set", "sprocket.cam.teeth=39"}, "sprocket[2].teeth: found 39, allowed 38"},
      {{"phase", "--set", "chain.links=60"}, "chain.links"},
      {{"clearance", "--set", "valve.inlet.inclination_deg=61"}, "valve.inlet.inclination_deg: found 61, allowed -60"},
      {{"events", "--set", "camshaft.cam.check_lift_mm=4.9", "--set",
        "camshaft.cam.inlet.lobe={kind=\"polynomial-4567\",lift_mm=4,duration_deg=300}"},
       "check_lift_mm"},
  };
  for (const Refusal& refusal : refusals) check_refused(refusal);
}

TEST_CASE("files that are none are refused", "[cli][refusals]") {
  const Scratch scratch;
  const std::string folder = scratch.path().string();
  check_refused({{"phase", folder + "/none.toml"}, "there is no such file"});
  check_refused({{"phase", folder}, "found a folder, allowed a file"});
  check_refused({{"phase", "/dev/null"}, "/dev/null"});
  check_refused({{"phase", scratch.write("empty.toml", "")}, "empty.toml"});
  check_refused({{"phase", scratch.write("words.toml", "a b c\n")}, "words.toml:1:"});
  check_refused({{"phase", scratch.write("other.toml", "format = \"something/1\"\n")}, "phasewright-engine/1"});
  check_refused({{"phase", scratch.write("bytes.toml", std::string("\0\xff\xfe", 3))}, "bytes.toml"});
}

TEST_CASE("a fault is blamed on its line and column, all faults at once", "[cli][refusals]") {
  const Scratch scratch;
  std::string text = read_file(models_path("sandling-14.build.toml"));
  const auto replace = [&text](const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    text.replace(at, from.size(), to);
  };
  replace("lay = 0 ", "lay = 99");
  replace("wheel_deg = 0.5", "wheel_deg = -1");
  const std::string file = scratch.write("two.build.toml", text);
  const Run run = run_program({"plan", file, "--json"});
  INFO(run.err);
  CHECK(run.exit_code == 2);
  CHECK(run.out.empty());
  CHECK(run.err.find("two.build.toml:8:7: fitted.lay: found 99, allowed a whole number -10 to 10") !=
        std::string::npos);
  CHECK(run.err.find("instruments.wheel_deg: found -1") != std::string::npos);
  CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 2);
  CHECK(run_program({"plan", file, "--set", "fitted.lay=0", "--set", "instruments.wheel_deg=0.5"}).exit_code == 0);
}

TEST_CASE("a mechanical impossibility is blamed on the file's line", "[cli][refusals]") {
  const Scratch scratch;
  for (const char* name : {"marram-1420.toml", "marram-inlet.csv", "marram-exhaust.csv"})
    std::filesystem::copy_file(models_path(name), scratch.path() / name);
  std::string text = read_file(models_path("marram-1420.toml"));
  const std::size_t at = text.find("links = 52");
  REQUIRE(at != std::string::npos);
  text.replace(at, 10, "links = 50");
  const auto line = std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n') + 1;
  const Run run = run_program({"events", scratch.write("marram-1420.toml", text)});
  INFO(run.err);
  CHECK(run.exit_code == 2);
  CHECK(run.err.find("marram-1420.toml:" + std::to_string(line) + ":") != std::string::npos);
  CHECK(run.err.find("chain.links") != std::string::npos);
  CHECK(run.err.find("too short") != std::string::npos);
}

TEST_CASE("an answer that cannot be written is no answer", "[cli][refusals]") {
  for (const char* command : {"phase", "plan", "--help", "--version"}) {
    INFO(command);
    for (const char* out : {"/dev/full", "-"}) {
      const Run run = run_program({command}, {.environment = {}, .out_file = out, .directory = {}});
      CHECK(run.exit_code == 2);
      CHECK(run.err.find("the answer could not be written") != std::string::npos);
    }
  }
}

TEST_CASE("help and version are answers", "[cli][help]") {
  const Run version = run_program({"--version"});
  CHECK(version.exit_code == 0);
  CHECK(version.out.rfind("phasewright ", 0) == 0);
  const Run general = run_program({"--help"});
  CHECK(general.exit_code == 0);
  CHECK(general.out == run_program({"-h"}).out);
  std::vector<std::string> names{"pose", "phase", "chain", "events", "clearance", "plan", "export"};
  for (const char* drawing : {"wheel", "keycard", "picture", "view"})
    if (general.out.find(std::string("\n  ") + drawing + " ") != std::string::npos) names.emplace_back(drawing);
  for (const std::string& name : names) {
    INFO(name);
    CHECK(general.out.find("\n  " + name + " ") != std::string::npos);
    const Run help = run_program({name, "--help"});
    CHECK(help.exit_code == 0);
    CHECK(help.err.empty());
    CHECK(help.out.find("Example:\n  phasewright " + name) != std::string::npos);
    CHECK(help.out.find("--set KEY=VALUE") != std::string::npos);
  }
}

TEST_CASE("the examples of the help can be run as they stand", "[cli][help]") {
  const Scratch scratch;
  std::filesystem::create_directory_symlink(std::filesystem::path(models_path("")).parent_path(),
                                            scratch.path() / "models");
  for (const char* command : {"pose", "phase", "chain", "events", "clearance", "plan", "export"}) {
    const Run run =
        run_program(example_of(command), {.environment = {}, .out_file = {}, .directory = scratch.path().string()});
    INFO(command);
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK_FALSE(run.out.empty());
  }
}

// Where the machine has no German locale this only shows that naming one does no harm.
TEST_CASE("the answer is the same in every locale", "[cli][locale]") {
  for (const char* command : {"phase", "events", "pose", "chain"}) {
    const std::vector<std::string> arguments{command, "--json", "--set", "fitted.cam_key_deg=1.5"};
    const Run plain = run_program(arguments, {.environment = {"LC_ALL=C"}, .out_file = {}, .directory = {}});
    const Run german = run_program(
        arguments, {.environment = {"LC_ALL=de_DE.UTF-8", "LANG=de_DE.UTF-8"}, .out_file = {}, .directory = {}});
    CHECK(plain.exit_code == 0);
    CHECK_FALSE(plain.out.empty());
    CHECK(german.out == plain.out);
  }
}

TEST_CASE("the program runs in any folder", "[cli]") {
  const Run elsewhere = run_program({"phase"}, {.environment = {}, .out_file = {}, .directory = "/"});
  CHECK(elsewhere.exit_code == 0);
  CHECK(elsewhere.out == run_program({"phase"}).out);
}
