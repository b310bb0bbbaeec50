#include "viewer/viewer.hpp"

#include "viewer/frame_times.hpp"
#include "viewer/offscreen_app.hpp"
#include "viewer/window.hpp"

#include <fmt/format.h>

#include <cstdio>

namespace phasewright {

namespace {

constexpr double frame_s = 1.0 / 60.0;
constexpr int frames_to_settle = 4; // layout, fonts and labels are settled well before

Result<viewer::Workbench> open_bench(const Opened& opened, const ViewerOptions& options) {
  if (options.plan && *options.plan < 1)
    return Problem{.file = {},
                   .line = 0,
                   .column = 0,
                   .key = "--plan",
                   .found = fmt::format("{}", *options.plan),
                   .allowed = "1 and up",
                   .advice = {}};
  return viewer::Workbench::open(opened, static_cast<std::size_t>(options.plan.value_or(1) - 1));
}

} // namespace

Result<int> run_viewer(const Opened& opened, const ViewerOptions& options) {
  Result<viewer::Workbench> bench = open_bench(opened, options);
  if (!bench) return bench.problems();
  const auto fault = viewer::run_window(*std::move(bench), options);
  if (!fault) return 0;
  fmt::print(stderr, "phasewright: {}\n", fault->words);
  return 2;
}

Result<Image> render_viewer_picture(const Opened& opened, const ViewerOptions& options) {
  Result<viewer::Workbench> bench = open_bench(opened, options);
  if (!bench) return bench.problems();
  viewer::OffscreenApp screen(*std::move(bench), options);
  for (int i = 0; i < frames_to_settle; ++i) screen.frame(frame_s);
  if (screen.app().finish_work()) // of a page that is worked out beside the screen
    for (int i = 0; i < frames_to_settle; ++i) screen.frame(frame_s);
  return screen.read();
}

} // namespace phasewright
