// The degree wheel and the key card, as the program prints them: every figure of the answer stands on the paper.
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"
#include "support/catch.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <regex>
#include <set>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

// What a tool of poppler-utils says of a PDF.
std::string said_of(const std::string& tool, const std::string& file) {
  const std::string command = tool + " '" + file + "' " + (tool == "pdftotext" ? "-" : "");
  std::FILE* const pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  std::string text;
  std::array<char, 4096> bytes{};
  for (std::size_t count = 0; (count = std::fread(bytes.data(), 1, bytes.size(), pipe)) > 0;)
    text.append(bytes.data(), count);
  REQUIRE(::pclose(pipe) == 0);
  return text;
}

// Figures as they are printed, by the number of decimals; fractions must be printed with at least one.
std::set<std::pair<long long, int>> figures_in(const std::string& text) {
  std::set<std::pair<long long, int>> figures;
  const std::regex figure(R"((\d+)(\.(\d+))?)");
  for (std::sregex_iterator at(text.begin(), text.end(), figure); at != std::sregex_iterator(); ++at) {
    const std::string decimals = (*at)[3].str();
    if (decimals.size() <= 6 && (*at)[1].length() <= 9)
      figures.emplace(std::stoll((*at)[1].str() + decimals), static_cast<int>(decimals.size()));
  }
  return figures;
}

bool is_printed(double value, const std::set<std::pair<long long, int>>& figures) {
  const bool whole = value == std::round(value);
  for (int decimals = whole ? 0 : 1; decimals <= 3; ++decimals)
    if (figures.contains({std::llround(std::fabs(value) * std::pow(10.0, decimals)), decimals})) return true;
  return false;
}

void check_figures(const json& value, const std::string& place, const std::set<std::pair<long long, int>>& figures,
                   int& checked) {
  if (value.is_number()) {
    INFO(place << " = " << value.dump());
    CHECK(is_printed(value.get<double>(), figures));
    ++checked;
  }
  if (value.is_structured())
    for (const auto& [key, inner] : value.items()) check_figures(inner, place + "." + key, figures, checked);
}

// Runs it into a PDF; gives its answer, and in `pages` what pdftotext reads on each.
json printed_unsafe(std::vector<std::string> arguments, std::vector<std::string>& pages) {
  const Scratch scratch;
  const std::string file = scratch / "printed.pdf";
  arguments.insert(arguments.end(), {"-o", file});
  const Run page = run_program(arguments);
  INFO(page.err);
  CHECK(page.exit_code == 1);
  CHECK(page.out.find("NOT SAFE: as ") == 0);
  arguments.emplace_back("--json");
  const Run run = run_program(arguments);
  REQUIRE(run.exit_code == 1);
  std::istringstream text(said_of("pdftotext", file)); // a form feed ends each page
  pages.clear();
  for (std::string one; std::getline(text, one, '\f');) pages.push_back(one);
  return json::parse(run.out);
}

// Broken into lines elsewhere than on the page.
std::string on_one_line(const std::string& text) {
  return std::regex_replace(text, std::regex("\\s+"), " ");
}

// Runs it into a PDF; gives its answer after every figure was found on the paper and every font in the file.
json printed(std::vector<std::string> arguments) {
  const Scratch scratch;
  const std::string file = scratch / "printed.pdf";
  arguments.insert(arguments.end(), {"-o", file, "--json"});
  const Run run = run_program(arguments);
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  CHECK(run.err.empty());
  json answer = json::parse(run.out);
  CHECK(answer["files"] == json::array({file}));
  json of_paper = answer;
  of_paper.erase("cautions"); // sentences
  int checked = 0;
  check_figures(of_paper, "", figures_in(said_of("pdftotext", file)), checked);
  CHECK(checked >= 6);
  std::istringstream fonts(said_of("pdffonts", file));
  std::string line;
  std::getline(fonts, line);
  std::getline(fonts, line);
  int count = 0;
  for (; std::getline(fonts, line); ++count) {
    INFO(line);
    CHECK(line.find(" yes yes yes ") != std::string::npos);
  }
  CHECK(count > 0);
  return answer;
}

std::vector<std::string> all_models() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(models_path("")))
    if (entry.path().extension() == ".toml") names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  REQUIRE(names.size() >= 9);
  return names;
}

std::string refused(std::vector<std::string> arguments) {
  const Run run = run_program(arguments);
  CHECK(run.exit_code == 2);
  CHECK(run.out.empty());
  return run.err.substr(0, run.err.find('\n'));
}

} // namespace

