#include "cli/resources.hpp"

namespace phasewright::cli {

Resources find_resources() {
  std::error_code error;
  const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe", error);
  std::filesystem::path root = (program.parent_path() / PHASEWRIGHT_INSTALL_RESOURCES).lexically_normal();
  if (error || !std::filesystem::is_directory(root / "models", error)) root = PHASEWRIGHT_SOURCE_RESOURCES;
  return {root / "models", root / "shaders", root / "assets", root / "assets" / "lessons"};
}

} // namespace phasewright::cli
