// The JSON of drives with more than two sprockets, of the chain, and of a crank turned backward.
#include "cli/program.hpp"
#include "support/catch.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <numbers>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

json answer(std::vector<std::string> arguments, int exit_code = 0) {
  arguments.emplace_back("--json");
  const Run run = run_program(arguments);
  INFO(run.err);
  CHECK(run.exit_code == exit_code);
  CHECK(run.err.empty());
  REQUIRE(json::accept(run.out));
  return json::parse(run.out);
}

double number(const json& value) {
  REQUIRE(value.is_number());
  return value.get<double>();
}

const json& named(const json& list, const char* key, const std::string& name) {
  for (const json& item : list)
    if (item[key] == name) return item;
  FAIL("nothing is named " << name);
  return list;
}

double worst_pitch_error_mm(const json& pins, double pitch_mm) {
  double worst_mm = 0.0;
  for (std::size_t i = 0; i < pins.size(); ++i) {
    const json& next = pins[(i + 1) % pins.size()];
    const double apart_mm = std::hypot(number(next[0]) - number(pins[i][0]), number(next[1]) - number(pins[i][1]));
    worst_mm = std::fmax(worst_mm, std::fabs(apart_mm - pitch_mm));
  }
  return worst_mm;
}

const std::string twin = models_path("marram-2050.toml");
const std::string two_stages = models_path("marram-1850.toml");
const std::string with_pump = models_path("marram-2290.toml"); // on the chain's back

} // namespace

TEST_CASE("pose: every chain closes at its own pitch, at any crank angle", "[cli][pose]") {
  for (const char* crank : {"0", "123.456", "-1e6", "987654.321", "1e6"}) {
    INFO("crank " << crank);
    const json pose = answer({"pose", two_stages, "--crank", crank});
    REQUIRE(pose["loops"].size() == 2);
    for (const json& loop : pose["loops"]) {
      REQUIRE(loop["pins"].size() == loop["links"].get<std::size_t>());
      CHECK(worst_pitch_error_mm(loop["pins"], 9.525) < 1e-8); // both 06B, ISO 606
    }
    CHECK(pose["pins"] == pose["loops"][0]["pins"]);
    CHECK(pose["loops"][0]["driven_from"].is_null());
    CHECK(pose["loops"][1]["driven_from"] == "jack");
    CHECK(pose["tensioner"]["travel_mm"] == pose["loops"][0]["tensioner"]["travel_mm"]);
  }
}

TEST_CASE("pose: strands, states and what a twin-cam drive has", "[cli][pose]") {
  const json pose = answer({"pose", twin, "--crank", "100", "--set", "tensioner.travel_mm=[0,25]"});
  REQUIRE(pose["sprockets"].size() == 3);
  REQUIRE(pose["strands"].size() == 3);
  CHECK(pose["turned"] == "forward");
  CHECK(pose["turning_back"].empty());
  CHECK(pose["strands"][0]["from"] == "crank");
  CHECK(pose["strands"][0]["to"] == "inlet");
  CHECK(pose["strands"][0]["state"] == "tensioned");
  for (const std::size_t i : {std::size_t{1}, std::size_t{2}}) {
    CHECK(pose["strands"][i]["state"] == "taut");
    CHECK(number(pose["strands"][i]["slack_mm"]) == 0.0);
  }
  const json& tensioner = pose["tensioner"];
  CHECK_THAT(number(tensioner["travel_mm"]) + number(tensioner["travel_left_mm"]), WithinAbs(25.0, 1e-9));
  CHECK(pose["loops"][0]["tensioner"]["shoe"]["bears"] == true);
  REQUIRE(pose["loops"][0]["guides"].size() == 1);
  CHECK(pose["loops"][0]["guides"][0]["strand"] == json{"exhaust", "crank"});
  // Pins run half a plate's height clear of the rail's face: 04C plates are 6.02 mm at the most (ISO 606), the rail's
  // radius is 700 mm about (733, 104).
  const json& first = pose["loops"][0]["guides"][0]["first_mm"];
  CHECK_THAT(std::hypot(number(first[0]) - 733.0, number(first[1]) - 104.0), WithinAbs(703.0, 0.1));
}