TEST_CASE("every figure of a wheel's answer stands on the wheel", "[cli][printed]") {
  const json plain = printed({"wheel"});
  CHECK(plain["diameter_mm"] == 200.0);
  CHECK(plain["crank_turns"] == "clockwise");
  CHECK(plain["figures_run"] == "anticlockwise");
  CHECK(plain["pages"] == 1);
  CHECK(plain["tiles"].is_null());
  const json large = printed({"wheel", "--diameter", "300", "--bore", "40.5", "--events", "--paper", "letter"});
  CHECK(large["paper"] == "letter");
  CHECK(large["tiles"]["across"].get<int>() * large["tiles"]["down"].get<int>() + 1 == large["pages"].get<int>());
  CHECK(large["tiles"]["names"].size() + 1 == large["pages"].get<std::size_t>());
  // The card's own figures, out of the engine file: lobe centres 106 ATDC and 110 BTDC.
  REQUIRE(large["events"].size() == 6);
  CHECK(large["events"][2]["words"] == "106.0° ATDC");
  CHECK(large["events"][5]["words"] == "110.0° BTDC");
  const json port = printed({"wheel", models_path("marram-1020.toml"), "--events"});
  CHECK(port["crank_turns"] == "anticlockwise");
  CHECK(port["figures_run"] == "clockwise");
}

TEST_CASE("a wheel's events are those that events says", "[cli][printed]") {
  const json events = json::parse(run_program({"events", "--json"}).out)["camshafts"][0];
  const json wheel = printed({"wheel", "--events", "--as", "fitted"});
  const auto find = [&](const char* valve, const char* event) {
    for (const json& one : wheel["events"])
      if (one["valve"] == valve && one["event"] == event) return one["crank_deg"].get<double>();
    FAIL("no such event");
    return 0.0;
  };
  for (const char* valve : {"inlet", "exhaust"}) {
    CHECK_THAT(find(valve, "opens"), WithinAbs(events[valve]["at_check"]["opens_deg"].get<double>(), 1e-9));
    CHECK_THAT(find(valve, "closes"), WithinAbs(events[valve]["at_check"]["closes_deg"].get<double>(), 1e-9));
    CHECK_THAT(find(valve, "centre"), WithinAbs(events[valve]["centre_crank_deg"].get<double>(), 1e-9));
  }
}

TEST_CASE("every figure of a key card's answer stands on the card", "[cli][printed]") {
  const json card = printed({"keycard", "--plan", "3"});
  const json plan = json::parse(run_program({"plan", "--json"}).out)["options"][2];
  REQUIRE(card["keys"].size() == 2);
  CHECK(card["pages"] == 1);
  CHECK(card["keys"][0]["deg"] == plan["crank_key_deg"]);
  CHECK(card["keys"][1]["deg"] == plan["cam_key_deg"]);
  CHECK(card["keys"][0]["scale"] == 10.0);
  // The steps are those that key says.
  for (const json& key : card["keys"]) {
    const json said = json::parse(run_program({"key", "--at", key["at"].get<std::string>(), "--deg",
                                               std::to_string(key["deg"].get<double>()), "--json"})
                                      .out);
    CHECK_THAT(key["step_mm"].get<double>(), WithinAbs(std::fabs(said["step_mm"].get<double>()), 1e-9));
    CHECK(said["to_advance"].get<std::string>().find(key["words"].get<std::string>()) != std::string::npos);
  }
  const json straight = printed({"keycard", "--at", "crank"});
  REQUIRE(straight["keys"].size() == 1);
  CHECK(straight["keys"][0]["straight"] == true);
  CHECK_FALSE(straight["keys"][0].contains("step_mm"));
  const json twin =
      printed({"keycard", models_path("dunlin-3.build.toml"), "--camshaft", "inlet", "--paper", "letter"});
  REQUIRE(twin["keys"].size() == 1);
  CHECK(twin["keys"][0]["shaft"] == "inlet");
}

