#include "cli/places.hpp"

#include <cstdlib>

namespace phasewright::cli {

namespace {

namespace fs = std::filesystem;

// The specification has relative paths ignored.
fs::path from_environment(const char* variable) {
  const char* value = std::getenv(variable);
  const fs::path path = value == nullptr ? "" : value;
  return path.is_absolute() ? path : fs::path();
}

fs::path own_folder(const char* variable, const char* below_home) {
  if (const fs::path folder = from_environment(variable); !folder.empty()) return folder / "phasewright";
  const fs::path home = from_environment("HOME");
  return home.empty() ? home : home / below_home / "phasewright";
}

} // namespace

fs::path usual_state_folder() {
  return own_folder("XDG_STATE_HOME", ".local/state");
}

fs::path usual_settings_file() {
  const fs::path folder = own_folder("XDG_CONFIG_HOME", ".config");
  return folder.empty() ? folder : folder / "viewer.toml";
}

} // namespace phasewright::cli
