#include "cli/shown.hpp"

#include "bench/degree.hpp"
#include "bench/plan.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

Result<ShownFits> shown_fits(const Context& context) {
  const Build& build = context.opened.build;
  const Engine& engine = *context.opened.engine;
  const DrawOptions& draw = context.options.draw;
  Fitted fitted = draw.reference ? Fitted{} : fitted_as_read(engine, build);
  if (!draw.plan) return ShownFits{std::move(fitted), std::nullopt};
  const Result<Plan> plan = plan_corrections(engine, build, context.options.lay_reach);
  if (!plan) return plan.problems();
  const auto option = static_cast<std::size_t>(*draw.plan);
  if (option > plan->options.size())
    return problem_at("--plan", fmt::format("{}", option), fmt::format("1 to {}", plan->options.size()));
  return ShownFits{fitted_with(engine, *plan, plan->options[option - 1]), std::move(fitted)};
}

Result<States> states_of(const Context& context) {
  const Result<ShownFits> fits = shown_fits(context);
  if (!fits) return fits.problems();
  Result<Mechanism> shown = Mechanism::assemble(context.opened.engine, fits->shown);
  if (!shown) return shown.problems();
  States states{*std::move(shown), std::nullopt};
  if (!fits->fitted) return states;
  Result<Mechanism> fitted = Mechanism::assemble(context.opened.engine, *fits->fitted);
  if (!fitted) return fitted.problems();
  states.fitted = *std::move(fitted);
  return states;
}

const char* state_words(const DrawOptions& draw) {
  if (draw.plan) return "the drive as planned";
  return draw.reference ? "the maker's reference assembly" : "the drive as fitted";
}

} // namespace phasewright::cli