TEST_CASE("wheel and key card of every model, in every kind of file, the same twice", "[cli][printed]") {
  const Scratch scratch;
  for (const std::string& model : all_models())
    for (const char* ending : {".pdf", ".svg", ".png"})
      for (const bool wheel : {true, false}) {
        INFO(model << ending << (wheel ? " wheel" : " key card"));
        std::array<std::vector<std::string>, 2> bytes;
        for (const std::size_t again : {0U, 1U}) {
          const std::string file = scratch / (std::string(again == 0 ? "a" : "b") + ending);
          std::vector<std::string> arguments{wheel ? "wheel" : "keycard", models_path(model), "-o", file, "--json"};
          if (wheel) arguments.emplace_back("--events");
          if (std::string(ending) == ".png") arguments.insert(arguments.end(), {"--dpi", "150"});
          const Run run = run_program(arguments);
          INFO(run.err);
          const json answer = json::parse(run.out);
          REQUIRE(run.exit_code == (answer["safe"] == false ? 1 : 0));
          for (const json& name : answer["files"]) bytes[again].push_back(read_file(name.get<std::string>()));
        }
        REQUIRE_FALSE(bytes[0].empty());
        CHECK(bytes[0].front().size() > 10000);
        const bool same = bytes[0] == bytes[1];
        CHECK(same);
      }
}

TEST_CASE("the examples of the help of wheel and keycard can be run as they stand", "[cli][printed][help]") {
  const Scratch scratch;
  std::filesystem::create_directory_symlink(std::filesystem::path(models_path("")).parent_path(),
                                            scratch.path() / "models");
  for (const std::string command : {"wheel", "keycard"}) {
    INFO(command);
    const Run run =
        run_program(example_of(command), {.environment = {}, .out_file = {}, .directory = scratch.path().string()});
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK(std::filesystem::exists(scratch.path() / (command + ".pdf")));
  }
}

TEST_CASE("what cannot be printed is refused, and says what can", "[cli][printed]") {
  const Scratch scratch;
  const std::string file = scratch / "never.pdf";
  const auto wheel = [&](std::vector<std::string> more) {
    more.insert(more.begin(), {"wheel", "-o", file});
    return refused(std::move(more));
  };
  CHECK(wheel({"--diameter", "20"}) == "phasewright: --diameter: found 20, allowed 80 to 500 mm");
  CHECK(wheel({"--diameter", "501"}) == "phasewright: --diameter: found 501, allowed 80 to 500 mm");
  CHECK(wheel({"--diameter", "nan"}) == "phasewright: --diameter: found nan, allowed 80 to 500 mm");
  CHECK(wheel({"--bore", "1"}) == "phasewright: --bore: found 1, allowed 2 to 500 mm");
  CHECK(wheel({"--bore", "180"}) == "--bore: found 180, allowed 2 to 152.8 mm in a wheel of 200 mm");
  CHECK(wheel({"--bore", "150", "--events"}).find("--bore: found 150, allowed 2 to ") == 0);
  CHECK(wheel({"--diameter", "80", "--reads", "both", "--events"}).find("--diameter: found 80; a wheel so small") == 0);
  CHECK(wheel({"--paper", "a3"}) == "phasewright: --paper: found a3, allowed a4 or letter");
  CHECK(wheel({"--reads", "up"}) == "phasewright: --reads: found up, allowed clockwise, anticlockwise or both");
  CHECK(wheel({"--reads", "anticlockwise", "--events"}) ==
        "--reads: found anticlockwise, allowed clockwise or both with --events, as the engine runs");
  CHECK(wheel({"--as", "fitted"}) == "phasewright: --as: found no --events beside it, allowed both");
  CHECK(wheel({"--plan", "0", "--events"}) ==
        "phasewright: --plan: found 0, allowed the number of a plan's option: 1 or more");
  CHECK(wheel({"--plan", "1", "--as", "fitted", "--events"}) ==
        "phasewright: --plan: found --as beside it, allowed one of the two");
  CHECK(wheel({"--plan", "100000", "--events"}) == "--plan: found 100000, allowed 1 to 189");
  CHECK(wheel({"--dpi", "300"}) == "phasewright: --dpi: found 300, allowed a .png beside it");
  CHECK(refused({"wheel"}) == "phasewright: -o: say where it goes: -o wheel.pdf");
  CHECK(refused({"wheel", "-o", "a.jpg"}) ==
        "phasewright: -o: found a.jpg, allowed a file name that ends in .pdf, .svg or .png");
  CHECK(refused({"keycard", "-o", file, "--at", "tail"}) == "phasewright: --at: found tail, allowed crank or cam");
  CHECK(refused({"keycard", "-o", file, "--camshaft", "jack"}) ==
        "--camshaft: found jack, allowed a camshaft of the engine");
  CHECK(refused({"keycard", "-o", file, "--plan", "100000"}) == "--plan: found 100000, allowed 1 to 189");
  CHECK(refused({"wheel", "-o", scratch / "no/such/wheel.pdf"}).find("no/such/wheel.pdf: ") != std::string::npos);
  CHECK(scratch.files() == 0);
}

