// Every correction the stock allows, best first.
#include "bench/plan.hpp"

#include "bench/offset_key.hpp"
#include "cli/clearance_case.hpp"
#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

std::string mm_or_dash(const std::optional<double>& mm) {
  return mm ? fixed(*mm, 2) : "?";
}

// The lesser of the present and the worn clearance: what the limit is held against.
std::optional<double> lesser(const std::optional<double>& now, const std::optional<double>& worn) {
  return now && worn ? std::min(*now, *worn) : now;
}

std::string target_words(const Build& build, double target_phase_deg) {
  const std::string phase = phase_words(target_phase_deg);
  if (build.target.inlet_centre_deg)
    return fmt::format("inlet lobe centre {}° ATDC (crank degrees), which is {}",
                       fixed(*build.target.inlet_centre_deg, 1), phase);
  return phase;
}

// What the closed gaps are known to, and whether the readings they rest on can be right.
struct GapsKnown {
  std::array<double, 2> u_mm{}; // inlet, exhaust
  bool wild = false;
};

Result<GapsKnown> gaps_known(const Context& context) {
  const Build& build = context.opened.build;
  const Result<Mechanism> now = Mechanism::assemble(context.opened.engine, build.fitted);
  if (!now) return now.problems();
  const Result<ClearanceModel> model = ClearanceModel::make(*now, build.measured, build.instruments);
  if (!model) return model.problems();
  GapsKnown known;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    if (!model->has(kind)) continue;
    known.u_mm[kind == ValveKind::inlet ? 0 : 1] = model->fit(kind).u_mm;
    known.wild = known.wild || model->fit(kind).wild;
  }
  return known;
}

// Over its limit by less than its gap is known to (k = 2).
bool too_near_to_tell(const PlanOption& option, const Target& target, const GapsKnown& known) {
  const auto near = [](const std::optional<double>& mm, double limit_mm, double u_mm) {
    return mm && *mm < limit_mm + coverage * u_mm;
  };
  return near(lesser(option.clearance_inlet_mm, option.worn_inlet_mm), target.min_clearance_inlet_mm, known.u_mm[0]) ||
         near(lesser(option.clearance_exhaust_mm, option.worn_exhaust_mm), target.min_clearance_exhaust_mm,
              known.u_mm[1]);
}

// The figures of the row say themselves when a valve is too near along its axis.
std::string safe_words(const PlanOption& option, const Target& target, const GapsKnown& known) {
  if (option.safe) return too_near_to_tell(option, target, known) ? "measure" : "yes";
  if (!option.unsafe_by || *option.unsafe_by == ClearanceCriterion::axial) return "NO";
  return fmt::format("NO: {}", way_word(*option.unsafe_by));
}

std::string options_table(const Plan& plan, std::size_t count, const Target& target, const GapsKnown& known) {
  std::vector<std::vector<std::string>> rows{{"", "phase", "off target", "inlet", "exhaust", "safe", "how"},
                                             {"", "crank °", "crank °", "mm", "mm", "", ""}};
  for (std::size_t i = 0; i < count; ++i) {
    const PlanOption& option = plan.options[i];
    rows.push_back({fmt::format("{}", i + 1), signed_fixed(option.phase_deg, 2), signed_fixed(option.error_deg, 2),
                    mm_or_dash(lesser(option.clearance_inlet_mm, option.worn_inlet_mm)),
                    mm_or_dash(lesser(option.clearance_exhaust_mm, option.worn_exhaust_mm)),
                    safe_words(option, target, known), option.words});
  }
  return table({Align::right, Align::right, Align::right, Align::right, Align::right, Align::left, Align::left}, rows);
}

