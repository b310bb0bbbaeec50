// From readings to a correction and back: degree, plan, fit, readings written into the file as text, degree --against,
// keep. All figures that can be are worked out here by hand.
#include "cli/answer.hpp"
#include "cli/program.hpp"
#include "cli/scratch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iomanip>
#include <sstream>

using namespace phasewright::testing;
using Catch::Matchers::WithinAbs;
using nlohmann::json;

namespace {

// With the camshaft elsewhere the links lie otherwise on the teeth.
constexpr double chordal_deg = 0.01;

// The demo in a folder of its own, which can be changed.
std::string own_copy(const Scratch& scratch) {
  for (const char* name : {"marram-1420.toml", "marram-inlet.csv", "marram-exhaust.csv"})
    CHECK_FALSE(scratch.write(name, read_file(models_path(name))).empty());
  return scratch.write("own.build.toml", read_file(models_path("sandling-14.build.toml")));
}

// As a builder writes them down: the demo's own lobe readings, the wheel's zero taken off, so many crank degrees
// earlier.
std::string readings(double earlier_deg) {
  const auto pair = [earlier_deg](const char* valve, double lift_mm, double opens_deg, double closes_deg) {
    return fmt::format("  {{ valve = \"{}\", cylinder = 1, lift_mm = {}, opens_deg = {}, closes_deg = {} }},\n", valve,
                       lift_mm, opens_deg - 1.0 - earlier_deg, closes_deg - 1.0 - earlier_deg);
  };
  return "stop_deg = [[-45.0, 45.0]]\nlobe = [\n" + pair("inlet", 5.0, 51.5, 166.5) + pair("inlet", 3.0, 24.0, 194.5) +
         pair("exhaust", 5.0, 558.0, 668.0) + pair("exhaust", 3.0, 529.5, 696.5) + "]\n";
}

// The file with these readings in place of the lists that were cleared.
std::string with_readings(std::string text, const std::string& measured) {
  for (const char* cleared : {"stop_deg = []", "lobe = []"}) {
    const std::size_t at = text.find(cleared);
    REQUIRE(at != std::string::npos);
    text.erase(at, text.find('\n', at) - at);
  }
  const std::string table = "[measured]\n";
  const std::size_t at = text.find(table);
  REQUIRE(at != std::string::npos);
  return text.insert(at + table.size(), measured);
}

// The demo with its plan's best fitted in a new file, whose name is returned: four crank degrees more.
std::string fitted_copy(const Scratch& scratch) {
  const std::string file = scratch / "fitted.build.toml";
  CHECK(answer({"fit", own_copy(scratch), "--option", "1", "-o", file})["saved"] == file);
  return file;
}

} // namespace