// A sprocket on the chain's back turns against the crank (13 teeth by 17), and what it has turned goes on counting.
TEST_CASE("pose: what has turned is kept in full", "[cli][pose]") {
  const json pose = answer({"pose", with_pump, "--crank", "90"});
  const json far = answer({"pose", with_pump, "--crank", "720090"}); // two thousand turns on
  const auto turned = [](const json& of, const char* name) {
    return number(named(of["sprockets"], "name", name)["turned_deg"]);
  };
  CHECK_THAT(turned(far, "crank") - turned(pose, "crank"), WithinRel(7.2e5, 1e-12));
  CHECK_THAT(turned(far, "cam") - turned(pose, "cam"), WithinAbs(3.6e5, 1e-3));
  CHECK_THAT(turned(far, "pump") - turned(pose, "pump"), WithinAbs(-7.2e5 * 17.0 / 13.0, 5.0));
}

TEST_CASE("pose: after a turn backward the camshafts stand ahead, and it is said by how much", "[cli][pose]") {
  for (const std::string& file : {models_path("sandling-14.build.toml"), twin, two_stages}) {
    INFO(file);
    const json forward = answer({"pose", file, "--crank", "100"});
    const json backward = answer({"pose", file, "--crank", "100", "--turned", "backward"});
    CHECK(backward["turned"] == "backward");
    REQUIRE(backward["turning_back"].size() == backward["camshafts"].size());
    for (const json& error : backward["turning_back"]) {
      const double ahead_deg = number(named(backward["camshafts"], "name", error["camshaft"])["turned_deg"]) -
                               number(named(forward["camshafts"], "name", error["camshaft"])["turned_deg"]);
      CHECK(ahead_deg > 0.1);
      CHECK_THAT(number(error["cam_deg"]), WithinAbs(ahead_deg, 1e-9));
      CHECK_THAT(number(error["crank_deg"]), WithinAbs(2.0 * ahead_deg, 1e-9));
      // Turned forward so far the chain pulls the camshaft again: from there on it stands where a turn forward has it.
      CHECK_THAT(number(error["turn_forward_deg"]), WithinAbs(2.0 * ahead_deg, 0.3));
    }
    CHECK(backward["strands"][0]["state"] == "taut"); // the other side pulls
    CHECK(worst_pitch_error_mm(backward["pins"], worst_pitch_error_mm(forward["pins"], 0.0)) < 1e-8);
  }
}

TEST_CASE("phase: each camshaft has its figures, and the first stands by itself", "[cli][phase]") {
  const json phase = answer({"phase", twin, "--set", "fitted.lay={inlet=1,exhaust=-1}", "--set",
                             "fitted.cam_key_deg={inlet=0,exhaust=2}", "--set", "fitted.crank_key_deg=3"});
  REQUIRE(phase["camshafts"].size() == 2);
  CHECK(phase["camshaft"] == "inlet");
  CHECK(phase["phase_deg"] == phase["camshafts"][0]["phase_deg"]);
  CHECK(phase["parts"] == phase["camshafts"][0]["parts"]);
  // Facts of the trade: 720 / 30 crank degrees a tooth, a cam key double, a crank key as it is.
  CHECK_THAT(number(phase["camshafts"][0]["phase_deg"]), WithinAbs(24.0 + 3.0, 1e-9));
  CHECK_THAT(number(phase["camshafts"][1]["phase_deg"]), WithinAbs(-24.0 + 4.0 + 3.0, 1e-9));
  for (const json& camshaft : phase["camshafts"]) {
    double sum_deg = 0.0;
    for (const json& part : camshaft["parts"]) sum_deg += number(part["deg"]);
    CHECK_THAT(sum_deg, WithinAbs(number(camshaft["phase_deg"]), 1e-9));
  }
  CHECK(phase["target_camshaft"] == "inlet");
  CHECK(phase["camshafts"][1]["key"]["words"] == "cam key 2°, shaft half leading");
  CHECK(phase["loops"][0]["tensioner"]["travel_mm"]["least"].is_number());
  // A tooth on, a pin less to the crank's mark.
  const json marked = answer({"phase", twin});
  for (const std::size_t i : {std::size_t{0}, std::size_t{1}})
    CHECK(number(phase["camshafts"][i]["pins_between_marks"]["pins"]) ==
          number(marked["camshafts"][i]["pins_between_marks"]["pins"]) + (i == 0 ? -1 : 1));
}

