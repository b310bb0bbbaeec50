// The viewer's window.
#include "viewer/viewer.hpp"

#include "cli/commands.hpp"
#include "cli/places.hpp"
#include "cli/viewer_options.hpp"
#include "viewer/settings.hpp"

#include <fmt/format.h>

#include <cstdio>

namespace phasewright::cli {

namespace {

// What the command line does not say. A file that is broken says nothing.
void take_settings(const DrawOptions& said, ViewerOptions& options) {
  const Result<viewer::Settings> settings = viewer::read_settings(options.settings_file);
  if (!settings) {
    fmt::print(stderr, "phasewright: the viewer's settings are left aside: {}\n", to_text(settings.problems().front()));
    return;
  }
  if (settings->theme && !said.theme_said) options.theme = *settings->theme;
  if (settings->scale && !said.scale_said) options.scale = *settings->scale;
  if (settings->units) options.thou = *settings->units == Units::thou;
  if (settings->width_px && settings->height_px && !said.size_said) {
    options.width_px = *settings->width_px;
    options.height_px = *settings->height_px;
  }
}

} // namespace

Result<Answer> view_command(const Context& context) {
  ViewerOptions options = viewer_options(context);
  // Timing frames is no work to be kept, nor is it to hang on how a person likes the window.
  if (options.frame_report == 0) {
    options.state_folder = usual_state_folder();
    options.settings_file = usual_settings_file();
    take_settings(context.options.draw, options);
  }
  const Result<int> ended = run_viewer(context.opened, options);
  if (!ended) return ended.problems();
  Answer answer;
  answer.exit_code = *ended;
  return answer;
}

} // namespace phasewright::cli
