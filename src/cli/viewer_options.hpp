// From the command line's options to the viewer's.
#pragma once

#include "cli/commands.hpp"
#include "cli/maker.hpp"
#include "cli/options_typed.hpp"
#include "viewer/view.hpp"
#include "viewer/viewer.hpp"

#include <algorithm>
#include <optional>
#include <string_view>

namespace phasewright::cli {

[[nodiscard]] inline ViewerOptions viewer_options(const Context& context) {
  const DrawOptions& draw = context.options.draw;
  ViewerOptions options;
  options.shaders = context.resources.shaders;
  options.maker = command_maker(context.resources);
  options.lessons = context.resources.lessons;
  options.models = context.resources.models;
  options.width_px = draw.width_px;
  options.height_px = draw.height_px;
  options.theme = draw.night ? Theme::night : Theme::day;
  options.scale = draw.scale;
  options.crank_deg = context.options.crank_deg;
  options.turning = context.options.turning;
  options.plan = draw.plan;
  options.from = parse_view(draw.from);
  options.page = viewer::parse_page(draw.page).value_or(options.page);
  options.magnify = draw.magnify;
  options.apart = draw.apart;
  options.section = draw.section;
  options.frame_report = draw.frames;
  options.announce = draw.announce;
  options.overridden = !context.options.overrides.empty();
  options.started = context.started;
  return options;
}

} // namespace phasewright::cli
