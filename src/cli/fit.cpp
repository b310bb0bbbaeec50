// An option of the plan put in place.
#include "bench/plan.hpp"
#include "bench/plan_words.hpp"

#include "cli/commands.hpp"
#include "cli/save.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

std::string clearance_words(const PlanOption& option) {
  std::string words;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (const std::optional<double> mm = option.least(kind))
      words += fmt::format("{}{} {} mm", words.empty() ? "" : ", ", to_word(kind), fixed(*mm, 2));
  return words;
}

const char* fault_words(ClearanceCriterion criterion) {
  switch (criterion) {
  case ClearanceCriterion::axial:
    return "a valve along its axis";
  case ClearanceCriterion::any_way:
    return "a valve to its side";
  case ClearanceCriterion::between:
    return "inlet to exhaust valve";
  }
  return "";
}

} // namespace

Result<Answer> fit_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<Plan> plan = plan_corrections(engine, build, context.options.lay_reach);
  if (!plan) return plan.problems();
  const auto number = static_cast<std::size_t>(context.options.save.option);
  if (number > plan->options.size())
    return problem_at("--option", fmt::format("{}", number), fmt::format("1 to {}", plan->options.size()));
  const PlanOption option = plan->options[number - 1];
  const std::string words = option_words(engine, *plan, option);
  const std::string title = title_words(engine, build) + "\n";
  Answer answer;
  answer.json = Json::object({{"option", context.options.save.option},
                              {"words", words},
                              {"phase_deg", option.phase_deg[0]},
                              {"error_deg", option.error_deg[0]},
                              {"safe", option.safe}});
  if (!option.safe) {
    answer.exit_code = exit_out_of_limits;
    answer.page =
        wrapped(fmt::format("NOT SAFE: option {}, {}, leaves too little room: {}; least clearance {}. Nothing "
                            "was saved.\n{}",
                            number, words, fault_words(*option.unsafe_by), clearance_words(option), title));
    answer.json.set("saved", Json());
    return answer;
  }
  const Result<std::string> saved = save_changed(context, fitted_build(engine, build, *plan, option));
  if (!saved) return saved.problems();
  answer.json.set("saved", *saved);
  std::string page = title + fmt::format("{}: fitted now is option {}, {}.\n", *saved, number, words);
  page +=
      fmt::format("Phase {}° crank, {}° crank off target; least clearance {}.\n", signed_fixed(option.phase_deg[0], 2),
                  signed_fixed(option.error_deg[0], 2), clearance_words(option));
  for (const std::string& note : option_notes(engine, *plan, option)) page += "  " + note + ".\n";
  if (has_readings(build.measured)) page += "The readings taken before are in the history now.\n";
  page += "\nWhen it is on: turn the engine two whole turns by hand, in the running direction, plugs out, and stop if "
          "anything resists. Then read wheel and indicator anew, and confirm the clearance physically before starting. "
          "The engine maker's limits and a qualified engine builder's judgement come first.\n";
  answer.page = wrapped(page);
  return answer;
}

} // namespace phasewright::cli
