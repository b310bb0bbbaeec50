// The JSON that scripts rely on: names, meaning, and figures that must agree with one another.
#include "cli/answer.hpp"
#include "support/catch.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <numbers>
#include <set>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

double phase_of(const std::vector<std::string>& overrides) {
  std::vector<std::string> arguments{"phase"};
  for (const std::string& text : overrides) {
    arguments.emplace_back("--set");
    arguments.push_back(text);
  }
  return number(answer(arguments)["phase_deg"]);
}

// Degrees from a to b, forward round the cycle.
double forward_deg(double a, double b) {
  return std::fmod(b - a + 720.0, 720.0);
}

} // namespace

TEST_CASE("phase: the causes add up, each in its place", "[cli][phase]") {
  const std::vector<std::string> mixed{"phase",
                                       "--set",
                                       "fitted.lay=1",
                                       "--set",
                                       "fitted.crank_key_deg=-3",
                                       "--set",
                                       "fitted.cam_key_deg=2.5",
                                       "--set",
                                       "fitted.elongation_percent=1.1",
                                       "--set",
                                       "fitted.centre_change_mm=0.1"};
  for (const auto& arguments : {std::vector<std::string>{"phase"}, mixed}) {
    const json phase = answer(arguments);
    check_has(phase, {"phase_deg", "parts", "slack_mm", "marks", "pins_between_marks", "target_phase_deg", "keys"});
    double sum_deg = 0.0;
    std::vector<std::string> causes;
    for (const json& part : phase["parts"]) {
      sum_deg += number(part["deg"]);
      causes.push_back(part["cause"]);
    }
    CHECK(causes == std::vector<std::string>{"lay", "crank key", "cam key", "elongation", "centre change", "vernier",
                                             "slots", "found by readings"});
    CHECK_THAT(sum_deg, WithinAbs(number(phase["phase_deg"]), 1e-10));
  }
  const json parts = answer(mixed)["parts"];
  CHECK_THAT(number(parts[0]["deg"]), WithinAbs(720.0 / 38.0, 1e-10));
  CHECK_THAT(number(parts[1]["deg"]), WithinAbs(-3.0, 1e-10));
  CHECK_THAT(number(parts[2]["deg"]), WithinAbs(5.0, 1e-10)); // 2.5 cam degrees
}

TEST_CASE("phase: a tooth is 720 / teeth of the cam sprocket, a key its own angle", "[cli][phase]") {
  const double fitted_deg = phase_of({});
  CHECK_THAT(phase_of({"fitted.lay=1"}) - fitted_deg, WithinAbs(18.947368421052632, 1e-9));
  CHECK_THAT(phase_of({"fitted.lay=-2"}) - fitted_deg, WithinAbs(-2.0 * 18.947368421052632, 1e-9));
  CHECK_THAT(phase_of({"fitted.crank_key_deg=4"}) - fitted_deg, WithinAbs(4.0, 1e-9));
  CHECK_THAT(phase_of({"fitted.cam_key_deg=-1.5"}) - fitted_deg, WithinAbs(-3.0, 1e-9));
  CHECK_THAT(phase_of({"fitted.elongation_percent=0", "fitted.centre_change_mm=0"}), WithinAbs(0.0, 1e-9));
  CHECK(phase_of({"fitted.elongation_percent=1.4"}) < fitted_deg); // a worn chain lets the cam fall back
}

TEST_CASE("phase: the key's step is r sin(a), and the pins between the marks tell the lay", "[cli][phase]") {
  const json phase = answer({"phase", "--set", "fitted.crank_key_deg=4", "--set", "fitted.cam_key_deg=-2"});
  const double deg = std::numbers::pi / 180.0;
  CHECK_THAT(number(phase["keys"]["crank"]["step_mm"]), WithinAbs(14.0 * std::sin(4.0 * deg), 1e-12));
  CHECK_THAT(number(phase["keys"]["cam"]["step_mm"]), WithinAbs(12.5 * std::sin(2.0 * deg), 1e-12));
  CHECK(phase["keys"]["crank"]["words"] == "crank key 4°, sprocket half leading");
  CHECK(phase["keys"]["cam"]["words"] == "cam key 2°, shaft half trailing");
  const auto pins = [](const char* lay) {
    return number(answer({"phase", "--set", lay})["pins_between_marks"]["pins"]);
  };
  // The cam's mark one tooth further along: one pin fewer to the crank's.
  CHECK(pins("fitted.lay=1") == pins("fitted.lay=0") - 1);
  CHECK(pins("fitted.lay=-2") == pins("fitted.lay=0") + 2);
}