TEST_CASE("journey: from readings to a correction and the proof of it", "[cli][journey]") {
  const Scratch scratch;
  const std::string own = own_copy(scratch);
  const std::string before = read_file(own);
  const std::string file = scratch / "fitted.build.toml";

  // The wheel: what both stops have in the middle, taken off. Lobes: the middles of opens and closes.
  const json read = answer({"degree", own});
  const double correction_deg = -((-47.5 + 49.0) / 2.0 + (-47.0 + 49.5) / 2.0) / 2.0;
  CHECK_THAT(number(read["tdc_correction_deg"]), WithinAbs(correction_deg, 1e-9));
  CHECK_THAT(number(read["stops"][0]["correction_deg"]), WithinAbs(-0.75, 1e-9));
  CHECK_THAT(number(read["stops"][1]["left_deg"]), WithinAbs(-0.25, 1e-9));
  const json& pairs = read["lobes"][0]["pairs"];
  CHECK_THAT(number(pairs[0]["middle_deg"]), WithinAbs((51.5 + 166.5) / 2.0 + correction_deg, 1e-9));
  CHECK_THAT(number(pairs[1]["middle_deg"]), WithinAbs((24.0 + 194.5) / 2.0 + correction_deg, 1e-9));
  CHECK_THAT(number(pairs[0]["duration_deg"]), WithinAbs(166.5 - 51.5, 1e-9));
  const double centre_deg = number(read["lobes"][0]["centre_deg"]); // between the two, by what each is known to
  CHECK(centre_deg > 108.0);
  CHECK(centre_deg < 108.25);

  // The plan asks for 104; a cam key of 2 degrees is 4 crank degrees.
  const json best = answer({"plan", own})["options"][0];
  CHECK(number(best["cam_key_deg"]) == 2.0);
  const json fit = answer({"fit", own, "--option", "1", "-o", file});
  CHECK(read_file(own) == before);
  CHECK(fit["words"] == best["words"]);
  CHECK_THAT(number(fit["phase_deg"]), WithinAbs(number(read["camshafts"][0]["drawn_phase_deg"]) + 4.0, 1e-9));
  CHECK(fit["to_see"][0] == "inlet lobe centre 104.0° ATDC");
  CHECK(fit["to_see"][1] == "exhaust lobe centre 112.0° BTDC");

  // Nothing is on the bench; the history has what was read with straight keys.
  const Run empty = run_program({"degree", file, "--against", "last"});
  CHECK(empty.exit_code == 2);
  CHECK(empty.err.find("measured: found no readings") != std::string::npos);
  CHECK(empty.err.find("the history has 2 earlier sets") != std::string::npos);

  // Read anew with the key in place, four degrees earlier.
  CHECK_FALSE(scratch.write("fitted.build.toml", with_readings(read_file(file), readings(4.0))).empty());
  const json after = answer({"degree", file, "--against", "last"});
  CHECK(after["against"] == "set 2 of 2026-05-14");
  const json& change = after["changes"][0];
  CHECK_THAT(number(change["deg"]), WithinAbs(4.0, chordal_deg));
  CHECK_THAT(number(change["foretold_deg"]), WithinAbs(4.0, 1e-6));
  CHECK(change["real"] == true);
  CHECK(change["as_foretold"] == true);
  CHECK_THAT(number(change["u_deg"]),
             WithinAbs(std::hypot(number(read["u_phase_deg"]), number(after["u_phase_deg"])), 1e-9));
  CHECK_THAT(number(after["lobes"][0]["centre_deg"]), WithinAbs(centre_deg - 4.0, chordal_deg));
  CHECK_THAT(number(after["lobes"][0]["drawn_deg"]), WithinAbs(104.0, 0.1));

  // Put by, it can be compared with all there is.
  const json kept = answer({"keep", file, "--date", "2026-06-03", "--note", "with the key"});
  CHECK(kept["sets"] == 3);
  CHECK(kept["date"] == "2026-06-03");
  CHECK_FALSE(scratch.write("fitted.build.toml", with_readings(read_file(file), readings(4.5))).empty());
  CHECK(answer({"degree", file, "--against", "last"})["against"] == "set 3 of 2026-06-03");
  CHECK_THAT(number(answer({"degree", file, "--against", "3"})["changes"][0]["deg"]), WithinAbs(0.5, chordal_deg));
  CHECK(answer({"degree", file, "--against", "2026-06-03"})["changes"][0]["real"] == false);
  CHECK(answer({"degree", file, "--against", "2026-05-14"})["changes"][0]["real"] == true);
}

TEST_CASE("journey: a key fitted the wrong way round does not pass for the right one", "[cli][journey]") {
  const Scratch scratch;
  const std::string file = fitted_copy(scratch);
  CHECK_FALSE(scratch.write("fitted.build.toml", with_readings(read_file(file), readings(-4.0))).empty());
  const json change = answer({"degree", file, "--against", "last"})["changes"][0];
  CHECK_THAT(number(change["deg"]), WithinAbs(-4.0, chordal_deg));
  CHECK(change["real"] == true);
  CHECK(change["as_foretold"] == false);
  std::string page = run_program({"degree", file, "--against", "last"}).out;
  std::ranges::replace(page, '\n', ' ');
  CHECK(page.find("changed by -4.00° crank") != std::string::npos);
  CHECK(page.find("+4.00° was to be expected: the two do not agree, and that is real") != std::string::npos);
}

TEST_CASE("journey: readings written wrongly are compared with nothing, whichever set they are in", "[cli][journey]") {
  const std::string swapped =
      "stop_deg=[[-42.5,41.0]],lobe=[{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg=165,closes_deg=49.5}]";
  const json then =
      answer({"degree", "--against", "1", "--set", "history=[{date=\"2026-04-21\",with={}," + swapped + "}]"}, 1);
  CHECK(then["slips"].empty());
  REQUIRE(then["against_slips"].size() == 1);
  CHECK(then["against_slips"][0]["slip"] == "sides swapped");
  CHECK(then["against_slips"][0]["lobe"] == json{1});
  CHECK(then["changes"].empty());

  const std::string now = "measured={" + swapped + "}";
  CHECK(answer({"degree", "--against", "1", "--set", now}, 1)["changes"].empty());
  const Run page = run_program({"degree", "--against", "1", "--set", now});
  CHECK(page.out.find("Nothing is compared with readings that are written wrongly.") != std::string::npos);
  CHECK(page.out.find("to be expected") == std::string::npos);
}

TEST_CASE("journey: a fault of an earlier set is said to be there", "[cli][journey]") {
  const auto refused = [](const std::string& set, const std::string& said) {
    const Run run = run_program({"degree", "--against", "last", "--set", "history=[{with={}," + set + "}]"});
    INFO(run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.err.find(said) != std::string::npos);
  };
  refused("lobe=[{valve=\"inlet\",cylinder=1,lift_mm=12,opens_deg=50,closes_deg=165}]",
          "history[1].lobe[1].lift_mm: found 12 mm");
  refused("float_mm=[0.1]", "history[1]: found no lobe and no stop_deg");
}

