// The viewer's window.
#include "viewer/viewer.hpp"

#include "cli/commands.hpp"
#include "cli/viewer_options.hpp"

namespace phasewright::cli {

Result<Answer> view_command(const Context& context) {
  const Result<int> ended = run_viewer(context.opened, viewer_options(context));
  if (!ended) return ended.problems();
  Answer answer;
  answer.exit_code = *ended;
  return answer;
}

} // namespace phasewright::cli
