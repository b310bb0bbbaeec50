// Builds that a command changes and saves.
#pragma once

#include "cli/commands.hpp"

#include <string>

namespace phasewright::cli {

// Where to: `-o`, else the build's own file. Comments and layout of the file that was opened stay. Problems: --set
// beside it, for what it overrides is for one run only; no file to save to; `-o` names another file that is there
// already, or a folder from which the build would not find its engine.
[[nodiscard]] Result<std::string> save_changed(const Context& context, const Build& changed);

// A new build file at `-o`, of the engine that was opened; nothing of the build that was opened goes into it. Problems:
// likewise; a file that is there already.
[[nodiscard]] Result<std::string> save_new(const Context& context, const Build& build);

} // namespace phasewright::cli