TEST_CASE("pose: the chain closes at its own pitch, at any crank angle", "[cli][pose]") {
  const double pitch_mm = 9.525 * 1.009; // 06B, ISO 606; worn as the demo build says
  for (const char* crank : {"0", "123.456", "-90", "719.9", "1e6", "-1e6", "987654.321", "+45"}) {
    INFO("crank " << crank);
    const json pose = answer({"pose", "--crank", crank});
    check_has(pose, {"crank_deg", "sprockets", "camshafts", "strands", "tensioner", "pins", "valves", "pistons"});
    CHECK(pose["tensioner"].is_null());
    const json& pins = pose["pins"];
    REQUIRE(pins.size() == 52);
    double worst_mm = 0.0;
    for (std::size_t i = 0; i < pins.size(); ++i) {
      const json& next = pins[(i + 1) % pins.size()];
      const double apart_mm = std::hypot(number(next[0]) - number(pins[i][0]), number(next[1]) - number(pins[i][1]));
      worst_mm = std::max(worst_mm, std::fabs(apart_mm - pitch_mm));
    }
    CHECK(worst_mm < 1e-9);
  }
}

TEST_CASE("pose: marks, strands, valves and pistons", "[cli][pose]") {
  const json pose = answer({"pose", "--crank", "90"});
  CHECK(number(pose["crank_deg"]) == 90.0);
  CHECK(pose["sprockets"][0]["name"] == "crank");
  CHECK_THAT(number(pose["sprockets"][0]["mark_clock_deg"]), WithinAbs(90.0, 1e-9)); // clockwise engine, straight key
  CHECK_THAT(number(pose["sprockets"][0]["turned_deg"]), WithinAbs(90.0, 1e-9));
  CHECK_THAT(number(pose["sprockets"][1]["turned_deg"]), WithinAbs(45.0, 2.0)); // half, less wear
  CHECK(pose["strands"][0]["from"] == "crank");
  CHECK(pose["strands"][0]["to"] == "cam");
  CHECK(pose["strands"][0]["state"] == "slack");
  CHECK(number(pose["strands"][0]["slack_mm"]) > 0.0);
  CHECK(pose["strands"][1]["state"] == "taut");
  CHECK(number(pose["strands"][1]["slack_mm"]) == 0.0);
  CHECK(pose["valves"].size() == 8);
  CHECK(pose["pistons"].size() == 4);
  // Slider-crank in plane geometry, throw 43.5 and rod 152 mm: at 90 degrees the rod's foot is sqrt(l^2 - r^2) up.
  const double drop_mm = 43.5 + 152.0 - std::sqrt(152.0 * 152.0 - 43.5 * 43.5);
  for (const json& piston : pose["pistons"]) CHECK_THAT(number(piston["drop_mm"]), WithinAbs(drop_mm, 1e-9));
  // There the piston moves as fast as the crank's pin, down where the throw goes down, and the rod leans most.
  const double deg = std::numbers::pi / 180.0;
  CHECK_THAT(number(pose["pistons"][0]["mm_per_deg"]), WithinAbs(43.5 * deg, 1e-9));
  CHECK_THAT(number(pose["pistons"][1]["mm_per_deg"]), WithinAbs(-43.5 * deg, 1e-9));
  CHECK_THAT(number(pose["pistons"][0]["rod_deg"]), WithinAbs(std::asin(43.5 / 152.0) / deg, 1e-9));
  CHECK_THAT(number(pose["pistons"][1]["rod_deg"]), WithinAbs(-std::asin(43.5 / 152.0) / deg, 1e-9));
  // Rocker 1.3 : 1 and 0.30 mm of lash at the valve, as the engine file has them.
  CHECK_THAT(number(pose["valves"][0]["tappet_mm"]) * 1.3 - 0.3, WithinAbs(number(pose["valves"][0]["lift_mm"]), 1e-9));

  // 720 degrees on, everything is back but the pins have moved on and the turns are counted.
  const json later = answer({"pose", "--crank", "810"});
  for (std::size_t i = 0; i < 8; ++i)
    CHECK_THAT(number(later["valves"][i]["lift_mm"]), WithinAbs(number(pose["valves"][i]["lift_mm"]), 1e-12));
  CHECK_THAT(number(later["sprockets"][1]["turned_deg"]) - number(pose["sprockets"][1]["turned_deg"]),
             WithinAbs(360.0, 1e-9));
  const json far = answer({"pose", "--crank", "374490"}); // 10 times 52 cycles: every pin has come round
  for (std::size_t i = 0; i < far["pins"].size(); ++i)
    CHECK_THAT(number(far["pins"][i][0]), WithinAbs(number(pose["pins"][i][0]), 1e-9));
  CHECK_THAT(number(far["sprockets"][1]["turned_deg"]),
             WithinRel(number(pose["sprockets"][1]["turned_deg"]) + 187200.0, 1e-12));
}