TEST_CASE("plan: one camshaft of two, and its words fit it", "[cli][plan]") {
  const std::string build = models_path("dunlin-3.build.toml");
  const json plan = answer({"plan", build});
  CHECK(plan["camshaft"] == "inlet");
  const json& best = plan["options"][0];
  const json then = answer({"phase", build, "--set", "fitted.lay={inlet=" + best["lay"].dump() + ",exhaust=0}", "--set",
                            "fitted.cam_key_deg={inlet=" + best["cam_key_deg"].dump() + ",exhaust=0}", "--set",
                            "fitted.crank_key_deg=" + best["crank_key_deg"].dump()});
  CHECK_THAT(number(then["camshafts"][0]["phase_deg"]), WithinAbs(number(best["phase_deg"]), 1e-9));
  CHECK(best["words"].get<std::string>().find("at \"inlet\"") != std::string::npos);
}

TEST_CASE("chain: sizes are ISO 606's", "[cli][chain]") {
  const json chain = answer({"chain"});
  CHECK(chain["within_limits"] == true);
  CHECK(chain["out_of_limits"].empty());
  CHECK(chain["loop"] == 1);
  REQUIRE(chain["sprockets"].size() == 2);
  // 06B: p = 9.525, d1 = 6.35, b1 = 5.72 mm; d = p / sin(180/z), d_f = d - d1, M_R = d cos(90/z) + d1 for odd z (ISO
  // 606).
  const double half_tooth_rad = std::numbers::pi / 19.0;
  const double pitch_diameter_mm = 9.525 / std::sin(half_tooth_rad);
  const json& crank = chain["sprockets"][0];
  CHECK_THAT(number(crank["pitch_diameter_mm"]), WithinAbs(pitch_diameter_mm, 1e-9));
  CHECK_THAT(number(crank["root_diameter_mm"]), WithinAbs(pitch_diameter_mm - 6.35, 1e-9));
  CHECK_THAT(number(crank["over_pins_mm"]), WithinAbs(pitch_diameter_mm * std::cos(half_tooth_rad / 2.0) + 6.35, 1e-9));
  CHECK_THAT(number(chain["chain"]["side_play_mm"]) + number(crank["tooth_width_mm"]), WithinAbs(5.72, 1e-9));
}

TEST_CASE("chain: the wear curve is what phase says of each elongation", "[cli][chain]") {
  const json chain = answer({"chain", twin, "--band", "3"});
  const json& curve = chain["wear"]["curve"];
  REQUIRE(curve.size() == 16);
  const auto phase_at = [](double percent) {
    return answer({"phase", twin, "--set", "fitted.elongation_percent=" + std::to_string(percent)});
  };
  for (const std::size_t i : {std::size_t{0}, std::size_t{6}, std::size_t{15}}) {
    const json phase = phase_at(number(curve[i]["elongation_percent"]));
    for (const std::size_t k : {std::size_t{0}, std::size_t{1}})
      CHECK_THAT(number(curve[i]["phase_deg"][k]), WithinAbs(number(phase["camshafts"][k]["phase_deg"]), 1e-3));
    CHECK_THAT(number(curve[i]["travel_mm"]["greatest"]),
               WithinAbs(number(phase["loops"][0]["tensioner"]["travel_mm"]["greatest"]), 1e-3));
  }
  for (const std::size_t k : {std::size_t{0}, std::size_t{1}})
    CHECK_THAT(
        number(phase_at(number(chain["wear"]["leaves_band"][k]["elongation_percent"]))["camshafts"][k]["phase_deg"]),
        WithinAbs(-3.0, 1e-3));
  // Ride-out of the rollers is the pitch radius's growth; the rule of 200 / z is the handbooks'.
  for (std::size_t i = 0; i < 3; ++i)
    CHECK_THAT(number(chain["wear"]["at_limit"][i]["ride_out_mm"]),
               WithinRel(0.008 * number(chain["sprockets"][i]["pitch_diameter_mm"]) / 2.0, 1e-9));
  CHECK_THAT(number(chain["wear"]["large_sprocket_percent"]), WithinAbs(200.0 / 30.0, 1e-9));
}

TEST_CASE("chain: out of limits by its wear, or when the tensioner has run out", "[cli][chain]") {
  CHECK(answer({"chain", "--set", "fitted.elongation_percent=1.49"})["within_limits"] == true);
  const json worn = answer({"chain", "--set", "fitted.elongation_percent=1.5"}, 1);
  CHECK(worn["within_limits"] == false);
  CHECK(worn["out_of_limits"].size() == 1);
  const double runs_out_percent = number(answer({"chain", twin})["wear"]["runs_out_percent"]);
  const auto twin_at = [](double percent, int exit_code) {
    return answer({"chain", twin, "--set", "chain.wear_limit_percent=3", "--set",
                   "fitted.elongation_percent=" + std::to_string(percent)},
                  exit_code);
  };
  CHECK(twin_at(runs_out_percent - 0.01, 0)["chain"]["fitted"]["tensioner"]["travel_mm"].is_object());
  const json gone = twin_at(runs_out_percent + 0.01, 1);
  CHECK(gone["out_of_limits"].size() == 1);
  CHECK(gone["out_of_limits"][0] == "the tensioner runs out of travel");
  CHECK(gone["chain"]["fitted"].is_null());
  CHECK(gone["counting"]["marks"].is_null());
}