// How the keys of an option face, and what else it moves.
std::vector<std::string> fitting_notes(const Engine& engine, const PlanOption& option) {
  std::vector<std::string> notes;
  const auto cam = engine.cam_seats.find(option.camshaft);
  if (option.cam_key_deg != 0.0 && cam != engine.cam_seats.end())
    notes.push_back("cam key: " + step_words(KeyAt::cam, option.cam_key_deg, engine.rotation, cam->second.diameter_mm));
  if (option.crank_key_deg != 0.0) {
    notes.push_back("crank key: " +
                    step_words(KeyAt::crank, option.crank_key_deg, engine.rotation, engine.crank_seat.diameter_mm));
    if (option.others) notes.push_back("the crank key moves the other camshafts as much");
    notes.push_back(fmt::format("the marks then line up with No. 1 {}° crank {} TDC", std::fabs(option.crank_key_deg),
                                option.crank_key_deg > 0.0 ? "before" : "after"));
  }
  if (option.lay != 0)
    notes.push_back(fmt::format("the marks no longer face: the cam's stands {} {} of them",
                                count_words(std::abs(option.lay), "tooth", "teeth"),
                                option.lay > 0 ? "ahead" : "behind"));
  return notes;
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
    page = title + fmt::format("Best: {}. Phase {}° crank, {}° crank off target.\n", best.words,
                               signed_fixed(best.phase_deg, 2), signed_fixed(best.error_deg, 2));
  if (safe > 0)
    for (const std::string& note : fitting_notes(engine, best)) page += fmt::format("      {}.\n", note);
  page += fmt::format("Target{0}: {1}.\nAs fitted{0}: {2}.\n\n", at_camshaft_words(engine, plan.camshaft),
                      target_words(build, plan.target_phase_deg), phase_words(plan.fitted_phase_deg));

  const std::size_t count = std::min(plan.options.size(), static_cast<std::size_t>(context.options.top));
  page += options_table(plan, count, build.target, known);
  page += fmt::format(
      "\n{} in all, {} safe; {} shown. Clearances are along the valves' axes, the lesser of now and with the "
      "chain worn; the limits are {} mm at the inlet and {} mm at the exhaust. Sideways {} mm is kept, "
      "and {} mm between the valves.\n",
      count_words(static_cast<int>(plan.options.size()), "option", "options"), safe, count,
      fixed(build.target.min_clearance_inlet_mm, 2), fixed(build.target.min_clearance_exhaust_mm, 2),
      fixed(build.target.min_clearance_radial_mm, 2), fixed(build.target.min_valve_to_valve_mm, 2));
  const auto any_shown = [&](const auto& has) {
    return std::any_of(plan.options.begin(), plan.options.begin() + static_cast<std::ptrdiff_t>(count), has);
  };
  if (any_shown([&](const PlanOption& option) { return option.safe && too_near_to_tell(option, build.target, known); }))
    page += "\"measure\": over its limit by less than the gap is known to (k = 2); measure before trusting it.\n";
  if (any_shown([](const PlanOption& option) { return option.lay != 0; }))
    page += "Where the chain is laid off the marks, they no longer face each other with No. 1 at TDC.\n";
  if (known.wild)
    page = "WARNING: the clearance readings can hardly be right, and all that follows rests on them: see the page of "
           "\"clearance\".\n" +
           page;
  return page + "\n" + cautions();
}

Json option_json(const Engine& engine, const Build& build, const PlanOption& option, const GapsKnown& known) {
  const bool has_vernier = build.stock.vernier.has_value();
  const bool has_slots = build.stock.slots_deg.has_value() || option.slot_deg != 0.0;
  Json notes = Json::array();
  for (const std::string& note : fitting_notes(engine, option)) notes.add(note);
  return Json::object({{"lay", option.lay},
                       {"crank_key_deg", option.crank_key_deg},
                       {"cam_key_deg", option.cam_key_deg},
                       {"vernier", has_vernier ? Json::object({{"hub_hole", option.holes.hub_hole},
                                                               {"sprocket_hole", option.holes.sprocket_hole}})
                                               : Json()},
                       {"slot_deg", has_slots ? Json(option.slot_deg) : Json()},
                       {"phase_deg", option.phase_deg},
                       {"error_deg", option.error_deg},
                       {"clearance_inlet_mm", option.clearance_inlet_mm},
                       {"clearance_exhaust_mm", option.clearance_exhaust_mm},
                       {"worn_inlet_mm", option.worn_inlet_mm},
                       {"worn_exhaust_mm", option.worn_exhaust_mm},
                       {"safe", option.safe},
                       {"sure", option.safe && !known.wild && !too_near_to_tell(option, build.target, known)},
                       {"unsafe_by", option.unsafe_by ? Json(way_word(*option.unsafe_by)) : Json()},
                       {"changes", option.changes},
                       {"words", option.words},
                       {"notes", notes}});
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
  for (const PlanOption& option : plan->options) options.add(option_json(engine, build, option, *known));
  answer.json = Json::object({{"camshaft", engine.camshafts[plan->camshaft].name},
                              {"target_phase_deg", plan->target_phase_deg},
                              {"fitted_phase_deg", plan->fitted_phase_deg}});
  answer.json.set("limits", Json::object({{"inlet_mm", build.target.min_clearance_inlet_mm},
                                          {"exhaust_mm", build.target.min_clearance_exhaust_mm},
                                          {"radial_mm", build.target.min_clearance_radial_mm},
                                          {"valve_to_valve_mm", build.target.min_valve_to_valve_mm}}));
  answer.json.set("options", options);
  return answer;
}

} // namespace phasewright::cli
