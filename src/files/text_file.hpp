// Whole text files from the disk or from the demo compiled in.
#pragma once

#include "parts/problem.hpp"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace phasewright {

// Where a file and those it names are looked for.
struct Folder {
  std::filesystem::path path;
  bool compiled_in = false; // the demo files
};

// The name by which messages call a file of the folder.
[[nodiscard]] std::string shown_path(const Folder& folder, const std::string& name);
[[nodiscard]] bool exists(const Folder& folder, const std::string& name);

// A regular file of at most `most_bytes` bytes of UTF-8 text. Never waits, whatever the path names. Problems: missing,
// not a regular file, not readable, too long, empty, not UTF-8 (with line and column), a byte order mark, a NUL
// character.
[[nodiscard]] Result<std::string> read_text(const Folder& folder, const std::string& name, std::size_t most_bytes);

// Of text that is to stand in a file: what read_text would refuse. `file`: as messages call it.
[[nodiscard]] std::optional<Problem> check_text(std::string_view text, const std::string& file, std::size_t most_bytes);

} // namespace phasewright
