// Every correction the stock allows, best first.
#include "bench/degree.hpp"
#include "bench/plan_words.hpp"

#include "cli/clearance_case.hpp"
#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/plan_known.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

// The figures of the row say themselves when a valve is too near along its axis.
std::string safe_words(const PlanOption& option, const Target& target, const GapsKnown& known) {
  if (option.safe) return too_near_to_tell(option, target, known) ? "measure" : "yes";
  if (!option.goes_together) return "NO: does not go together";
  if (!option.unsafe_by || *option.unsafe_by == ClearanceCriterion::axial) return "NO";
  return fmt::format("NO: {}", way_word(*option.unsafe_by));
}

std::string options_table(const Engine& engine, const Plan& plan, std::size_t count, const Target& target,
                          const GapsKnown& known) {
  const bool both = plan.camshafts.size() > 1;
  std::vector<std::vector<std::string>> rows{{"", "phase", "off target", "inlet", "exhaust", "safe", "how"},
                                             {"", "crank °", "crank °", "mm", "mm", "", ""}};
  const auto figures = [both](const std::array<double, most_planned>& deg) {
    return signed_fixed(deg[0], 2) + (both ? " / " + signed_fixed(deg[1], 2) : "");
  };
  for (std::size_t i = 0; i < count; ++i) {
    const PlanOption& option = plan.options[i];
    rows.push_back({fmt::format("{}", i + 1), figures(option.phase_deg), figures(option.error_deg),
                    gap_words(option.least(ValveKind::inlet), target.min_clearance_inlet_mm),
                    gap_words(option.least(ValveKind::exhaust), target.min_clearance_exhaust_mm),
                    safe_words(option, target, known), option_words(engine, plan, option)});
  }
  return table({Align::right, Align::right, Align::right, Align::right, Align::right, Align::left, Align::left}, rows);
}

std::string camshaft_lines(const Engine& engine, const Build& build, const Plan& plan) {
  std::string page;
  for (const PlannedCamshaft& planned : plan.camshafts)
    page += fmt::format("Target{0}: {1}.\nAs fitted{0}: {2}.\n", at_camshaft_words(engine, planned.camshaft),
                        target_words(engine, build, planned), phase_words(planned.fitted_phase_deg));
  if (!plan.target_by_crank_key.empty())
    page +=
        "A crank key moves the other camshaft as well, and with it where lifts are equal: \"off target\" counts from "
        "there, with each key.\n";
  if (plan.goes_by_readings)
    for (const auto& [name, deg] : plan.base.found_of) {
      if (deg == found_of(build.fitted, name)) continue;
      page += found_words(engine, name, deg) + "; the plan goes by the readings. \"degree\" has the figures.\n";
    }
  return page;
}

std::string wanted_lines(const Plan& plan) {
  if (plan.wanted.empty()) return {};
  std::string page = "\nNot on the shelf, but nearer:\n";
  for (const WantedPart& part : plan.wanted) page += fmt::format("  {}.\n", part.words);
  return page;
}

std::string best_line(const Engine& engine, const Plan& plan, const PlanOption& best) {
  std::string line = fmt::format("Best: {}.", option_words(engine, plan, best));
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i)
    line += fmt::format(" Phase{} {}° crank, {}° crank off target.",
                        plan.camshafts.size() > 1
                            ? fmt::format(" of \"{}\"", engine.camshafts[plan.camshafts[i].camshaft].name)
                            : std::string(),
                        signed_fixed(best.phase_deg[i], 2), signed_fixed(best.error_deg[i], 2));
  return line + "\n";
}

std::string plan_page(const Context& context, const Plan& plan, const GapsKnown& known) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const auto safe = static_cast<int>(std::ranges::count_if(plan.options, &PlanOption::safe));
  const std::string title = title_words(engine, build) + "\n";
  const PlanOption& best = plan.options.front();
  std::string page;
  if (safe == 0)
    page = fmt::format("NOT SAFE: none of the {} keeps the valves clear of the pistons and of each other by the "
                       "limits. Do not fit "
                       "any of them.\n",
                       count_words(static_cast<int>(plan.options.size()), "option", "options")) +
           title;
  else
    page = title + best_line(engine, plan, best);
  if (safe > 0)
    for (const std::string& note : option_notes(engine, plan, best)) page += fmt::format("      {}.\n", note);
  page += camshaft_lines(engine, build, plan) + "\n";

  const std::size_t count = std::min(plan.options.size(), static_cast<std::size_t>(context.options.top));
  page += options_table(engine, plan, count, build.target, known);
  page += fmt::format(
      "\n{} in all, {} safe; {} shown. Clearances are along the valves' axes, the lesser of now and with the "
      "chain worn; the limits are {} mm at the inlet and {} mm at the exhaust. Sideways {} mm is kept, "
      "and {} mm between the valves.\n",
      count_words(static_cast<int>(plan.options.size()), "option", "options"), safe, count,
      fixed(build.target.min_clearance_inlet_mm, 2), fixed(build.target.min_clearance_exhaust_mm, 2),
      fixed(build.target.min_clearance_radial_mm, 2), fixed(build.target.min_valve_to_valve_mm, 2));
  const auto any_shown = [&](const auto& has) {
    for (std::size_t i = 0; i < count; ++i)
      if (has(plan.options[i])) return true;
    return false;
  };
  if (any_shown([&](const PlanOption& option) { return option.safe && too_near_to_tell(option, build.target, known); }))
    page += "\"measure\": over its limit by less than the gap is known to (k = 2); measure before trusting it.\n";
  const auto off_marks = [](const PlanOption& option) {
    return std::ranges::any_of(option.cams, [](const CamSetting& cam) { return cam.lay != 0; });
  };
  bool lay_known = true; // else the notes say to see where the marks stand
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) lay_known = lay_known && teeth_found(engine, plan, i) == 0;
  if (lay_known && any_shown(off_marks))
    page += "Where the chain is laid off the marks, they no longer face each other with No. 1 at TDC.\n";
  page += wanted_lines(plan);
  return wild_warning(known) + page + "\n" + cautions();
}

