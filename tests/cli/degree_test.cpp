// Readings on the command line: degree, explain, keep and fit, through the real program.
#include "cli/answer.hpp"
#include "cli/program.hpp"
#include "cli/scratch.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <filesystem>

using namespace phasewright::testing;
using Catch::Matchers::WithinAbs;
using nlohmann::json;

namespace {

// The demo in a folder of its own, which can be changed.
std::string own_copy(const Scratch& scratch) {
  for (const char* name : {"marram-1420.toml", "marram-inlet.csv", "marram-exhaust.csv"})
    CHECK_FALSE(scratch.write(name, read_file(models_path(name))).empty());
  return scratch.write("own.build.toml", read_file(models_path("sandling-14.build.toml")));
}

} // namespace

TEST_CASE("degree: the demo's readings", "[cli][degree]") {
  const json all = answer({"degree"});
  check_has(all,
            {"tdc_correction_deg", "u_tdc_deg", "lobes", "phase_deg", "u_phase_deg", "camshafts", "slips", "outliers"});
  // The middles of -47.5 and 49.0, -47.0 and 49.5: 0.75 and 1.25 too much. The gudgeon pin is not offset.
  CHECK_THAT(number(all["tdc_correction_deg"]), WithinAbs(-1.0, 1e-9));
  // Half a degree of limit on each of four readings: 0.5 / sqrt 3 / sqrt 4.
  CHECK_THAT(number(all["u_tdc_deg"]), WithinAbs(0.25 / std::sqrt(3.0), 1e-9));
  REQUIRE(all["lobes"].size() == 2);
  CHECK(all["lobes"][0]["valve"] == "inlet");
  check_has(all["lobes"][0], {"valve", "cylinder", "centre_deg", "u_deg", "asymmetry_deg_per_mm", "card_deg", "pairs"});
  // Late by 2 degrees on the card's 106, as the drive has it.
  CHECK_THAT(number(all["lobes"][0]["centre_deg"]), WithinAbs(108.0, 0.5));
  CHECK_THAT(number(all["phase_deg"]), WithinAbs(-2.03, 2.0 * number(all["u_phase_deg"])));
  CHECK(all["camshafts"][0]["off_card"] == true);
  CHECK(all["camshafts"][0]["off_drawn"] == false);
  CHECK(all["slips"].empty());
  CHECK(all["outliers"].empty());
  CHECK_FALSE(all.contains("changes"));
}

TEST_CASE("degree: before and after are compared", "[cli][degree]") {
  for (const char* which : {"last", "1", "2026-04-21"}) {
    const json all = answer({"degree", "--against", which});
    CHECK(all["against"] == "set 1 of 2026-04-21");
    REQUIRE(all["changes"].size() == 1);
    // Line boring by a tenth of a millimetre: a fifth of a degree, too little for a wheel.
    CHECK(all["changes"][0]["real"] == false);
    CHECK_THAT(number(all["changes"][0]["foretold_deg"]), WithinAbs(-0.19, 0.01));
    CHECK(std::fabs(number(all["changes"][0]["deg"]) + 0.19) < 2.0 * number(all["changes"][0]["u_deg"]));
  }
  for (const char* which : {"2", "0", "2026-04-22", "first"}) {
    const Run run = run_program({"degree", "--against", which});
    CHECK(run.exit_code == 2);
    CHECK(run.err.find("--against: found " + std::string(which) +
                       ", allowed last, or one of the sets of [[history]]: 1 of 2026-04-21") != std::string::npos);
  }
  const Run none = run_program({"degree", models_path("curlew-7.build.toml"), "--against", "last"});
  CHECK(none.exit_code == 2);
  CHECK(none.err.find("of which there is none") != std::string::npos);
}

TEST_CASE("degree: a slip of the pencil is said and no phase made of it", "[cli][degree]") {
  const std::string turned = "measured.lobe=[{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg=166.5,closes_deg=51.5}]";
  const json all = answer({"degree", "--set", turned}, 1);
  REQUIRE(all["slips"].size() == 1);
  CHECK(all["slips"][0]["slip"] == "sides swapped");
  const Run page = run_program({"degree", "--set", turned});
  CHECK(page.exit_code == 1);
  CHECK(page.out.starts_with("WRITTEN WRONGLY: reading 1: opens and closes stand the wrong way round.\n"));
  CHECK(page.out.find("is real") == std::string::npos);
}