TEST_CASE("events: centres, durations, overlap and separation agree", "[cli][events]") {
  const json events = answer({"events"});
  check_has(events, {"camshafts", "overlap_deg", "overlap_at_lash_deg", "separation_deg", "compression"});
  const json& cam = events["camshafts"][0];
  for (const char* valve : {"inlet", "exhaust"}) {
    const json& kind = cam[valve];
    check_has(kind, {"centre_deg", "centre_crank_deg", "at_check", "at_lash", "lift_at_tdc_mm", "greatest_lift_mm"});
    for (const char* at : {"at_check", "at_lash"}) {
      const json& span = kind[at];
      const double opens_deg = number(span["opens_deg"]);
      const double closes_deg = number(span["closes_deg"]);
      CHECK((opens_deg >= 0.0 && opens_deg < 720.0));
      CHECK((closes_deg >= 0.0 && closes_deg < 720.0));
      CHECK_THAT(forward_deg(opens_deg, closes_deg), WithinAbs(number(span["duration_deg"]), 1e-9));
    }
    CHECK(number(kind["at_lash"]["duration_deg"]) > number(kind["at_check"]["duration_deg"]));
  }
  const double inlet_deg = number(cam["inlet"]["centre_deg"]);
  const double exhaust_deg = number(cam["exhaust"]["centre_deg"]);
  CHECK_THAT(number(events["separation_deg"]), WithinAbs((inlet_deg + exhaust_deg) / 2.0, 1e-9));
  CHECK_THAT(
      forward_deg(number(cam["inlet"]["at_check"]["opens_deg"]), number(cam["exhaust"]["at_check"]["closes_deg"])),
      WithinAbs(number(events["overlap_deg"]), 1e-9));
  CHECK(number(events["compression"]["effective"]) < number(events["compression"]["static"]));
  // Swept and clearance volumes by hand: the cylinder of bore 72 and stroke 87 over chamber, gasket, deck and dish.
  const double quarter_pi = std::numbers::pi / 4.0;
  const double swept_cc = quarter_pi * 7.2 * 7.2 * 8.7;
  const double left_cc = 34.0 + quarter_pi * (7.35 * 7.35 * 0.09 + 7.2 * 7.2 * 0.035) + 4.5;
  CHECK_THAT(number(events["compression"]["static"]), WithinAbs((swept_cc + left_cc) / left_cc, 1e-9));
}

TEST_CASE("events: at any lift, each lift's own figures", "[cli][events]") {
  const json events = answer({"events", "--lift", "1", "--lift", "1.27", "--lift", "20"});
  for (const char* valve : {"inlet", "exhaust"}) {
    const json& kind = events["camshafts"][0][valve];
    REQUIRE(kind["at_lift"].size() == 3);
    CHECK(number(kind["at_lift"][0]["lift_mm"]) == 1.0);
    CHECK(kind["at_lift"][0]["at"] == "tappet"); // as the check lift is taken
    CHECK(number(kind["at_lift"][0]["duration_deg"]) > number(kind["at_check"]["duration_deg"]));
    for (const char* figure : {"opens_deg", "closes_deg", "duration_deg"}) {
      CHECK(number(kind["at_lift"][1][figure]) == number(kind["at_check"][figure]));
      CHECK(kind["at_lift"][2][figure].is_null());
    }
  }
  const json at_valve = answer({"events", "--lift", "0.5", "--at", "valve"})["camshafts"][0]["inlet"]["at_lift"][0];
  CHECK(at_valve["at"] == "valve");
  // The valve has that very lift there.
  const json pose = answer({"pose", "--crank", at_valve["closes_deg"].dump()});
  CHECK_THAT(number(pose["valves"][0]["lift_mm"]), WithinAbs(0.5, 1e-9));
  CHECK(answer({"events"})["camshafts"][0]["inlet"]["at_lift"].empty());
  CHECK(run_program({"events", "--lift", "20"}).out.find("never") != std::string::npos);
}

