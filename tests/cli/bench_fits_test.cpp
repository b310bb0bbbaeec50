// Answers of align, endfloat and key: the JSON of the real program, its exit codes and refusals.
#include "cli/answer.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"

#include <cmath>
#include <filesystem>
#include <sstream>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

constexpr double pi = 3.14159265358979323846;

void check_refused(std::vector<std::string> arguments, const std::string& said) {
  std::string line;
  for (const std::string& word : arguments) line += " '" + word + "'";
  INFO("phasewright" << line);
  const Run run = run_program(arguments);
  INFO(run.err);
  CHECK(run.exit_code == 2);
  CHECK(run.out.empty());
  CHECK(run.err.find(said) != std::string::npos);
}

} // namespace

TEST_CASE("align: shims for the demo's gap", "[cli][align]") {
  const json all = answer({"align"});
  check_has(all, {"shim_mm", "pack", "left_mm", "tilt_deg", "side_play_mm", "within", "limit_mm", "words", "recheck"});
  CHECK(all["shims"] == "add");
  CHECK(number(all["shim_mm"]) == 0.89);
  CHECK(all["pack"] == json{0.5, 0.25, 0.13});
  CHECK_THAT(number(all["left_mm"]), WithinAbs(0.01, 1e-12));
  CHECK(number(all["tilt_deg"]) == 0.0);
  CHECK_THAT(number(all["side_play_mm"]), WithinAbs(0.4, 0.01)); // 06B-1: 5.72 between plates, teeth 5.32 wide
  CHECK(all["within"] == true);
  CHECK(all["within_now"] == false);
  CHECK(all["within_limits"] == true);
  CHECK(all["out_of_limits"].empty());
}

TEST_CASE("align: what shims cannot do ends with 1", "[cli][align]") {
  const json proud = answer({"align", "--set", "measured.gap_mm.under=\"cam\""}, 1);
  CHECK(proud["within"] == false);
  CHECK(number(proud["behind_mm"]) == -0.89);
  CHECK(proud["pack"].empty());
  CHECK(proud["out_of_limits"] == json{"the crank sprocket stands 0.89 mm proud, 0.10 mm is allowed"});
  const json tilted = answer({"align", "--set", "measured.gap_mm.far=1.29"}, 1);
  CHECK(tilted["tilted"] == true);
  // 0.4 mm over the pitch diameter of 19 teeth, 9.525 mm / sin(180 deg / 19).
  CHECK_THAT(number(tilted["tilt_deg"]), WithinAbs(std::atan(0.4 * std::sin(pi / 19.0) / 9.525) * 180.0 / pi, 1e-9));
  const json shelf = answer({"align", "--set", "stock.shim_mm=[]"}, 1);
  CHECK(shelf["shims"] == "leave");
  CHECK(number(shelf["left_mm"]) == 0.89);
}

TEST_CASE("endfloat: the demo's readings and others", "[cli][endfloat]") {
  const json all = answer({"endfloat"});
  check_has(all, {"float_mm", "u_mm", "limits_mm", "verdict", "change_mm", "out_by_mm"});
  CHECK_THAT(number(all["float_mm"]), WithinAbs(0.34 / 3.0, 1e-12));
  // Readings 0.11, 0.12, 0.11 and an indicator good to 0.01 mm.
  CHECK_THAT(number(all["u_mm"]), WithinAbs(std::sqrt(0.01 * 0.01 / 9.0 + 0.01 * 0.01 / 3.0), 1e-12));
  CHECK(all["limits_mm"] == json{0.08, 0.18});
  CHECK(all["verdict"] == "inside");
  CHECK(number(all["change_mm"]) == 0.0);
  // Float is boss less plate: the plate, 3.98 mm now, that would bring it to the middle of the limits.
  CHECK_THAT(number(all["wanted_plate_mm"]), WithinAbs(3.98 - (0.13 - 0.34 / 3.0), 1e-12));

  const json below = answer({"endfloat", "--set", "measured.float_mm=[0.03,0.03,0.03]"}, 1);
  CHECK(below["verdict"] == "below");
  CHECK_THAT(number(below["change_mm"]), WithinAbs(0.1, 1e-12));
  CHECK(answer({"endfloat", "--set", "measured.float_mm=[0.185,0.185]"}, 1)["verdict"] == "maybe above");
  CHECK(answer({"endfloat", "--set", "measured.float_mm=[0.08,0.08,0.08]"})["verdict"] == "inside, at the lower edge");
}

