#include "cli/drawn_states.hpp"

#include "cli/shown.hpp"

#include "bench/degree.hpp"
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
  const Result<ShownFits> fits = shown_fits(context);
  if (!fits) return fits.problems();
  Result<film::DriveState> shown = film::drive_state(engine, build, fits->shown);
  if (!shown) return shown.problems();
  DrawnStates states{*std::move(shown), std::nullopt};
  if (!fits->fitted) return states;
  Result<film::DriveState> fitted = film::drive_state(engine, build, *fits->fitted);
  if (!fitted) return fitted.problems();
  states.ghost = *std::move(fitted);
  return states;
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

std::string what_is_drawn(const DrawOptions& draw) {
  if (draw.window) return "the viewer";
  return draw.plan ? std::string("the drive as planned, and what is fitted as a ghost") : state_words(draw);
}

std::string by_readings_words(const Context& context, const char* what) {
  const DrawOptions& draw = context.options.draw;
  if (draw.window || draw.reference) return {};
  std::string words;
  for (const auto& [camshaft, deg] : left_out_of(*context.opened.engine, context.opened.build))
    words += fmt::format("{}; {} goes by the readings.\n", found_words(*context.opened.engine, camshaft, deg), what);
  return words;
}

} // namespace phasewright::cli