TEST_CASE("chain: which links fit, and which centres they ask for", "[cli][chain]") {
  const std::string engine = models_path("marram-1420.toml");
  const json centres = answer({"chain", engine, "--links", "52"})["centres"];
  bool seen = false;
  for (const json& fit : centres["links_that_fit"]) {
    const int links = fit["links"];
    CHECK(fit["cranked"] == (links % 2 == 1));
    if (links < 52) CHECK(fit["fits"] == false);
    CHECK(fit["fits"] == fit["why_not"].is_null());
    if (links != 52) continue;
    seen = true;
    CHECK(fit["fits"] == true);
    const json slack_mm = answer({"phase", engine})["slack_mm"];
    CHECK_THAT(number(fit["slack_mm"]["least"]), WithinAbs(number(slack_mm["least"]), 1e-9));
  }
  CHECK(seen);
  // At the centres that 52 links are just straight on, they hang by nothing where they are tightest.
  const std::string tight = centres["for_links"]["tight_mm"].dump();
  const json on_them = answer(
      {"chain", engine, "--set", "sprocket.cam.centre_mm=[0," + tight + "]", "--set", "fitted.centre_change_mm=-1e-7"});
  CHECK_THAT(number(on_them["chain"]["fitted"]["slack_mm"]["least"]), WithinAbs(0.0, 1e-5));
}

TEST_CASE("chain: what moving the centres and warmth do", "[cli][chain]") {
  const json asked = answer({"chain", "--centre-change", "-0.2", "--block-growth", "1.2e-5", "--chain-growth", "1.2e-5",
                             "--rise", "80"})["centres"];
  const json faced = answer({"phase", "--set", "fitted.centre_change_mm=-0.3"}); // the demo's is -0.1 already
  CHECK_THAT(number(asked["centre_change"]["phase_after_deg"][0]), WithinAbs(number(faced["phase_deg"]), 1e-9));
  CHECK_THAT(number(asked["centre_change"]["slack_after_mm"]["least"]),
             WithinAbs(number(faced["slack_mm"]["least"]), 1e-9));
  // Block and chain of one expansion: the same drive, larger by as much.
  const json& warm = asked["warmth"];
  CHECK_THAT(number(warm["phase_after_deg"][0]), WithinAbs(number(warm["phase_before_deg"][0]), 1e-9));
  CHECK_THAT(number(warm["slack_after_mm"]["greatest"]),
             WithinRel(number(warm["slack_before_mm"]["greatest"]) * (1.0 + 1.2e-5 * 80.0), 1e-9));
  const json apart = answer({"chain", "--centre-change", "3"})["centres"]["centre_change"];
  CHECK(apart["can_be"] == false);
  CHECK(apart["slack_after_mm"].is_null());
}

// 52 links over 19 and 38 teeth, by hand: 52 and 19 share nothing, 52 and 38 share 2; the chain goes round in 52/19
// turns.
TEST_CASE("chain: what is counted, and the lay a count shows", "[cli][chain]") {
  const json counting = answer({"chain", "--count", "18"})["counting"];
  CHECK(counting["lay_from_count"]["lay"] == -2);
  CHECK(counting["lay_from_count"]["as_marked"] == 16);
  CHECK(counting["marks"][0]["taut_side"] == answer({"phase"})["pins_between_marks"]);
  CHECK(counting["chain_round_crank_turns"] == json{52, 19});
  CHECK(counting["hunting"][0]["turns"] == 52);
  CHECK(counting["hunting"][0]["shared"] == 1);
  CHECK(counting["hunting"][1]["turns"] == 26);
  CHECK(counting["hunting"][1]["shared"] == 2);
  CHECK(counting["mark_cycles"][0]["bright_crank_turns"] == 52);
  const json second = answer({"chain", two_stages, "--loop", "2"});
  CHECK(second["loop"] == 2);
  CHECK(second["counting"]["marks"].is_null());
  CHECK(second["counting"]["mark_cycles"][0]["camshaft"] == "cam");
}
