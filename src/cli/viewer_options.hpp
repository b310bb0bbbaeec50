// From the command line's options to the viewer's.
#pragma once

#include "cli/commands.hpp"
#include "cli/maker.hpp"
#include "cli/options_typed.hpp"
#include "viewer/viewer.hpp"

#include <algorithm>
#include <optional>
#include <string_view>

namespace phasewright::cli {

// The words stand in the order of the pages.
static_assert(page_names.size() == static_cast<std::size_t>(ViewerPage::sheet) + 1);
static_assert(page_names[static_cast<std::size_t>(ViewerPage::correction)] == "correction");

[[nodiscard]] inline std::optional<ViewerPage> parse_page(std::string_view word) {
  const auto* const name = std::ranges::find(page_names, word);
  if (name == page_names.end()) return std::nullopt;
  return static_cast<ViewerPage>(name - page_names.begin());
}

[[nodiscard]] inline ViewerOptions viewer_options(const Context& context) {
  const DrawOptions& draw = context.options.draw;
  ViewerOptions options;
  options.shaders = context.resources.shaders;
  options.maker = command_maker(context.resources);
  options.models = context.resources.models;
  options.width_px = draw.width_px;
  options.height_px = draw.height_px;
  options.theme = draw.night ? Theme::night : Theme::day;
  options.scale = draw.scale;
  options.crank_deg = context.options.crank_deg;
  options.turning = context.options.turning;
  options.plan = draw.plan;
  options.from = parse_view(draw.from);
  options.page = parse_page(draw.page).value_or(options.page);
  options.magnify = draw.magnify;
  options.apart = draw.apart;
  options.section = draw.section;
  options.frame_report = draw.frames;
  options.announce = draw.announce;
  options.started = context.started;
  return options;
}

} // namespace phasewright::cli
