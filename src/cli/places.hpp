// Where the program keeps what is the user's own, as the XDG Base Directory Specification (version 0.8) has it.
#pragma once

#include <filesystem>

namespace phasewright::cli {

// Unsaved work, recent files and how far learners have come: $XDG_STATE_HOME/phasewright, else
// ~/.local/state/phasewright. Empty when neither is an absolute path.
[[nodiscard]] std::filesystem::path usual_state_folder();
// The settings: $XDG_CONFIG_HOME/phasewright/viewer.toml, else ~/.config/phasewright/viewer.toml. Likewise.
[[nodiscard]] std::filesystem::path usual_settings_file();

} // namespace phasewright::cli
