// Numbers of the command line, read the same way whatever the locale.
#pragma once

#include <optional>
#include <string>

namespace phasewright::cli {

// The whole text as a finite number; nothing for anything else ("", "1,5", "nan", "0x10", "1 ").
[[nodiscard]] std::optional<double> read_number(const std::string& text);
[[nodiscard]] std::optional<int> read_whole_number(const std::string& text);

struct PixelSize {
  int width;
  int height;
};
[[nodiscard]] std::optional<PixelSize> read_size(const std::string& text); // "1280x800"

} // namespace phasewright::cli