TEST_CASE("events: any cylinder, or all in firing order", "[cli][events]") {
  const json all = answer({"events", "--cylinder", "all"});
  REQUIRE(all["cylinders"].size() == 4);
  const std::vector<int> order{1, 3, 4, 2};
  for (std::size_t i = 0; i < 4; ++i) {
    const json& one = all["cylinders"][i];
    CHECK(one["cylinder"] == order[i]);
    CHECK_THAT(number(one["overlap_tdc_deg"]), WithinAbs(180.0 * static_cast<double>(i), 1e-12));
    const json alone = answer({"events", "--cylinder", std::to_string(order[i])});
    CHECK_FALSE(alone.contains("cylinders"));
    CHECK(alone["camshafts"] == one["camshafts"]);
    CHECK(alone["overlap_area_mm_deg"] == one["overlap_area_mm_deg"]);
    // As of No. 1, but for the chain's ripple.
    CHECK_THAT(number(one["camshafts"][0]["inlet"]["centre_deg"]),
               WithinAbs(number(all["camshafts"][0]["inlet"]["centre_deg"]), 0.05));
    CHECK_THAT(number(one["camshafts"][0]["inlet"]["at_check"]["closes_deg"]),
               WithinAbs(std::fmod(number(all["camshafts"][0]["inlet"]["at_check"]["closes_deg"]) +
                                       180.0 * static_cast<double>(i),
                                   720.0),
                         0.1));
    CHECK_THAT(number(alone["compression"]["effective"]), WithinAbs(number(all["compression"]["effective"]), 0.01));
  }
}

TEST_CASE("events: the nose, the overlap's area and the dead centres", "[cli][events]") {
  const json events = answer({"events"});
  const json& inlet = events["camshafts"][0]["inlet"];
  CHECK_THAT(number(inlet["nose_deg"]), WithinAbs(number(inlet["centre_deg"]), 0.5)); // a nearly even lobe
  const json pose = answer({"pose", "--crank", inlet["greatest_at_deg"].dump()});
  CHECK_THAT(number(pose["valves"][0]["lift_mm"]), WithinAbs(number(inlet["greatest_lift_mm"]), 1e-9));
  // No less than a triangle under the lifts where they cross, no more than the box about it.
  const double lift_mm = number(inlet["lift_at_tdc_mm"]);
  const double over_deg = number(events["overlap_at_lash_deg"]);
  CHECK(number(events["overlap_area_mm_deg"]) > 0.2 * lift_mm * over_deg);
  CHECK(number(events["overlap_area_mm_deg"]) < lift_mm * over_deg);
  const json& centred = events["dead_centres"];
  CHECK(number(centred["bdc_deg"]) == 180.0);
  CHECK(number(centred["throw_at_tdc_deg"]) == 0.0);
  const json offset = answer({"events", "--set", "block.pin_offset_mm=2"})["dead_centres"];
  CHECK(number(offset["bdc_deg"]) > 180.0);
  CHECK_THAT(number(offset["down_stroke_deg"]) + number(offset["up_stroke_deg"]), WithinAbs(360.0, 1e-9));
}

TEST_CASE("events: the cranking estimate names what it assumes", "[cli][events]") {
  const json compression = answer({"events"})["compression"];
  const json& cranking = compression["cranking_kpa"];
  CHECK(number(cranking["exponent"]) == 1.3);
  CHECK(number(cranking["altitude_m"]) == 0.0);
  CHECK_THAT(number(cranking["atmosphere"]), WithinAbs(101.325, 1e-9)); // ISO 2533 at sea level
  CHECK_THAT(number(cranking["absolute"]), WithinAbs(101.325 * std::pow(number(compression["effective"]), 1.3), 1e-9));
  CHECK_THAT(number(cranking["gauge"]), WithinAbs(number(cranking["absolute"]) - number(cranking["atmosphere"]), 1e-9));
  const json high = answer({"events", "--altitude", "2000", "--exponent", "1.2"})["compression"]["cranking_kpa"];
  CHECK(number(high["gauge"]) < number(cranking["gauge"]));
  CHECK(number(high["exponent"]) == 1.2);
  const std::string page = run_program({"events"}).out;
  for (const char* said : {"a rough estimate", "ISO 2533", "p V^1.3", "rule of thumb"})
    CHECK(page.find(said) != std::string::npos);
}

TEST_CASE("events: an advanced cam has every event earlier by as much", "[cli][events]") {
  const json fitted = answer({"events"})["camshafts"][0];
  const json advanced = answer({"events", "--set", "fitted.crank_key_deg=4"})["camshafts"][0];
  // Within the polygon effect, which comes round at other angles: hundredths of a degree.
  CHECK_THAT(number(fitted["inlet"]["centre_deg"]) - number(advanced["inlet"]["centre_deg"]), WithinAbs(4.0, 0.05));
  CHECK_THAT(number(advanced["exhaust"]["centre_deg"]) - number(fitted["exhaust"]["centre_deg"]), WithinAbs(4.0, 0.05));
  CHECK(number(advanced["inlet"]["lift_at_tdc_mm"]) > number(fitted["inlet"]["lift_at_tdc_mm"]));
  CHECK(number(advanced["exhaust"]["lift_at_tdc_mm"]) < number(fitted["exhaust"]["lift_at_tdc_mm"]));
}

