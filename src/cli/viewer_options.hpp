// From the command line's options to the viewer's.
#pragma once

#include "cli/commands.hpp"
#include "viewer/viewer.hpp"

#include <array>
#include <string_view>
#include <utility>

namespace phasewright::cli {

[[nodiscard]] inline std::optional<ViewerPage> parse_page(std::string_view word) {
  constexpr std::array<std::pair<std::string_view, ViewerPage>, 17> pages{{{"parts", ViewerPage::parts},
                                                                           {"key", ViewerPage::key},
                                                                           {"spread", ViewerPage::spread},
                                                                           {"alignment", ViewerPage::alignment},
                                                                           {"endfloat", ViewerPage::end_float},
                                                                           {"timing", ViewerPage::timing},
                                                                           {"events", ViewerPage::events},
                                                                           {"lobes", ViewerPage::lobes},
                                                                           {"compression", ViewerPage::compression},
                                                                           {"degree", ViewerPage::degree},
                                                                           {"found", ViewerPage::found},
                                                                           {"explain", ViewerPage::explain},
                                                                           {"earlier", ViewerPage::earlier},
                                                                           {"correction", ViewerPage::correction},
                                                                           {"clearance", ViewerPage::clearance},
                                                                           {"phase", ViewerPage::phase},
                                                                           {"readings", ViewerPage::readings}}};
  for (const auto& [name, page] : pages)
    if (name == word) return page;
  return std::nullopt;
}

[[nodiscard]] inline ViewerOptions viewer_options(const Context& context) {
  const DrawOptions& draw = context.options.draw;
  ViewerOptions options;
  options.shaders = context.resources.shaders;
  options.width_px = draw.width_px;
  options.height_px = draw.height_px;
  options.theme = draw.night ? Theme::night : Theme::day;
  options.scale = draw.scale;
  options.crank_deg = context.options.crank_deg;
  options.turning = context.options.turning;
  options.plan = draw.plan;
  options.from = parse_view(draw.from);
  options.page = parse_page(draw.page).value_or(options.page);
  options.magnify_key_step = draw.magnify;
  options.frame_report = draw.frames;
  options.announce = draw.announce;
  options.started = context.started;
  return options;
}

} // namespace phasewright::cli
