// Where the program's own files are.
#pragma once

#include <filesystem>

namespace phasewright::cli {

struct Resources {
  std::filesystem::path models;
  std::filesystem::path shaders;
  std::filesystem::path assets;
  std::filesystem::path lessons;
};

// Under the prefix the program was installed to, wherever that has been moved; in a build tree, the source tree. The
// folders need not exist: the demo is compiled in, and who needs a shader says when it is missing.
[[nodiscard]] Resources find_resources();

} // namespace phasewright::cli
