// An option of the plan put in place.
#include "bench/plan.hpp"
#include "bench/plan_words.hpp"

#include "cli/clearance_case.hpp"
#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/fit_page.hpp"
#include "cli/plan_known.hpp"
#include "cli/save.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace phasewright::cli {

namespace {

// Why an option is not safe: the figure, or the limit where a plan works out no figure.
std::string fault_words(const PlanOption& option, const Target& target) {
  if (!option.goes_together) return "the drive cannot be put together, now or with its chain worn to the limit";
  switch (option.unsafe_by.value_or(ClearanceCriterion::axial)) {
  case ClearanceCriterion::any_way:
    return fmt::format("a valve comes nearer to the piston sideways than its limit, {} mm at the inlet and {} mm at "
                       "the exhaust",
                       fixed(any_way_limit_mm(target, ValveKind::inlet), 2),
                       fixed(any_way_limit_mm(target, ValveKind::exhaust), 2));
  case ClearanceCriterion::between:
    return fmt::format("inlet and exhaust valve come nearer to each other than the limit, {} mm",
                       fixed(target.min_valve_to_valve_mm, 2));
  case ClearanceCriterion::axial:
    break;
  }
  std::string words;
  for (const ValveKind kind : valve_kinds) {
    const double limit_mm = axial_limit_mm(target, kind);
    if (const std::optional<double> mm = option.least(kind); mm && *mm < limit_mm)
      words += fmt::format("{}the {} valve keeps {} mm along its axis, the limit is {} mm", words.empty() ? "" : "; ",
                           to_word(kind), gap_words(mm, limit_mm), fixed(limit_mm, 2));
  }
  return words;
}

// What to see on the wheel: lobe centres go earlier by as much as the camshaft is advanced. A crank key moves them all.
std::vector<std::string> centres_to_see(const Mechanism& fitted) {
  const std::vector<Camshaft>& camshafts = fitted.engine().camshafts;
  std::vector<std::string> centres;
  for (std::size_t i = 0; i < camshafts.size(); ++i) {
    const double phase_deg = fitted.drive().phase_deg(i);
    if (camshafts[i].inlet)
      centres.push_back(
          fmt::format("inlet lobe centre {}° ATDC", fixed(camshafts[i].inlet->centre_deg - phase_deg, 1)));
    if (camshafts[i].exhaust)
      centres.push_back(
          fmt::format("exhaust lobe centre {}° BTDC", fixed(camshafts[i].exhaust->centre_deg + phase_deg, 1)));
  }
  return centres;
}

std::vector<std::string> gaps_to_see(const PlanOption& option, const Target& target) {
  std::vector<std::string> gaps;
  for (const ValveKind kind : valve_kinds)
    if (const std::optional<double> now = option.now(kind))
      gaps.push_back(fmt::format("least clearance of the {} valve {} mm, with the chain worn {} mm; the limit is {} mm",
                                 to_word(kind), fixed(*now, 2),
                                 gap_words(option.worn(kind), axial_limit_mm(target, kind)),
                                 fixed(axial_limit_mm(target, kind), 2)));
  return gaps;
}

std::string phases_page(const Engine& engine, const Plan& plan, const PlanOption& option) {
  std::string page;
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i)
    page +=
        fmt::format("Phase{} {}° crank, {}° crank off target.\n", at_camshaft_words(engine, plan.camshafts[i].camshaft),
                    signed_fixed(option.phase_deg[i], 2), signed_fixed(option.error_deg[i], 2));
  return page;
}

std::string how_to_go_on() {
  return "\nWhen it is on: turn the engine two whole turns by hand, in the running direction, plugs out, and stop if "
         "anything resists. Then read wheel and indicator anew and write it into [measured]: degree --against last "
         "says whether what changed is what was fitted. Confirm the clearance physically before starting. The engine "
         "maker's limits and a qualified engine builder's judgement come first.\n";
}

struct Case {
  const Context& context;
  const Plan& plan;
  const PlanOption& option;
  const GapsKnown& known;
  std::vector<std::string> centres; // to be seen
};

Answer refused(const Case& of, const std::string& words, Json json) {
  const Build& build = of.context.opened.build;
  Answer answer;
  answer.exit_code = exit_out_of_limits;
  answer.page = fmt::format("NOT SAFE: with option {} {}. Nothing was saved.\n{}\nOption {} is: {}.\n",
                            of.context.options.save.option, fault_words(of.option, build.target),
                            title_words(*of.context.opened.engine, build), of.context.options.save.option, words);
  answer.json = std::move(json.set("saved", Json()).set("why", fault_words(of.option, build.target)));
  return answer;
}

std::string saved_page(const Case& of, const std::string& words, const std::string& saved) {
  const Engine& engine = *of.context.opened.engine;
  const Build& build = of.context.opened.build;
  const bool as_it_was = of.option.changes == 0;
  std::string page = wild_warning(of.known) + title_words(engine, build) + "\n";
  page += fmt::format("{}: {} option {}, {}.\n", saved,
                      as_it_was ? "nothing was to be changed, for what is fitted is" : "fitted now is",
                      of.context.options.save.option, words);
  for (const std::string& note : option_notes(engine, of.plan, of.option)) page += "  " + note + ".\n";
  page += phases_page(engine, of.plan, of.option);
  if (has_readings(build.measured))
    page += as_it_was ? "The readings stay on the bench.\n" : "The readings taken before are in the history now.\n";
  page += "\nTo be seen when it is on, if all is as planned:\n";
  for (const std::string& centre : of.centres) page += "  " + centre + ".\n";
  for (const std::string& gap : gaps_to_see(of.option, build.target)) page += "  " + gap + ".\n";
  if (too_near_to_tell(of.option, build.target, of.known))
    page += "MEASURE: that is over its limit by less than it is known to (k = 2); measure before trusting it.\n";
  return page + how_to_go_on();
}

} // namespace

Result<Answer> fit_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<Plan> plan = plan_corrections(engine, build, context.options.lay_reach);
  if (!plan) return plan.problems();
  const Result<GapsKnown> known = gaps_known(context);
  if (!known) return known.problems();
  const auto number = static_cast<std::size_t>(context.options.save.option);
  if (number > plan->options.size())
    return problem_at("--option", fmt::format("{}", number), fmt::format("1 to {}", plan->options.size()));
  const PlanOption option = plan->options[number - 1];
  const std::string words = option_words(engine, *plan, option);
  Json json = Json::object({{"option", context.options.save.option},
                            {"words", words},
                            {"phase_deg", option.phase_deg[0]},
                            {"error_deg", option.error_deg[0]},
                            {"safe", option.safe},
                            {"sure", option.safe && !known->wild && !too_near_to_tell(option, build.target, *known)},
                            {"changes", option.changes}});
  const Result<Mechanism> fitted = Mechanism::assemble(context.opened.engine, fitted_with(engine, *plan, option));
  if (!fitted) return fitted.problems();
  const Case of{context, *plan, option, *known, centres_to_see(*fitted)};
  if (!option.safe) return refused(of, words, std::move(json));
  // Readings belong to what is fitted: they stay when that does.
  const Result<std::string> saved =
      save_changed(context, option.changes == 0 ? build : fitted_build(engine, build, *plan, option));
  if (!saved) return saved.problems();
  std::vector<std::string> to_see = of.centres;
  std::ranges::move(gaps_to_see(option, build.target), std::back_inserter(to_see));
  Answer answer;
  answer.page = saved_page(of, words, *saved);
  answer.json = std::move(json.set("saved", *saved).set("to_see", words_json(to_see)));
  return answer;
}

} // namespace phasewright::cli
