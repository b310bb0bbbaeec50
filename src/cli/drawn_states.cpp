#include "cli/drawn_states.hpp"

#include "bench/plan.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

Fitted laid_further(const Context& context, Fitted fitted) {
  const Engine& engine = *context.opened.engine;
  const std::size_t camshaft = planned_camshafts(engine, context.opened.build.target).front();
  const std::string& name = engine.camshafts[camshaft].name;
  fitted.lay_of[name] = lay_of(fitted, name) + 1;
  return fitted;
}

Result<DrawnStates> drawn_states(const Context& context) {
  const Build& build = context.opened.build;
  const std::shared_ptr<const Engine>& engine = context.opened.engine;
  const DrawOptions& draw = context.options.draw;
  if (draw.cylinder > engine->block.cylinders)
    return problem_at("--cylinder", fmt::format("{}", draw.cylinder), fmt::format("1 to {}", engine->block.cylinders));
  Result<States> states = states_of(context, asked_of(draw));
  if (!states) return states.problems();
  Result<film::DriveState> shown = film::drive_state(engine, build, states->shown.fitted());
  if (!shown) return shown.problems();
  std::optional<film::DriveState> ghost;
  if (states->fitted) {
    Result<film::DriveState> fitted = film::drive_state(engine, build, states->fitted->fitted());
    if (!fitted) return fitted.problems();
    ghost = *std::move(fitted);
  }
  return DrawnStates{*std::move(states), *std::move(shown), std::move(ghost)};
}

std::string picture_warning(const States& states) {
  return states.verdict.safe == false ? "NOT SAFE: a valve comes too near" : std::string();
}

film::DriveLook drive_look(const Context& context) {
  const DrawOptions& draw = context.options.draw;
  return {.from = parse_view(draw.from).value_or(NamedView::end),
          .size = {draw.width_px, draw.height_px},
          .theme = draw.night ? Theme::night : Theme::day,
          .magnify_key_step = draw.magnify,
          .section = draw.section,
          .cylinder = draw.cylinder,
          .labels = draw.labels,
          .text_scale = draw.scale};
}

std::string what_is_drawn(const DrawOptions& draw, const States& states) {
  if (draw.window) return "the viewer, the drive " + states.words;
  return drive_words(states) + (states.fitted ? ", and what is fitted as a ghost" : "");
}

} // namespace phasewright::cli
