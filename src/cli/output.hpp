// Writing to the person or the pipe behind standard output.
#pragma once

#include <string>
#include <string_view>

namespace phasewright::cli {

// Writes everything and sees that it arrived (a full disk shows only when the last bytes are flushed). Nothing on
// success, else the reason. SIGPIPE must be ignored.
[[nodiscard]] std::string print_all(std::string_view text);

void print_error(std::string_view text); // to standard error

} // namespace phasewright::cli
