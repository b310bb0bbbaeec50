#include "viewer/today.hpp"

#include <fmt/format.h>

#include <ctime>

namespace phasewright::viewer {

std::string today() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  if (::localtime_r(&now, &local) == nullptr) return "";
  return fmt::format("{:04}-{:02}-{:02}", local.tm_year + 1900, local.tm_mon + 1, local.tm_mday);
}

} // namespace phasewright::viewer