TEST_CASE("key: a step for an angle and back", "[cli][key]") {
  const json cam = answer({"key", "--at", "cam", "--deg", "2"});
  check_has(cam, {"step_mm", "deg", "proud_mm", "top_gap_mm", "keys"});
  CHECK(cam["shaft"] == "cam");
  CHECK(cam["keys"].size() == 1);
  CHECK_THAT(number(cam["step_mm"]), WithinAbs(12.5 * std::sin(2.0 * pi / 180.0), 1e-12));
  CHECK(number(cam["crank_deg"]) == 4.0); // cam degrees count twice at the crank
  CHECK(number(cam["wrong_way"]["got_deg"]) == -4.0);
  CHECK(number(cam["wrong_way"]["error_deg"]) == -8.0);
  // As measured: a key 6.48 high, 5.02 deep in the shaft and 1.74 in the sprocket.
  CHECK_THAT(number(cam["proud_mm"]), WithinAbs(6.48 - 5.02, 1e-12));
  CHECK_THAT(number(cam["top_gap_mm"]), WithinAbs(5.02 + 1.74 - 6.48, 1e-12));
  // By the standard where nothing was.
  const json unmeasured = answer({"key", "--at", "cam", "--deg", "2", "--set", "measured.key=[]"});
  CHECK(number(unmeasured["proud_mm"]) == 1.5);
  CHECK_THAT(number(unmeasured["top_gap_mm"]), WithinAbs(0.2, 1e-12));

  std::ostringstream step;
  step.precision(17);
  step << number(cam["step_mm"]);
  CHECK_THAT(number(answer({"key", "--at", "cam", "--step", step.str()})["deg"]), WithinAbs(2.0, 1e-9));
  const json both = answer({"key", "--step", "-0.5"});
  CHECK(both["shaft"] == "crank"); // the first stands by itself too
  REQUIRE(both["keys"].size() == 2);
  CHECK_THAT(number(both["keys"][0]["deg"]), WithinAbs(-std::asin(0.5 / 14.0) * 180.0 / pi, 1e-12));
  CHECK_THAT(number(both["keys"][1]["deg"]), WithinAbs(-std::asin(0.5 / 12.5) * 180.0 / pi, 1e-12));
  CHECK_FALSE(answer({"key"}).contains("deg"));
}

TEST_CASE("key: the step faces as the shaft runs", "[cli][key]") {
  // At the crank the sprocket half leads to advance the cam, at the cam the shaft half.
  const auto faces = [](std::vector<std::string> arguments, const char* key) {
    arguments.insert(arguments.begin(), "key");
    const std::string words = answer(std::move(arguments))[key].get<std::string>();
    return words.find("anticlockwise") == std::string::npos ? std::string("clockwise") : std::string("anticlockwise");
  };
  CHECK(faces({"--at", "crank", "--deg", "2"}, "to_advance") == "clockwise");
  CHECK(faces({"--at", "crank", "--deg", "-2"}, "to_advance") == "clockwise");
  CHECK(faces({"--at", "crank", "--deg", "2"}, "to_retard") == "anticlockwise");
  CHECK(faces({"--at", "cam", "--deg", "2"}, "to_advance") == "anticlockwise");
  const std::string port = models_path("marram-1020.toml"); // runs anticlockwise
  CHECK(faces({port, "--at", "crank", "--deg", "2"}, "to_advance") == "anticlockwise");
  CHECK(faces({port, "--at", "cam", "--deg", "2"}, "to_advance") == "clockwise");
}

TEST_CASE("key: a camshaft that the chain turns with its back has its step the other way", "[cli][key]") {
  const Scratch scratch;
  for (const char* name : {"marram-inlet.csv", "marram-exhaust.csv"})
    CHECK_FALSE(scratch.write(name, read_file(models_path(name))).empty());
  std::string engine = read_file(models_path("marram-1420.toml"));
  const auto replace = [&engine](const std::string& old, const std::string& by) {
    const std::size_t at = engine.find(old);
    REQUIRE(at != std::string::npos);
    engine.replace(at, old.size(), by);
  };
  replace("links = 52", "links = 66");
  replace("camshaft = \"cam\"", "camshaft = \"cam\"\nwrap = \"outside\"");
  replace("centre_mm = [0.0, 107.9]", "centre_mm = [60.0, 110.0]");
  replace("mark_clock_deg = 180", "mark_clock_deg = 225");
  const std::size_t cam = engine.find("[[sprocket]]\nname = \"cam\"");
  REQUIRE(cam != std::string::npos);
  engine.insert(cam, "[[sprocket]]\nname = \"idler\"\nteeth = 19\ncentre_mm = [0.0, 220.0]\n\n");
  const json back = answer({"key", scratch.write("back.toml", engine), "--deg", "2"});
  CHECK(back["keys"][0]["to_advance"].get<std::string>().find("mm (19 thou) clockwise") != std::string::npos);
  CHECK(back["keys"][1]["to_advance"].get<std::string>().find("mm (17 thou) clockwise") != std::string::npos);
  CHECK(back["keys"][1]["to_retard"].get<std::string>().find("anticlockwise") != std::string::npos);
}

