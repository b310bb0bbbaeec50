// What phase to expect before anything is fitted, through the program: phase --spread.
#include "cli/answer.hpp"
#include "cli/scratch.hpp"
#include "support/catch.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <sstream>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

std::vector<std::string> spread_words(std::vector<std::string> more = {}) {
  more.insert(more.begin(), {"phase", "--spread", "--builds", "20000"});
  return more;
}

json part_of(const json& spread, const std::string& cause) {
  for (const json& part : spread["parts"])
    if (part["cause"] == cause) return part;
  FAIL("no such cause: " << cause);
  return {};
}

} // namespace

TEST_CASE("phase --spread: the keys that scripts rely on, and figures that agree", "[cli][spread]") {
  for (const char* model : {"sandling-14.build.toml", "dunlin-3.build.toml", "marram-1850.toml"}) {
    INFO(model);
    const json plain = answer({"phase", models_path(model)});
    CHECK_FALSE(plain.contains("spread"));
    const json all = answer(spread_words({models_path(model), "--seed", "5"}));
    CHECK(all["phase_deg"] == plain["phase_deg"]);
    REQUIRE(all["spread"].size() == plain["camshafts"].size());
    for (std::size_t i = 0; i < all["spread"].size(); ++i) {
      const json& spread = all["spread"][i];
      check_has(spread, {"camshaft", "builds", "seed", "nominal_deg", "mean_deg", "deviation_deg", "percentiles",
                         "parts", "within_1_deg", "histogram"});
      CHECK(spread["camshaft"] == plain["camshafts"][i]["name"]);
      CHECK(spread["builds"] == 20000);
      CHECK(spread["seed"] == 5);
      CHECK(spread["nominal_deg"] == plain["camshafts"][i]["phase_deg"]);
      double before_percent = 0.0, before_deg = -1e9;
      for (const json& percentile : spread["percentiles"]) {
        CHECK(number(percentile["percent"]) > before_percent);
        CHECK(number(percentile["phase_deg"]) > before_deg);
        before_percent = number(percentile["percent"]);
        before_deg = number(percentile["phase_deg"]);
      }
      double squares = 0.0, share = 0.0;
      for (const json& part : spread["parts"]) {
        check_has(part, {"cause", "half_width", "unit", "one_sided", "deviation_deg", "share"});
        squares += std::pow(number(part["deviation_deg"]), 2);
        share += number(part["share"]);
      }
      // The causes hardly act together, and the drawn builds scatter by half a percent.
      CHECK_THAT(std::sqrt(squares), WithinRel(number(spread["deviation_deg"]), 0.02));
      CHECK_THAT(share, WithinAbs(1.0, 1e-3));
      double in_bins = 0.0, mean_deg = 0.0;
      const json& histogram = spread["histogram"];
      for (std::size_t bin = 0; bin < histogram["share"].size(); ++bin) {
        const double in_bin = number(histogram["share"][bin]);
        in_bins += in_bin;
        mean_deg +=
            in_bin * (number(histogram["low_deg"]) + number(histogram["bin_deg"]) * (static_cast<double>(bin) + 0.5));
      }
      CHECK_THAT(in_bins, WithinAbs(1.0, 1e-9));
      CHECK_THAT(mean_deg, WithinAbs(number(spread["mean_deg"]), 0.5 * number(histogram["bin_deg"])));
    }
  }
}

TEST_CASE("phase --spread: the tolerances of the file are those that count", "[cli][spread]") {
  const json keys{
      {"centre_mm", "centre distance"},     {"chain_percent", "chain length"}, {"crank_sprocket_deg", "crank sprocket"},
      {"cam_sprocket_deg", "cam sprocket"}, {"key_deg", "cam key step"},       {"lobe_centre_deg", "lobe centre"},
      {"keyway_mm", "cam keyway"}};
  const std::vector<std::string> cam_key{"--set", "fitted.cam_key_deg=1"};
  const json before = answer(spread_words(cam_key))["spread"][0];
  for (const auto& [key, cause] : keys.items()) {
    INFO(key);
    const double was = number(part_of(before, cause)["half_width"]);
    const std::string twice = std::to_string(2.0 * was * (key == "chain_percent" ? 2.0 : 1.0));
    std::vector<std::string> words = cam_key;
    words.insert(words.end(), {"--set", "tolerance." + key + "=" + twice});
    const json after = answer(spread_words(words))["spread"][0];
    CHECK_THAT(number(part_of(after, cause)["half_width"]), WithinAbs(2.0 * was, 1e-6));
    CHECK_THAT(number(part_of(after, cause)["deviation_deg"]),
               WithinRel(2.0 * number(part_of(before, cause)["deviation_deg"]), 0.01));
    CHECK(number(after["deviation_deg"]) > number(before["deviation_deg"]));
    // None of it, and the cause is gone.
    words.back() = "tolerance." + key + "=0";
    const json without = answer(spread_words(words))["spread"][0];
    for (const json& part : without["parts"]) CHECK(part["cause"] != cause);
  }
}