TEST_CASE("degree and explain: without readings they say so", "[cli][degree][explain]") {
  const std::string engine = models_path("marram-1420.toml");
  CHECK(run_program({"degree", engine}).exit_code == 2);
  const Run run = run_program({"explain", engine});
  CHECK(run.exit_code == 2);
  CHECK(run.err.find("no readings of stop, lobes, clearance or pins") != std::string::npos);
}

TEST_CASE("explain: the demo has nothing wrong and Curlew a tooth", "[cli][explain]") {
  const json demo = answer({"explain"});
  check_has(demo, {"causes", "figures", "nothing_fits", "next_reading"});
  CHECK(demo["figures"] == 13); // two stops, four lobe pairs, two clearances, one count
  CHECK(demo["causes"][0]["cause"] == "nothing is wrong");

  const json curlew = answer({"explain", models_path("curlew-7.build.toml")});
  const json& first = curlew["causes"][0];
  check_has(first, {"cause", "faults", "probability", "misfit", "amount", "unit", "tied", "words"});
  CHECK(first["cause"] == "chain one tooth back");
  CHECK(number(first["probability"]) > 0.9);
  CHECK(first["tied"] == false);
  CHECK(curlew["causes"][1]["tied"] == true); // the wheel may have moved as far
  check_has(curlew["next_reading"], {"words", "apart"});

  // With a count of pins it is no tie any more: a tooth back is one pin more between the marks.
  const std::string file = models_path("curlew-7.build.toml");
  CHECK(answer({"explain", file, "--set", "measured.pins=17"})["causes"][0]["cause"] == "chain one tooth back");
  CHECK(answer({"explain", file, "--set", "measured.pins=16"})["causes"][0]["cause"] == "wheel moved");
}

TEST_CASE("explain: readings that nothing fits end with 1", "[cli][explain]") {
  const json all = answer({"explain", "--set",
                           "measured.lobe=[{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg=40,closes_deg=190},"
                           "{valve=\"inlet\",cylinder=1,lift_mm=3,opens_deg=60,closes_deg=170},"
                           "{valve=\"exhaust\",cylinder=1,lift_mm=5,opens_deg=530,closes_deg=668}]"},
                          1);
  CHECK(all["nothing_fits"] == true);
  CHECK(all["next_reading"].is_null());
}

TEST_CASE("a correction from readings to readings: degree, plan, fit, keep", "[cli][degree][fit][keep]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  const std::string before = read_file(file);
  const json plan = answer({"plan", file});
  const json fit = answer({"fit", file, "--option", "1"});
  CHECK(fit["saved"] == file);
  CHECK(fit["words"] == plan["options"][0]["words"]);
  CHECK(number(fit["phase_deg"]) == number(plan["options"][0]["phase_deg"]));
  const std::string fitted = read_file(file);
  CHECK(fitted.find("cam_key_deg = 2\n") != std::string::npos);
  CHECK(fitted.find("# main bearings line bored") != std::string::npos); // comments stay
  // The camshaft stands where the plan said, and the readings are in the history.
  CHECK_THAT(number(answer({"phase", file})["phase_deg"]), WithinAbs(number(fit["phase_deg"]), 1e-9));
  CHECK(run_program({"degree", file}).exit_code == 2);
  CHECK(run_program({"keep", file}).exit_code == 2); // nothing on the bench

  // Read anew: four crank degrees earlier.
  std::string text = fitted;
  for (const auto& [empty, read] :
       {std::pair("stop_deg = []", "stop_deg = [[-48, 48]]"),
        std::pair(
            "lobe = []",
            "lobe = [{ valve = \"inlet\", cylinder = 1, lift_mm = 5.0, opens_deg = 46.5, closes_deg = 161.5 }]")}) {
    const std::size_t at = text.find(empty);
    REQUIRE(at != std::string::npos);
    text.replace(at, std::string(empty).size(), read);
  }
  CHECK_FALSE(scratch.write("own.build.toml", text).empty());
  const json change = answer({"degree", file, "--against", "last"})["changes"][0];
  CHECK(change["real"] == true);
  CHECK_THAT(number(change["foretold_deg"]), WithinAbs(4.0, 1e-6));
  CHECK_THAT(number(change["deg"]), WithinAbs(4.0, 2.0 * number(change["u_deg"])));

  const json kept = answer({"keep", file, "--date", "2026-05-20", "--note", "with the key"});
  CHECK(kept["sets"] == 3);
  CHECK(kept["date"] == "2026-05-20");
  CHECK(read_file(file).find("note = \"with the key\"") != std::string::npos);
}

