#include "cli/shown.hpp"

#include "bench/degree.hpp"
#include "bench/plan_words.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

Result<States> option_state(const Context& context, Mechanism fitted, int number) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<Plan> plan = plan_corrections(engine, build, context.options.lay_reach);
  if (!plan) return plan.problems();
  const auto index = static_cast<std::size_t>(number) - 1;
  if (index >= plan->options.size())
    return problem_at("--plan", fmt::format("{}", number), fmt::format("1 to {}", plan->options.size()));
  const PlanOption option = plan->options[index];
  Result<Mechanism> planned = Mechanism::assemble(context.opened.engine, fitted_with(engine, *plan, option));
  if (!planned) return planned.problems();
  const std::string how = option_words(engine, *plan, option);
  const std::string words = fmt::format("as planned, option {} ({})", number, how);
  Verdict verdict = verdict_on(standing_of(*planned, build), words);
  return States{*std::move(planned), std::move(fitted), number, how, false, words, std::move(verdict)};
}

} // namespace

Result<States> states_of(const Context& context, const AskedState& asked) {
  const Build& build = context.opened.build;
  Result<Mechanism> fitted = Mechanism::assemble(
      context.opened.engine, asked.reference ? Fitted{} : fitted_as_read(*context.opened.engine, build));
  if (!fitted) return fitted.problems();
  if (asked.plan) return option_state(context, *std::move(fitted), *asked.plan);
  const std::string words = asked.reference ? "by the maker's card" : "as fitted";
  Verdict verdict = asked.reference ? not_judged(words) : verdict_on(standing_of(*fitted, build), words);
  return States{*std::move(fitted), std::nullopt, std::nullopt, {}, asked.reference, words, std::move(verdict)};
}

std::string drive_words(const States& states) {
  return states.reference ? "the maker's reference assembly" : "the drive " + states.words;
}

void add_standing(const States& states, Answer& answer) {
  if (states.verdict.safe == false) {
    answer.exit_code = exit_out_of_limits;
    answer.page = states.verdict.words + "\n" + answer.page;
  } else if (!states.verdict.plain) {
    answer.page += states.verdict.words + "\n";
  }
  answer.json.set("option", states.option ? Json(*states.option) : Json())
      .set("words", states.option_words)
      .set("safe", states.verdict.safe ? Json(*states.verdict.safe) : Json())
      .set("verdict", states.verdict.words);
}

std::vector<std::string> reading_notes(const Context& context, const AskedState& asked, const std::string& what) {
  std::vector<std::string> notes;
  if (asked.reference) return notes;
  const Engine& engine = *context.opened.engine;
  for (const auto& [camshaft, deg] : left_out_of(engine, context.opened.build))
    notes.push_back(fmt::format("{}; {} goes by the readings.", found_words(engine, camshaft, deg), what));
  return notes;
}

} // namespace phasewright::cli
