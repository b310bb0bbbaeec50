// What stands in a folder, for choosing a file.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace phasewright::viewer {

struct FolderEntry {
  std::string name;
  bool folder = false;
};

struct FolderList {
  std::string path;                 // whole
  std::vector<FolderEntry> entries; // folders first, then .toml files, each in the order of their names; none hidden
  bool cut = false;                 // there is more in it
  std::string fault;                // why it cannot be read
};

// A path as it is typed: "~/builds" is in the home folder, and what is not absolute is in `folder`, unless that is
// empty.
[[nodiscard]] std::filesystem::path spelt_out(const std::string& typed, const std::filesystem::path& folder);

// At most `most_entries`, so that no folder can hold the screen up.
inline constexpr std::size_t most_entries = 2000;
[[nodiscard]] FolderList list_folder(const std::filesystem::path& path);

// Files that were open, the last one first; ten at most, whole paths, a line each in the file "recent" of the state
// folder. Lines that are none and files that are not there are passed over.
[[nodiscard]] std::vector<std::string> read_recent(const std::filesystem::path& state_folder);
// Nothing comes of it where the folder cannot be written, or `file` has a line's end in its name.
void add_recent(const std::filesystem::path& state_folder, const std::filesystem::path& file);

} // namespace phasewright::viewer
