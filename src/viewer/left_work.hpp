// Unsaved work and its build, with no screen: what is kept as work goes on, and what becomes of it at the next start.
#pragma once

#include "viewer/recovery.hpp"
#include "viewer/workbench.hpp"

#include <optional>
#include <string>

namespace phasewright::viewer {

// The file that work on the bench belongs to: the build's, the engine's when it has none, nothing for the demo.
[[nodiscard]] const std::string& file_of(const Workbench& bench);

// Keeps what is not saved, or nothing when there is nothing to keep. To be called after every change.
void keep_work(Recovery& recovery, const Workbench& bench);
// Saves, so that at no moment something older than the file is kept. Gives why not, when it was not saved.
[[nodiscard]] std::optional<std::string> save_work(Recovery& recovery, Workbench& bench, const std::string& path);

// What an earlier viewer left behind, held against the bench as it was opened now.
struct FoundWork {
  enum class Standing {
    open,      // to be asked about
    the_same,  // as the file
    outdated,  // by a file that was changed after it, and not by the one who left it
    unreadable // `fault` says why
  };
  Standing standing = Standing::open;
  LeftWork left;
  Document document;            // of open, the_same and outdated
  bool of_another_file = false; // the file has been changed since the work began from it
  std::string fault;
};
[[nodiscard]] std::optional<FoundWork> find_work(Recovery& recovery, const Workbench& bench);

} // namespace phasewright::viewer
