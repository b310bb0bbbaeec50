// The clearance command's JSON: names, meaning, and figures that must agree with one another.
#include "cli/answer.hpp"

using namespace phasewright::testing;
using nlohmann::json;

TEST_CASE("clearance: now and worn, safe or not", "[cli][clearance]") {
  const json clear = answer({"clearance"});
  check_has(clear, {"safe", "inlet", "exhaust", "worn", "limits"});
  CHECK(clear["safe"] == true);
  check_has(clear["inlet"], {"least_mm", "at_crank_deg", "radial_mm"});
  check_has(clear["worn"]["exhaust"], {"least_mm", "at_crank_deg", "radial_mm"});
  CHECK(clear["inlet"]["radial_mm"].is_null()); // no pocket
  // A worn chain retards the cam: the inlet valve keeps further away, the exhaust valve comes nearer.
  CHECK(number(clear["worn"]["inlet"]["least_mm"]) > number(clear["inlet"]["least_mm"]));
  CHECK(number(clear["worn"]["exhaust"]["least_mm"]) < number(clear["exhaust"]["least_mm"]));

  const json close = answer({"clearance", "--set", "fitted.lay=1"}, 1);
  CHECK(close["safe"] == false);
  CHECK(number(close["inlet"]["least_mm"]) < number(close["limits"]["inlet_mm"]));
  const json limit = answer({"clearance", "--set", "target.min_clearance_exhaust_mm=5"}, 1);
  CHECK(number(limit["limits"]["exhaust_mm"]) == 5.0);
}

TEST_CASE("clearance: what each figure is good for and what moves it", "[cli][clearance]") {
  const json clear = answer({"clearance"});
  check_has(clear, {"between", "no_lash", "fit", "too_close"});
  CHECK(clear["too_close"].empty());
  for (const char* valve : {"inlet", "exhaust"}) {
    INFO(valve);
    const json& least = clear[valve];
    check_has(least, {"distance_mm", "radial_at_crank_deg", "u_mm", "slope_mm_per_deg", "retard_to_limit_deg",
                      "advance_to_limit_deg", "sure"});
    CHECK(number(least["u_mm"]) > 0.0);
    CHECK(number(least["distance_mm"]) <= number(least["least_mm"]) + 1e-9); // along the axis is one direction of any
    const double limit_mm = number(clear["limits"][std::string(valve) + "_mm"]);
    CHECK(least["sure"] == (number(least["least_mm"]) - limit_mm >= 2.0 * number(least["u_mm"])));
    // With no lash the valve stands open further by just that at its least clearance, or a hair more elsewhere.
    const double lash_mm = 0.3;
    CHECK(number(clear["no_lash"][valve]["least_mm"]) <= number(least["least_mm"]) - lash_mm + 1e-9);
    CHECK(number(clear["no_lash"][valve]["least_mm"]) > number(least["least_mm"]) - lash_mm - 0.05);
    check_has(clear["fit"][valve], {"readings", "correction_mm", "u_mm", "left_mm", "scattered", "wild"});
    CHECK(clear["fit"][valve]["left_mm"].size() == clear["fit"][valve]["readings"].get<std::size_t>());
  }
  CHECK(number(clear["inlet"]["slope_mm_per_deg"]) < 0.0); // an advanced inlet valve opens toward the piston
  CHECK(number(clear["exhaust"]["slope_mm_per_deg"]) > 0.0);
}

TEST_CASE("clearance: moved by the phase to its limit, a valve stands at its limit", "[cli][clearance]") {
  const json clear = answer({"clearance"});
  const json& advance = clear["inlet"]["advance_to_limit_deg"];
  const json& retard = clear["exhaust"]["retard_to_limit_deg"];
  CHECK(number(advance) > 0.0);
  CHECK(number(retard) < 0.0);
  const auto moved = [](double deg) { // right at a limit either verdict is a matter of the last digit
    return json::parse(
        run_program({"clearance", "--json", "--set", "fitted.crank_key_deg=" + std::to_string(deg)}).out);
  };
  // The chain's ripple, taken along by the crank's key, moves a clearance by thousandths.
  CHECK_THAT(number(moved(number(advance))["inlet"]["least_mm"]), WithinAbs(2.0, 5e-3));
  CHECK_THAT(number(moved(number(retard))["exhaust"]["least_mm"]), WithinAbs(2.5, 5e-3));
}

TEST_CASE("clearance: the curve against phase goes through what is fitted", "[cli][clearance]") {
  CHECK_FALSE(answer({"clearance"}).contains("phase_curve"));
  const json clear = answer({"clearance", "--curve"});
  const json& curve = clear["phase_curve"];
  REQUIRE(curve["extra_deg"].size() == 401);
  CHECK_THAT(number(curve["extra_deg"][0]), WithinAbs(-20.0, 1e-9));
  CHECK_THAT(number(curve["extra_deg"][201]), WithinAbs(0.1, 1e-9));
  CHECK_THAT(number(curve["inlet_mm"][200]), WithinAbs(number(clear["inlet"]["least_mm"]), 1e-6));
  CHECK_THAT((number(curve["inlet_mm"][201]) - number(curve["inlet_mm"][199])) / 0.2,
             WithinAbs(number(clear["inlet"]["slope_mm_per_deg"]), 1e-3));
}