TEST_CASE("plan: best first, every figure as the other commands have it", "[cli][plan]") {
  const json plan = answer({"plan"});
  check_has(plan, {"target_phase_deg", "fitted_phase_deg", "options", "limits"});
  CHECK_THAT(number(plan["target_phase_deg"]), WithinAbs(2.0, 1e-12)); // 104 instead of the card's 106 ATDC
  const json& options = plan["options"];
  REQUIRE(options.size() == 3 * 9 * 7); // lay -1..1, crank keys -4..4, cam keys -3..3
  bool unsafe_seen = false;
  double last_error_deg = 0.0;
  std::set<std::string> seen;
  for (const json& option : options) {
    check_has(option, {"lay", "crank_key_deg", "cam_key_deg", "vernier", "slot_deg", "phase_deg", "error_deg",
                       "clearance_inlet_mm", "clearance_exhaust_mm", "safe", "words"});
    CHECK(seen.insert(option["words"]).second);
    CHECK_THAT(number(option["error_deg"]), WithinAbs(number(option["phase_deg"]) - 2.0, 1e-12));
    if (!option["safe"].get<bool>() && !unsafe_seen) {
      unsafe_seen = true;
      last_error_deg = 0.0;
    }
    CHECK(option["safe"].get<bool>() != unsafe_seen);
    CHECK(std::fabs(number(option["error_deg"])) >= last_error_deg - 1e-8);
    last_error_deg = std::fabs(number(option["error_deg"]));
  }
  CHECK(unsafe_seen);

  const json& best = options[0];
  CHECK(best["vernier"].is_null());
  CHECK(best["slot_deg"].is_null());
  const std::vector<std::string> fit{"--set", "fitted.lay=" + best["lay"].dump(),
                                     "--set", "fitted.crank_key_deg=" + best["crank_key_deg"].dump(),
                                     "--set", "fitted.cam_key_deg=" + best["cam_key_deg"].dump()};
  const auto with = [&fit](std::vector<std::string> words) {
    words.insert(words.end(), fit.begin(), fit.end());
    return answer(words);
  };
  CHECK_THAT(number(with({"phase"})["phase_deg"]), WithinAbs(number(best["phase_deg"]), 1e-9));
  const json clear = with({"clearance"});
  CHECK(clear["safe"] == best["safe"]);
  CHECK_THAT(number(clear["inlet"]["least_mm"]), WithinAbs(number(best["clearance_inlet_mm"]), 1e-3));
  CHECK_THAT(number(clear["worn"]["exhaust"]["least_mm"]), WithinAbs(number(best["worn_exhaust_mm"]), 0.01));
}

TEST_CASE("plan: reach, stock and what no option can do", "[cli][plan]") {
  CHECK(answer({"plan", "--lay", "0"})["options"].size() == 9 * 7);
  CHECK(answer({"plan", "--lay", "2"})["options"].size() == 5 * 9 * 7);
  CHECK(answer({"plan", "--top", "1"})["options"].size() == 3 * 9 * 7); // only the page is cut short
  const json vernier =
      answer({"plan", "--set", "stock.vernier={hub_holes=10,sprocket_holes=11}"})["options"][0]["vernier"];
  check_has(vernier, {"hub_hole", "sprocket_hole"});
  const json slotted = answer({"plan", "--set", "stock.slots_deg=[-8,8]"})["options"][0];
  CHECK(slotted["slot_deg"].is_number());
  CHECK_THAT(number(slotted["error_deg"]), WithinAbs(0.0, 1e-9));
  const json none = answer({"plan", "--set", "target.min_clearance_inlet_mm=9"}, 1);
  for (const json& option : none["options"]) CHECK(option["safe"] == false);
}

TEST_CASE("an engine file alone, a build file and the compiled-in demo are all answered", "[cli]") {
  CHECK(number(answer({"phase", models_path("marram-1420.toml")})["phase_deg"]) == 0.0);
  for (const char* command : {"phase", "events", "clearance", "plan", "pose", "chain"})
    CHECK(answer({command, models_path("sandling-14.build.toml")}) == answer({command}));
}
