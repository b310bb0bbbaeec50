#include "cli/output.hpp"

#include <cerrno>
#include <cstdio>
#include <cstring>

namespace phasewright::cli {

std::string print_all(std::string_view text) {
  errno = 0;
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  if (written) return {};
  return errno != 0 ? std::strerror(errno) : "unknown reason";
}

void print_error(std::string_view text) {
  // Nowhere is left to say that this failed.
  static_cast<void>(std::fwrite(text.data(), 1, text.size(), stderr));
}

} // namespace phasewright::cli