TEST_CASE("clearance: a figure nearer its limit than it is good for is not trusted", "[cli][clearance]") {
  const std::vector<std::string> unmeasured{"clearance", "--set", "measured.clearance=[]"};
  const json drawn = answer(unmeasured);
  const double least_mm = number(drawn["inlet"]["least_mm"]);
  const double u_mm = number(drawn["inlet"]["u_mm"]);
  CHECK(u_mm > number(answer({"clearance"})["inlet"]["u_mm"])); // dimensions are worth less than a reading
  CHECK(drawn["fit"]["inlet"]["readings"] == 0);
  const auto with_limit = [&unmeasured](double mm) {
    std::vector<std::string> arguments = unmeasured;
    arguments.insert(arguments.end(), {"--set", "target.min_clearance_inlet_mm=" + std::to_string(mm)});
    return arguments;
  };
  const json near = answer(with_limit(least_mm - u_mm)); // safe, as far as the figure goes: exit 0
  CHECK(near["safe"] == true);
  CHECK(near["inlet"]["sure"] == false);
  CHECK(answer(with_limit(least_mm - 3.0 * u_mm))["inlet"]["sure"] == true);
  const std::string page = run_program(with_limit(least_mm - u_mm)).out;
  CHECK(page.find("\nOver the limits below, now and with the chain worn, but at the inlet valve too near to tell:") !=
        std::string::npos);
}

TEST_CASE("clearance: readings that no drawing is wrong by are cautioned against", "[cli][clearance]") {
  const std::vector<std::string> high{"clearance", "--set",
                                      "measured.clearance=[{ valve = \"inlet\", crank_deg = 12, clearance_mm = 9.5 }]"};
  const json found = answer(high);
  CHECK(found["safe"] == true);
  CHECK(found["fit"]["inlet"]["wild"] == true);
  CHECK(found["fit"]["exhaust"]["wild"] == false);
  const std::string page = run_program(high).out;
  CHECK(page.find("readings that can hardly be right") != std::string::npos);
  CHECK(page.find("WARNING: the inlet readings put the valve") != std::string::npos);
  CHECK(page.find("Safe by the limits") == std::string::npos);
}

TEST_CASE("clearance and plan: what makes a gap come out as nothing to worry about is cautioned against",
          "[cli][clearance]") {
  const auto cautioned = [](const char* command, const char* set, const char* words) {
    INFO(command << ' ' << set);
    CHECK(run_program({command, "--set", set}).out.find(words) != std::string::npos);
  };
  for (const char* command : {"clearance", "plan"}) {
    cautioned(command, "block.crown_cc=-15", "Caution: block.crown_cc says that the piston has a dome of 15 cc");
    cautioned(command, "valve.inlet.offset_mm=[-30,0]", "the inlet valve's head reaches");
    CHECK(run_program({command, "--set", "block.crown={shape=\"dished\",depth_mm=4,radius_mm=30}", "--set",
                       "valve.inlet.pocket={depth_mm=1,radius_mm=18}"})
              .out.find("Caution: the inlet valve's pocket cuts through the dish's wall") != std::string::npos);
    // 1.3 times 0.6 mm of lift is less than the lash.
    CHECK(run_program({command, "--set",
                       "camshaft.cam.inlet.lobe={kind=\"polynomial-4567\",lift_mm=0.6,duration_deg=240}", "--set",
                       "camshaft.cam.inlet.lash_mm=1"})
              .out.find("Caution: the inlet valve never opens") != std::string::npos);
  }
}

TEST_CASE("clearance goes by the readings, as the plan does", "[cli][clearance]") {
  // Both lobes read six degrees later than they were, which nothing that is drawn explains.
  const std::vector<std::string> late{
      "--set", "measured.lobe=[{valve=\"inlet\",cylinder=1,lift_mm=3,opens_deg=30,closes_deg=200.5},"
               "{valve=\"exhaust\",cylinder=1,lift_mm=3,opens_deg=535.5,closes_deg=702.5}]"};
  const auto with_late = [&](std::vector<std::string> arguments) {
    arguments.insert(arguments.end(), late.begin(), late.end());
    return arguments;
  };
  const json plan = answer(with_late({"plan"}));
  REQUIRE(plan["goes_by_readings"] == true);
  const auto as_fitted =
      std::ranges::find_if(plan["options"], [](const json& option) { return option["changes"] == 0; });
  REQUIRE(as_fitted != plan["options"].end());
  const json clearance = answer(with_late({"clearance"}), run_program(with_late({"clearance"})).exit_code);
  CHECK(clearance["goes_by_readings"] == true);
  // The plan reads its figures off a curve.
  CHECK_THAT(number(clearance["inlet"]["least_mm"]), WithinAbs(number((*as_fitted)["clearance_inlet_mm"]), 0.02));
  CHECK_THAT(number(clearance["exhaust"]["least_mm"]), WithinAbs(number((*as_fitted)["clearance_exhaust_mm"]), 0.02));
  CHECK(run_program(with_late({"clearance"})).out.find("of what the drive explains; the clearances go by") !=
        std::string::npos);
  CHECK(answer({"clearance"})["goes_by_readings"] == false);
}

TEST_CASE("plan: an option nearer its limit than its gap is known to is to be measured", "[cli][clearance]") {
  const json plan = answer({"plan", "--set", "target.min_clearance_inlet_mm=2.80"});
  int sure = 0;
  int unsure = 0;
  for (const json& option : plan["options"]) {
    if (option["safe"] != true) {
      CHECK(option["sure"] == false);
      continue;
    }
    const double lesser_mm = std::min(number(option["clearance_inlet_mm"]), number(option["worn_inlet_mm"]));
    if (lesser_mm < 2.85) CHECK(option["sure"] == false); // ± is more than 0.05 mm
    (option["sure"] == true ? sure : unsure) += 1;
  }
  CHECK(sure > 0);
  CHECK(unsure > 0);
  CHECK(run_program({"plan", "--set", "target.min_clearance_inlet_mm=2.80"}).out.find("measure before trusting it") !=
        std::string::npos);
}