TEST_CASE("degree: an unlikely duration that no slip explains is pointed out", "[cli][degree]") {
  const auto lasting = [](double deg) {
    return fmt::format("measured.lobe=[{{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg={},closes_deg={}}}]",
                       109.0 - deg / 2.0, 109.0 + deg / 2.0);
  };
  const std::string said = "Reading 1, inlet of No. 1: open for 122.0° where the lobe as drawn has 115.3°; read it";
  CHECK(run_program({"degree", "--set", lasting(122.0)}).out.find(said) != std::string::npos);
  const json odd = answer({"degree", "--set", lasting(122.0)});
  CHECK(odd["slips"].empty());
  CHECK(odd["lobes"][0]["pairs"][0]["odd_duration"] == true);
  CHECK(answer({"degree", "--set", lasting(116.0)})["lobes"][0]["pairs"][0]["odd_duration"] == false);
}

TEST_CASE("fit: what a crank key moves is all to be seen", "[cli][fit]") {
  const Scratch scratch;
  const std::string file = scratch / "twin.build.toml";
  const json fit = answer({"fit", models_path("dunlin-3.build.toml"), "--option", "1", "-o", file});
  REQUIRE(fit["words"].get<std::string>().find("crank key") != std::string::npos);
  const json phase = answer({"phase", file})["camshafts"]; // by the file that was saved; cards 108 ATDC and 110 BTDC
  REQUIRE(phase.size() == 2);
  CHECK(fit["to_see"][0] == fmt::format("inlet lobe centre {:.1f}° ATDC", 108.0 - number(phase[0]["phase_deg"])));
  CHECK(fit["to_see"][1] == fmt::format("exhaust lobe centre {:.1f}° BTDC", 110.0 + number(phase[1]["phase_deg"])));
}

TEST_CASE("fit: an option that is not safe is refused with its figure and its limit", "[cli][fit]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  const std::string before = read_file(file);
  const json plan = answer({"plan", file});
  const auto first_unsafe = [&](const char* by) {
    for (std::size_t i = 0; i < plan["options"].size(); ++i)
      if (plan["options"][i]["unsafe_by"] == by) return i;
    FAIL("the plan has no option that is unsafe " << by);
    return std::size_t{0};
  };
  const std::size_t at = first_unsafe("along its axis");
  const json& option = plan["options"][at];
  const std::string number_of = std::to_string(at + 1);
  const double inlet_mm = std::fmin(number(option["clearance_inlet_mm"]), number(option["worn_inlet_mm"]));
  REQUIRE(inlet_mm < 2.0);
  const json refused = answer({"fit", file, "--option", number_of}, 1);
  CHECK(refused["saved"].is_null());
  CHECK(refused["safe"] == false);
  CHECK(refused["why"] == fmt::format("the inlet valve keeps {:.2f} mm along its axis, the limit is 2.00 mm",
                                      std::floor(inlet_mm * 100.0) / 100.0));
  CHECK(run_program({"fit", file, "--option", number_of}).out.starts_with("NOT SAFE: "));
  CHECK(read_file(file) == before);
  CHECK(scratch.files() == 4);
}

TEST_CASE("fit: an option that is not safe sideways or from valve to valve is refused with the limit", "[cli][fit]") {
  const Scratch scratch;
  const auto why = [&](const char* model, const std::string& key, const std::string& limit_mm) {
    std::string text = read_file(models_path(model));
    if (const std::size_t there = text.find(key + " ="); there != std::string::npos)
      text.erase(there, text.find('\n', there) - there);
    const std::string table = "[target]\n";
    const std::size_t at = text.find(table);
    REQUIRE(at != std::string::npos);
    text.insert(at + table.size(), key + " = " + limit_mm + "\n");
    return answer({"fit", scratch.write("own.build.toml", text), "--option", "1"}, 1)["why"].get<std::string>();
  };
  CHECK(why("sandling-14.build.toml", "min_valve_to_valve_mm", "10") ==
        "inlet and exhaust valve come nearer to each other than the limit, 10.00 mm");
  CHECK(why("dunlin-3.build.toml", "min_clearance_radial_mm", "2.25") ==
        "a valve comes nearer to the piston sideways than its limit, 2.00 mm at the inlet and 2.25 mm at the exhaust");
}