Json setting_json(const Build& build, const CamSetting& cam) {
  const bool has_slots = build.stock.slots_deg.has_value() || cam.slot_deg != 0.0;
  return Json::object({{"lay", cam.lay},
                       {"cam_key_deg", cam.cam_key_deg},
                       {"vernier", build.stock.vernier ? Json::object({{"hub_hole", cam.holes.hub_hole},
                                                                       {"sprocket_hole", cam.holes.sprocket_hole}})
                                                       : Json()},
                       {"slot_deg", has_slots ? Json(cam.slot_deg) : Json()}});
}

// The first planned camshaft's settings stand by themselves; of two, both stand in a list as well.
Json option_json(const Engine& engine, const Build& build, const Plan& plan, const PlanOption& option,
                 const GapsKnown& known) {
  Json notes = Json::array();
  for (const std::string& note : option_notes(engine, plan, option)) notes.add(note);
  Json json = setting_json(build, option.cams[0]);
  json.set("crank_key_deg", option.crank_key_deg)
      .set("phase_deg", option.phase_deg[0])
      .set("error_deg", option.error_deg[0])
      .set("target_phase_deg", option.phase_deg[0] - option.error_deg[0])
      .set("clearance_inlet_mm", option.now(ValveKind::inlet))
      .set("clearance_exhaust_mm", option.now(ValveKind::exhaust))
      .set("worn_inlet_mm", option.worn(ValveKind::inlet))
      .set("worn_exhaust_mm", option.worn(ValveKind::exhaust))
      .set("safe", option.safe)
      .set("sure", option.safe && !known.wild && !too_near_to_tell(option, build.target, known))
      .set("goes_together", option.goes_together)
      .set("unsafe_by", option.unsafe_by ? Json(way_word(*option.unsafe_by)) : Json())
      .set("changes", option.changes)
      .set("words", option_words(engine, plan, option))
      .set("notes", notes);
  if (plan.camshafts.size() < 2) return json;
  Json camshafts = Json::array();
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) {
    Json camshaft = setting_json(build, option.cams[i]);
    camshaft.set("name", engine.camshafts[plan.camshafts[i].camshaft].name)
        .set("phase_deg", option.phase_deg[i])
        .set("error_deg", option.error_deg[i]);
    camshafts.add(camshaft);
  }
  return json.set("camshafts", camshafts);
}

Json planned_json(const Engine& engine, const Plan& plan) {
  Json camshafts = Json::array();
  for (const PlannedCamshaft& planned : plan.camshafts)
    camshafts.add(Json::object({{"name", engine.camshafts[planned.camshaft].name},
                                {"target_phase_deg", planned.target_phase_deg},
                                {"fitted_phase_deg", planned.fitted_phase_deg},
                                {"wear_deg", planned.wear_deg}}));
  return camshafts;
}

Json wanted_json(const Engine& engine, const Plan& plan) {
  Json wanted = Json::array();
  for (const WantedPart& part : plan.wanted)
    wanted.add(Json::object({{"at", part.at == KeyAt::crank ? "crank" : "cam"},
                             {"camshaft", engine.camshafts[plan.camshafts[part.planned].camshaft].name},
                             {"key_deg", part.key_deg},
                             {"lay", part.lay},
                             {"error_deg", part.error_deg},
                             {"words", part.words}}));
  return wanted;
}

} // namespace

Result<Answer> plan_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<Plan> plan = plan_corrections(engine, build, context.options.lay_reach);
  if (!plan) return plan.problems();
  const Result<GapsKnown> known = gaps_known(context);
  if (!known) return known.problems();

  Answer answer;
  answer.exit_code = std::ranges::any_of(plan->options, &PlanOption::safe) ? exit_done : exit_out_of_limits;
  answer.page = plan_page(context, *plan, *known);
  Json options = Json::array();
  for (const PlanOption& option : plan->options) options.add(option_json(engine, build, *plan, option, *known));
  const PlannedCamshaft& first = plan->camshafts.front();
  answer.json = Json::object({{"camshaft", engine.camshafts[first.camshaft].name},
                              {"target_phase_deg", first.target_phase_deg},
                              {"fitted_phase_deg", first.fitted_phase_deg},
                              {"camshafts", planned_json(engine, *plan)},
                              {"goes_by_readings", plan->goes_by_readings},
                              {"wanted", wanted_json(engine, *plan)}});
  answer.json.set("limits", Json::object({{"inlet_mm", build.target.min_clearance_inlet_mm},
                                          {"exhaust_mm", build.target.min_clearance_exhaust_mm},
                                          {"radial_mm", build.target.min_clearance_radial_mm},
                                          {"valve_to_valve_mm", build.target.min_valve_to_valve_mm}}));
  answer.json.set("options", options);
  return answer;
}

} // namespace phasewright::cli