TEST_CASE("fit and keep: what cannot be saved is refused and nothing is written", "[cli][fit][keep]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  const std::string before = read_file(file);
  const auto refused = [&](std::vector<std::string> arguments, const std::string& said) {
    const Run run = run_program(std::move(arguments));
    INFO(run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.err.find(said) != std::string::npos);
    CHECK(read_file(file) == before);
  };
  refused({"fit", file}, "say which option of the plan: --option 1");
  refused({"fit", file, "--option", "0"}, "--option: found 0, allowed 1 to 100000");
  refused({"fit", file, "--option", "190"}, "--option: found 190, allowed 1 to 189");
  refused({"fit", file, "--option", "1", "--set", "fitted.lay=1"}, "--set: found values for one run");
  refused({"keep", file, "--date", "2026-02-30"}, "--date: found 2026-02-30, allowed a day as YYYY-MM-DD");
  refused({"keep", file, "--note", std::string(201, 'x')}, "--note");
  refused({"keep", file, "-o", "notes.txt"}, "allowed a file name that ends in .build.toml");
  refused({"keep"}, "-o: found nothing, allowed a file name that ends in .build.toml");
  const std::string other = scratch.write("other.build.toml", "format = 1\n");
  refused({"keep", file, "-o", other}, "allowed the build's own file or one that is not there yet");
  CHECK(read_file(other) == "format = 1\n");

  // The last of the plan is never a safe one here.
  const Run unsafe = run_program({"fit", file, "--option", "189", "--json"});
  CHECK(unsafe.exit_code == 1);
  CHECK(json::parse(unsafe.out)["saved"].is_null());
  CHECK(read_file(file) == before);
}

TEST_CASE("fit and keep: a new file keeps the old one's words", "[cli][fit][keep]") {
  const Scratch scratch;
  const std::string file = own_copy(scratch);
  const std::string before = read_file(file);
  const std::string target = (std::filesystem::path(file).parent_path() / "new.build.toml").string();
  CHECK(answer({"keep", file, "-o", target})["saved"] == target);
  CHECK(read_file(file) == before);
  CHECK(read_file(target).find("# main bearings line bored") != std::string::npos);
  CHECK(answer({"phase", target})["phase_deg"] == answer({"phase", file})["phase_deg"]);
}

TEST_CASE("fit: of twin camshafts only what changes is written", "[cli][fit]") {
  const Scratch scratch;
  const std::string target = scratch / "new.build.toml";
  CHECK(answer({"fit", models_path("dunlin-3.build.toml"), "--option", "1", "-o", target})["safe"] == true);
  std::string text = read_file(target);
  // The key that was there and the two that the plan puts in its place, in their lines.
  for (const auto& [now, then] : {std::pair("crank_key_deg = 1 ", "crank_key_deg = 0.0 "),
                                  std::pair("{ exhaust = 0, inlet = 3 }", "{ inlet = 1, exhaust = 0 }")}) {
    const std::size_t at = text.find(now);
    REQUIRE(at != std::string::npos);
    text.replace(at, std::string(now).size(), then);
  }
  CHECK(text == read_file(models_path("dunlin-3.build.toml")));
}

TEST_CASE("keep: a history that is full and a note that cannot be read again are refused", "[cli][keep]") {
  const Scratch scratch;
  std::string text = read_file(own_copy(scratch));
  for (int set = 1; set < 200; ++set) text += "\n[[history]]\nwith = {}\nfloat_mm = [0.1]\n";
  const std::string full = scratch.write("full.build.toml", text);
  const Run run = run_program({"keep", full});
  CHECK(run.exit_code == 2);
  CHECK(run.err == full + ": history: found 201, allowed at most 200 sets of readings; nothing was saved\n");
  CHECK(read_file(full) == text);

  const std::string target = scratch / "new.build.toml";
  const Run noted = run_program({"keep", "--note", "bell\a", "-o", target});
  CHECK(noted.exit_code == 2);
  CHECK(noted.err == target + ": history[2].note: found \"bell\\u0007\", allowed 1 to 200 characters in quotes, on one "
                              "line; nothing was saved\n");
  CHECK_FALSE(std::filesystem::exists(target));
}