TEST_CASE("a card or a wheel of what is not safe says so first, on every page, and ends with 1", "[cli][printed]") {
  const json options = json::parse(run_program({"plan", "--json"}).out)["options"];
  const auto unsafe = std::find_if(options.begin(), options.end(),
                                   [](const json& one) { return one["safe"] == false && one["lay"] != 0; });
  REQUIRE(unsafe != options.end());
  const std::string number = std::to_string(unsafe - options.begin() + 1);
  const std::string planned = "as planned, option " + number + " (" + (*unsafe)["words"].get<std::string>() + ")";
  CHECK(planned.find("(chain 1 tooth ") != std::string::npos);
  const std::vector<std::pair<std::vector<std::string>, std::string>> asked{
      {{"keycard", "--plan", number}, planned},
      {{"wheel", "--events", "--plan", number}, planned},
      {{"wheel", "--events", "--plan", number, "--diameter", "300"}, planned},
      {{"keycard", "--set", "fitted.lay=2"}, "as fitted"},
      {{"wheel", "--events", "--as", "fitted", "--set", "fitted.lay=2"}, "as fitted"}};
  for (const auto& [arguments, of] : asked) {
    INFO(arguments.front() << " " << of);
    std::vector<std::string> pages;
    const json answer = printed_unsafe(arguments, pages);
    CHECK(answer["safe"] == false);
    CHECK(answer["verdict"].get<std::string>().find("NOT SAFE: " + of + ": the ") == 0);
    CHECK(answer["option"].is_null() == (of == "as fitted"));
    REQUIRE(pages.size() == answer["pages"].get<std::size_t>());
    for (const std::string& page : pages) {
      INFO(page);
      CHECK(on_one_line(page).find(answer["verdict"].get<std::string>()) == 0);
    }
  }
}

TEST_CASE("card and wheel count a plan's options as plan does that lays the chain as far", "[cli][printed]") {
  const json near = json::parse(run_program({"plan", "--json"}).out)["options"];
  const json far = json::parse(run_program({"plan", "--lay", "2", "--json"}).out)["options"];
  REQUIRE(far.size() > near.size());
  const auto laid =
      std::find_if(far.begin(), far.end(), [](const json& one) { return one["lay"] == 2 || one["lay"] == -2; });
  REQUIRE(laid != far.end());
  const std::string number = std::to_string(laid - far.begin() + 1);
  const bool safe = (*laid)["safe"] == true;
  for (std::vector<std::string> arguments : {std::vector<std::string>{"keycard"}, {"wheel", "--events"}}) {
    arguments.insert(arguments.end(), {"--plan", number, "--lay", "2"});
    std::vector<std::string> pages;
    const json answer = safe ? printed(arguments) : printed_unsafe(arguments, pages);
    CHECK(answer["words"] == (*laid)["words"]);
    CHECK(answer["words"].get<std::string>().find("chain 2 teeth ") == 0);
  }
  const std::string file = Scratch() / "never.pdf";
  CHECK(refused({"keycard", "-o", file, "--plan", "1", "--lay", "11"}) ==
        "phasewright: --lay: found 11, allowed 0 to 10 teeth");
  for (const char* command : {"keycard", "wheel"})
    CHECK(refused({command, "-o", file, "--lay", "2"}) ==
          "phasewright: --lay: found no --plan beside it, allowed both");
}

TEST_CASE("what is safe, and what nobody fits, is printed without a warning", "[cli][printed]") {
  const json card = printed({"keycard", "--plan", "1"});
  CHECK(card["safe"] == true);
  CHECK(card["option"] == 1);
  CHECK(card["words"] == "cam key 2°, shaft half leading");
  CHECK(card["of"] == "as planned, option 1 (cam key 2°, shaft half leading)");
  // The maker's events stay what they are whatever is fitted.
  const json wheel = printed({"wheel", "--events", "--set", "fitted.lay=2"});
  CHECK(wheel["safe"].is_null());
  CHECK(wheel["events_of"] == "by the maker's card");
  CHECK_FALSE(printed({"wheel"}).contains("safe"));
}