TEST_CASE("fit: over its limit by less than it is known to is fitted with a warning", "[cli][fit]") {
  const Scratch scratch;
  std::string text = read_file(own_copy(scratch));
  const json best = answer({"plan"})["options"][0];
  // A limit just below what the best option keeps; its gap is known to no hundredth.
  const double least_mm = std::fmin(number(best["clearance_inlet_mm"]), number(best["worn_inlet_mm"]));
  const std::string limit = "min_clearance_inlet_mm = 2.0";
  const std::size_t at = text.find(limit);
  REQUIRE(at != std::string::npos);
  text.replace(at, limit.size(), fmt::format("min_clearance_inlet_mm = {:.4f}", least_mm - 0.002));
  const std::string file = scratch.write("near.build.toml", text);
  const json plan = answer({"plan", file});
  std::size_t near = 0;
  while (near < plan["options"].size() && plan["options"][near]["words"] != best["words"]) ++near;
  REQUIRE(near < plan["options"].size());
  CHECK(plan["options"][near]["sure"] == false);
  const std::string number_of = std::to_string(near + 1);
  CHECK(answer({"fit", file, "--option", number_of, "-o", scratch / "a.build.toml"})["sure"] == false);
  CHECK(run_program({"fit", file, "--option", number_of, "-o", scratch / "b.build.toml"}).out.find("\nMEASURE: ") !=
        std::string::npos);
  CHECK(answer({"fit", "--option", "1", "-o", scratch / "c.build.toml"})["sure"] == true);
}

TEST_CASE("fit: readings stay on the bench when nothing changes", "[cli][fit]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  const json plan = answer({"plan", file});
  std::size_t same = 0;
  while (same < plan["options"].size() && plan["options"][same]["changes"] != 0) ++same;
  REQUIRE(same < plan["options"].size());
  const std::string before = read_file(file);
  CHECK(answer({"fit", file, "--option", std::to_string(same + 1)})["changes"] == 0);
  CHECK(read_file(file) == before);
  CHECK(answer({"degree", file})["lobes"].size() == 2);
}

TEST_CASE("fit: --lay reaches as far as the plan's", "[cli][fit]") {
  const Scratch scratch;
  const json plan = answer({"plan", "--lay", "0"});
  const std::size_t count = plan["options"].size();
  const std::string beyond = std::to_string(count + 1);
  const Run run = run_program({"fit", "--lay", "0", "--option", beyond, "-o", scratch / "x.build.toml"});
  CHECK(run.exit_code == 2);
  CHECK(run.err.find("--option: found " + beyond + ", allowed 1 to " + std::to_string(count)) != std::string::npos);
  CHECK(scratch.files() == 0);
}

TEST_CASE("keep: what the readings say of themselves is not said otherwise", "[cli][keep]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  const std::string before = read_file(file);
  const Run run = run_program({"keep", file, "--date", "2026-05-15"});
  CHECK(run.exit_code == 2);
  CHECK(run.err.find("--date: found 2026-05-15, allowed what measured.date says in the file, \"2026-05-14\"") !=
        std::string::npos);
  CHECK(read_file(file) == before);
  CHECK(answer({"keep", file, "--date", "2026-05-14"})["sets"] == 2);
}

TEST_CASE("keep and fit: no build is saved where it would find another engine or none", "[cli][keep][fit]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  std::filesystem::create_directory(scratch.path() / "other");
  const std::string target = scratch / "other/own.build.toml";
  for (std::vector<std::string> arguments :
       {std::vector<std::string>{"keep", file}, std::vector<std::string>{"fit", file, "--option", "1"}}) {
    arguments.insert(arguments.end(), {"-o", target});
    const Run run = run_program(arguments);
    INFO(run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.err.find("-o: found " + target + ", allowed a file in the folder of ") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(target));
  }
  // The models are found from everywhere, and so is the demo.
  CHECK(answer({"keep", models_path("sandling-14.build.toml"), "-o", target})["saved"] == target);
  CHECK(answer({"degree", target, "--set", "measured.stop_deg=[[-45,45]]"})["stop_read"] == true);
}

TEST_CASE("the examples of degree, fit and keep can be run as they stand", "[cli][help]") {
  const Scratch scratch;
  std::filesystem::create_directory_symlink(std::filesystem::path(models_path("")).parent_path(),
                                            scratch.path() / "models");
  for (const char* command : {"degree", "fit", "keep"}) {
    const std::string help = run_program({command, "--help"}).out;
    const std::string before = "Example:\n  phasewright ";
    const std::size_t at = help.find(before);
    REQUIRE(at != std::string::npos);
    std::istringstream line(
        help.substr(at + before.size(), help.find_first_of("#\n", at + before.size()) - at - before.size()));
    std::vector<std::string> arguments;
    for (std::string word; line >> std::quoted(word);) arguments.push_back(word);
    REQUIRE(arguments.front() == command);
    const Run run = run_program(arguments, {.environment = {}, .out_file = {}, .directory = scratch.path().string()});
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK_FALSE(run.out.empty());
    std::filesystem::remove(scratch.path() / arguments.back());
  }
}
