// The viewer's window.
#include "viewer/viewer.hpp"

#include "cli/commands.hpp"
#include "cli/viewer_options.hpp"
#include "viewer/places.hpp"

namespace phasewright::cli {

Result<Answer> view_command(const Context& context) {
  ViewerOptions options = viewer_options(context);
  // Timing frames is no work to be kept.
  if (options.frame_report == 0) options.state_folder = viewer::usual_state_folder();
  const Result<int> ended = run_viewer(context.opened, options);
  if (!ended) return ended.problems();
  Answer answer;
  answer.exit_code = *ended;
  return answer;
}

} // namespace phasewright::cli