TEST_CASE("what is safe only in doubt says so on the card, and ends with 0", "[cli][printed]") {
  const Scratch scratch;
  const std::string card = scratch / "card.pdf";
  const std::string model = models_path("marram-1850.toml");
  REQUIRE(run_program({"clearance", model}).out.find("too near to tell") != std::string::npos);
  const Run run = run_program({"keycard", model, "-o", card, "--json"});
  REQUIRE(run.exit_code == 0);
  const json answer = json::parse(run.out);
  CHECK(answer["safe"] == true);
  const std::string verdict = answer["verdict"];
  CHECK(verdict.find("too near to tell") != std::string::npos);
  CHECK(on_one_line(said_of("pdftotext", card)).find(verdict) != std::string::npos);
  CHECK(on_one_line(run_program({"keycard", model, "-o", card}).out).find(verdict) != std::string::npos);
}

TEST_CASE("every figure of the sheet's answer stands on the sheet", "[cli][printed]") {
  const json sheet = printed({"sheet"});
  CHECK(sheet["pages"] == 3);
  CHECK(sheet["safe"] == true);
  CHECK(sheet["parts"]["correction"]["tables"]["options"]["rows"]["option_1"][1]["words"] ==
        "cam key 2°, shaft half leading");
  const json plan = json::parse(run_program({"plan", "--json"}).out);
  const json& option = sheet["parts"]["correction"]["tables"]["options"]["rows"]["option_1"];
  CHECK(std::fabs(option[2]["figure"].get<double>() - plan["options"][0]["phase_deg"].get<double>()) <= 0.00501);
  const json record = printed({"sheet", "--record", "--units", "thou", "--paper", "letter"});
  CHECK(record["paper"] == "letter");
  CHECK(record["units"] == "thou");
  CHECK(record["parts"]["correction"]["title"] == "What is fitted");
  // Limits of 2.0 and 2.5 mm are 78.74 and 98.43 thou (25.4 mm to the inch), and never read as less.
  const json& gaps = record["parts"]["clearances"]["tables"]["gaps"]["rows"];
  CHECK(gaps["inlet_axial"].dump().find("\"78.8\"") != std::string::npos);
  CHECK(gaps["exhaust_axial"].dump().find("\"98.5\"") != std::string::npos);
  for (const std::string& name : all_models()) {
    INFO(name);
    const Run run = run_program({"sheet", models_path(name), "-o", "/dev/null/none.pdf"});
    CHECK(run.exit_code == 2); // worked out, and no such place
    CHECK(run.err.find("none.pdf: cannot be written") != std::string::npos);
  }
}

TEST_CASE("a sheet of what is not safe is printed, and ends with 1", "[cli][printed]") {
  const Scratch scratch;
  const std::string file = scratch / "sheet.html";
  const Run run = run_program({"sheet", "--record", "--set", "fitted.lay=3", "--set", "measured={}", "-o", file});
  CHECK(run.exit_code == 1);
  CHECK(run.out.find("NOT SAFE") == 0);
  CHECK(read_file(file).find("NOT SAFE") != std::string::npos);
}

TEST_CASE("what the sheet cannot do is refused", "[cli][printed]") {
  const Scratch scratch;
  const std::string file = scratch / "never.pdf";
  CHECK(refused({"sheet"}) == "phasewright: -o: say where it goes: -o sheet.pdf");
  CHECK(refused({"sheet", "-o", scratch / "a.txt"}) ==
        fmt::format("phasewright: -o: found {}, allowed a file name that ends in .pdf, .svg, .png or .html",
                    scratch / "a.txt"));
  CHECK(refused({"sheet", "-o", file, "--plan", "0"}) ==
        "phasewright: --plan: found 0, allowed the number of a plan's option: 1 or more");
  CHECK(refused({"sheet", "-o", file, "--plan", "5000"}) == "--plan: found 5000, allowed 1 to 189");
  CHECK(refused({"sheet", "-o", file, "--plan", "1", "--record"}) ==
        "phasewright: --record: found --plan beside it, allowed one of the two");
  CHECK(refused({"sheet", "-o", file, "--lay", "2", "--record"}) ==
        "phasewright: --lay: found --record beside it, allowed one of the two");
  CHECK(refused({"sheet", "-o", file, "--lay", "2", "--plan", "5000"}).find("--plan: found 5000, allowed 1 to ") == 0);
  CHECK(refused({"sheet", "-o", file, "--units", "inch"}) == "phasewright: --units: found inch, allowed mm or thou");
  CHECK(refused({"sheet", "-o", scratch / "a.html", "--paper", "a4"}) ==
        "phasewright: --paper: found a web page, allowed only what is printed has one");
  CHECK(scratch.files() == 0);
}
