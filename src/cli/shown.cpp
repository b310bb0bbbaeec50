#include "cli/shown.hpp"

#include "bench/degree.hpp"
#include "bench/plan.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

Result<States> states_of(const Context& context) {
  const Build& build = context.opened.build;
  const DrawOptions& draw = context.options.draw;
  Result<Mechanism> fitted = Mechanism::assemble(
      context.opened.engine, draw.reference ? Fitted{} : fitted_as_read(*context.opened.engine, build));
  if (!fitted) return fitted.problems();
  if (!draw.plan) return States{*std::move(fitted), std::nullopt};
  const Result<Plan> plan = plan_corrections(*context.opened.engine, build, context.options.lay_reach);
  if (!plan) return plan.problems();
  const auto option = static_cast<std::size_t>(*draw.plan);
  if (option > plan->options.size())
    return Problem{.file = "--plan",
                   .line = 0,
                   .column = 0,
                   .key = {},
                   .found = fmt::format("{}", option),
                   .allowed = fmt::format("1 to {}", plan->options.size()),
                   .advice = {}};
  Result<Mechanism> planned =
      Mechanism::assemble(context.opened.engine, fitted_with(*context.opened.engine, *plan, plan->options[option - 1]));
  if (!planned) return planned.problems();
  return States{*std::move(planned), *std::move(fitted)};
}

const char* state_words(const DrawOptions& draw) {
  if (draw.plan) return "the drive as planned";
  return draw.reference ? "the maker's reference assembly" : "the drive as fitted";
}

} // namespace phasewright::cli