// Common practice, no source: with the crank's key at 12 o'clock and No. 1 at TDC the cam's is between 1 and 2 o'clock.
TEST_CASE("key: where the demo's keyways point", "[cli][key]") {
  const json all = answer({"key"});
  CHECK(number(all["keys"][0]["keyway_clock_deg"]) == 0.0);
  CHECK(number(all["keys"][1]["keyway_clock_deg"]) > 30.0);
  CHECK(number(all["keys"][1]["keyway_clock_deg"]) < 60.0);
  CHECK(run_program({"key"}).out.find("crank 12 o'clock; cam between 1 and 2 o'clock") != std::string::npos);
  // The camshaft carries its keyway along: two of its teeth further on.
  const json laid = answer({"key", "--set", "fitted.lay=2"});
  const double on_deg = number(laid["keys"][1]["keyway_clock_deg"]) - number(all["keys"][1]["keyway_clock_deg"]);
  CHECK_THAT(on_deg, WithinAbs(2.0 * 360.0 / 38.0, 1e-6));
}

TEST_CASE("key: a size outside the table is converted all the same", "[cli][key]") {
  const json odd = answer({"key", "--set", "shaft.crank.key=\"4x6x17\"", "--deg", "1"});
  CHECK(odd["proud_mm"].is_null());
  CHECK(odd["words"].get<std::string>().find("not a size of DIN 6888") != std::string::npos);
  CHECK_THAT(number(odd["step_mm"]), WithinAbs(14.0 * std::sin(pi / 180.0), 1e-12));
}

TEST_CASE("align, endfloat and key refuse what they cannot use", "[cli][refusals]") {
  check_refused({"align", models_path("dunlin-3.build.toml")}, "measured.gap_mm: found nothing");
  check_refused({"align", models_path("marram-1420.toml")}, "measured.gap_mm: found nothing");
  check_refused({"align", "--set", "measured.gap_mm.under=\"pump\""}, "measured.gap_mm.under");
  check_refused({"endfloat", models_path("dunlin-3.build.toml")}, "measured.float_mm: found nothing");
  check_refused({"key", "--deg", "x"}, "--deg: found x, allowed -90 to 90 degrees of its shaft");
  check_refused({"key", "--deg", "90.1"}, "--deg: found 90.1");
  check_refused({"key", "--deg", "nan"}, "--deg: found nan");
  check_refused({"key", "--step", "inf"}, "--step: found inf");
  check_refused({"key", "--at", "crank", "--step", "14.1"},
                "--step: found 14.1, allowed up to 14 mm either way, the radius of shaft \"crank\"");
  check_refused({"key", "--step", "-13"}, "the radius of shaft \"cam\""); // the crank's would allow it
  check_refused({"key", "--deg", "1", "--step", "1"}, "--deg: found --step beside it, allowed one of the two");
  check_refused({"key", "--at", "pump"}, "--at: found pump, allowed crank or cam");
  check_refused({"key", "--camshaft", "inlet"}, "--camshaft: found inlet, allowed a camshaft of the engine");
  check_refused({"key", "--at", "crank", "--camshaft", "cam"}, "--camshaft: found --at crank beside it");
  check_refused({"align", "--deg", "1"}, "no such option: --deg");
}

TEST_CASE("the examples of align, endfloat and key can be run as they stand", "[cli][help]") {
  const Scratch scratch;
  std::filesystem::create_directory_symlink(std::filesystem::path(models_path("")).parent_path(),
                                            scratch.path() / "models");
  for (const char* command : {"align", "endfloat", "key"}) {
    const Run run =
        run_program(example_of(command), {.environment = {}, .out_file = {}, .directory = scratch.path().string()});
    INFO(command);
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK_FALSE(run.out.empty());
  }
}
