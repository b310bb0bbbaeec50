// The states of the engine that a sheet tells of.
#include "bench/degree.hpp"
#include "bench/standing.hpp"
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

namespace phasewright::paper {

namespace {

Result<Stage> stage_of(const Opened& opened, const Fitted& fitted, std::string name) {
  Result<Mechanism> mechanism = Mechanism::assemble(opened.engine, fitted);
  if (!mechanism) return mechanism.problems();
  Stage stage{.name = std::move(name),
              .mechanism = *std::move(mechanism),
              .events = {},
              .events_fault = {},
              .model = {},
              .clearance_fault = {},
              .judged = {},
              .judged_worn = {}};
  if (Result<Events> events = valve_events(stage.mechanism))
    stage.events = *std::move(events);
  else
    stage.events_fault = to_text(events.problems().front());
  Standing standing = standing_of(stage.mechanism, opened.build);
  stage.within_limits = standing.safe() == true;
  stage.in_doubt = standing.doubtful();
  stage.model = std::move(standing.model);
  stage.clearance_fault = std::move(standing.fault);
  stage.judged = std::move(standing.judged);
  stage.judged_worn = std::move(standing.judged_worn);
  return stage;
}

Problem no_such_option(std::size_t number, std::size_t count) {
  return {.file = "--plan",
          .line = 0,
          .column = 0,
          .key = {},
          .found = fmt::format("{}", number),
          .allowed = fmt::format("1 to {}", count),
          .advice = {}};
}

// What was fitted when the last set of readings was put by, where that is something else.
std::optional<Stage> stage_before(const Opened& opened, const Fitted& now) {
  if (opened.build.history.empty()) return std::nullopt;
  const Measured& last = opened.build.history.back();
  Build then = opened.build;
  then.measured = last;
  then.fitted = last.with;
  const Fitted fitted = fitted_as_read(*opened.engine, then);
  if (fitted == now) return std::nullopt;
  Result<Stage> stage =
      stage_of(opened, fitted, last.date.empty() ? std::string("before") : fmt::format("on {}", last.date));
  if (!stage) return std::nullopt; // it cannot be put together any more; the sheet is about what is there now
  return *std::move(stage);
}

Result<SheetFacts> facts_as_fitted(const Opened& opened, const SheetOptions& options) {
  const Fitted fitted = fitted_as_read(*opened.engine, opened.build);
  Result<Stage> after = stage_of(opened, fitted, "as fitted");
  if (!after) return after.problems();
  return SheetFacts{.engine = *opened.engine,
                    .build = opened.build,
                    .units = options.units,
                    .plan = {},
                    .option = 0,
                    .before = stage_before(opened, fitted),
                    .after = *std::move(after)};
}

} // namespace

Result<SheetFacts> sheet_facts(const Opened& opened, const SheetOptions& options) {
  if (options.option == 0) return facts_as_fitted(opened, options);
  Result<Plan> plan = plan_corrections(*opened.engine, opened.build, options.lay_reach);
  if (!plan) return plan.problems();
  const auto number = static_cast<std::size_t>(options.option);
  if (number > plan->options.size()) return no_such_option(number, plan->options.size());
  const PlanOption option = plan->options[number - 1];
  Result<Stage> before = stage_of(opened, fitted_as_read(*opened.engine, opened.build), "as fitted");
  if (!before) return before.problems();
  Result<Stage> after = stage_of(opened, fitted_with(*opened.engine, *plan, option), "planned");
  if (!after) return after.problems();
  SheetFacts facts{.engine = *opened.engine,
                   .build = opened.build,
                   .units = options.units,
                   .plan = *std::move(plan),
                   .option = number - 1,
                   .before = {},
                   .after = *std::move(after)};
  if (option.changes > 0) facts.before = *std::move(before);
  return facts;
}

} // namespace phasewright::paper
