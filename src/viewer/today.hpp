// Days as they are written down.
#pragma once

#include <string>

namespace phasewright::viewer {

// "2026-05-14", by this machine's clock and time zone; empty when it has none.
[[nodiscard]] std::string today();

} // namespace phasewright::viewer