TEST_CASE("phase --spread: the same bytes from any number of threads", "[cli][spread]") {
  for (const char* form : {"--json", "--threads=1"}) { // the page, the second time
    std::vector<std::string> words{"phase", "--spread", "--builds", "123457", form, "--threads", "1"};
    const Run alone = run_program(words);
    REQUIRE(alone.exit_code == 0);
    for (const char* threads : {"2", "3"}) {
      words.back() = threads;
      CHECK(run_program(words).out == alone.out);
    }
    words.resize(words.size() - 2); // as many as the machine has
    CHECK(run_program(words).out == alone.out);
    words.insert(words.end(), {"--seed", "2"});
    CHECK(run_program(words).out != alone.out);
  }
}

TEST_CASE("phase --spread: the page fits its width and says what the figures say", "[cli][spread]") {
  const std::vector<std::string> set{"--set", "tolerance.lobe_centre_deg=0", "--set", "tolerance.chain_percent=0.4"};
  for (const char* model : {"sandling-14.build.toml", "dunlin-3.build.toml", "marram-1850.toml"}) {
    std::vector<std::string> words{models_path(model)};
    words.insert(words.end(), set.begin(), set.end());
    const Run run = run_program(spread_words(words));
    INFO(run.err << run.out);
    REQUIRE(run.exit_code == 0);
    std::istringstream lines(run.out);
    for (std::string line; std::getline(lines, line);) {
      INFO(line);
      const auto wide = std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; });
      CHECK(wide <= 100);
    }
    const json spread = answer(spread_words(words))["spread"];
    const std::string first = spread[0]["parts"][0]["cause"];
    CHECK(run.out.find("What matters most is the " + first + ",") != std::string::npos);
    CHECK(run.out.find("lobe centre") == std::string::npos);
    CHECK(run.out.find("20,000 builds (seed 1)") != std::string::npos);
    CHECK(run.out.find("0 to +0.4 %") != std::string::npos);
    CHECK(run.out.find("confirm the clearance") != std::string::npos);
    const double near = std::round(100.0 * number(spread[0]["within_1_deg"]));
    CHECK(run.out.find(std::to_string(static_cast<int>(near)) + " in 100 builds stand within 1°") != std::string::npos);
  }
  std::vector<std::string> nothing;
  for (const char* key : {"centre_mm", "chain_percent", "keyway_mm", "crank_sprocket_deg", "cam_sprocket_deg",
                          "key_deg", "lobe_centre_deg"})
    nothing.insert(nothing.end(), {"--set", std::string("tolerance.") + key + "=0"});
  const Run run = run_program(spread_words(nothing));
  CHECK(run.exit_code == 0);
  CHECK(run.out.find("Every tolerance is 0") != std::string::npos);
  const json spread = answer(spread_words(nothing))["spread"][0];
  CHECK(spread["mean_deg"] == spread["nominal_deg"]);
  CHECK(spread["parts"].empty());
}

TEST_CASE("phase --spread: what cannot be drawn is refused in a line", "[cli][spread]") {
  struct Refusal {
    std::vector<std::string> words;
    std::string said;
  };
  const std::vector<Refusal> refusals{
      {{"--spread", "--builds", "999"}, "--builds: found 999, allowed 1000 to 100000000 builds"},
      {{"--spread", "--builds", "100000001"}, "--builds: found 100000001"},
      {{"--spread", "--builds", "1e6"}, "--builds: found 1e6"},
      {{"--spread", "--builds", "-5"}, "--builds: found -5"},
      {{"--spread", "--builds", "99999999999999999999"}, "--builds: found 99999999999999999999"},
      {{"--spread", "--seed", "-1"}, "--seed: found -1, allowed 0 to 2147483647"},
      {{"--spread", "--seed", "1.5"}, "--seed: found 1.5"},
      {{"--spread", "--threads", "0"}, "--threads: found 0, allowed 1 to 256 threads"},
      {{"--spread", "--threads", "257"}, "--threads: found 257"},
      {{"--spread", "--threads", "two"}, "--threads: found two"},
      {{"--builds", "2000"}, "--builds: found no --spread beside it, allowed both"},
      {{"--seed", "2"}, "--seed: found no --spread beside it"},
      {{"--threads", "2"}, "--threads: found no --spread beside it"},
      {{"--spread", "--build", "2000"}, "no such option: --build; did you mean --builds?"},
      {{"--spread", "--set", "tolerance.centre_mm=-1"}, "tolerance.centre_mm: found -1, allowed 0 to 2 mm"},
      {{"--spread", "--set", "tolerance.centre_mm=nan"}, "tolerance.centre_mm"},
      {{"--spread", "--set", "tolerance.centre_mm=1.5"}, "tolerance.centre_mm: found with the centres +1.5 mm"},
  };
  for (const Refusal& refusal : refusals) {
    std::vector<std::string> words{"phase"};
    words.insert(words.end(), refusal.words.begin(), refusal.words.end());
    const Run run = run_program(words);
    INFO(refusal.said << "\n" << run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(refusal.said) != std::string::npos);
  }
  CHECK(run_program({"plan", "--spread"}).exit_code == 2);
  // Only the spread asks whether the drive goes together at the tolerances' ends.
  CHECK(run_program({"phase", "--set", "tolerance.centre_mm=1.5"}).exit_code == 0);
}
