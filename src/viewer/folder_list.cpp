#include "viewer/folder_list.hpp"

#include "files/files.hpp"
#include "files/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_recent = 10;
constexpr std::size_t recent_bytes = 64 * 1024;
constexpr const char* recent_name = "recent";

fs::path whole(const fs::path& path) {
  std::error_code fault;
  fs::path found = fs::weakly_canonical(fs::absolute(path, fault), fault);
  return fault ? path : found;
}

bool has_control_characters(const std::string& text) {
  return std::ranges::any_of(text, [](char c) { return static_cast<unsigned char>(c) < 0x20U || c == 0x7F; });
}

// The lines that are paths, whether there is a file or not: a disk may come back.
std::vector<std::string> recent_lines(const fs::path& state_folder) {
  std::vector<std::string> lines;
  if (state_folder.empty()) return lines;
  const auto text = read_text({state_folder, false}, recent_name, recent_bytes);
  if (!text) return lines;
  for (std::size_t at = 0; at < text->size() && lines.size() < most_recent;) {
    const std::size_t end = std::min(text->find('\n', at), text->size());
    std::string line = text->substr(at, end - at);
    at = end + 1;
    if (fs::path(line).is_absolute() && !has_control_characters(line) && std::ranges::find(lines, line) == lines.end())
      lines.push_back(std::move(line));
  }
  return lines;
}

} // namespace

fs::path spelt_out(const std::string& typed, const fs::path& folder) {
  const char* home = std::getenv("HOME");
  if (home != nullptr && (typed == "~" || typed.starts_with("~/"))) return fs::path(home + typed.substr(1));
  const fs::path path(typed);
  return path.is_absolute() || folder.empty() ? path : folder / path;
}

FolderList list_folder(const fs::path& path) {
  FolderList list;
  const fs::path folder = whole(path.empty() ? fs::path(".") : path);
  list.path = folder.string();
  std::error_code fault;
  fs::directory_iterator entry(folder, fault);
  for (; !fault && entry != fs::directory_iterator(); entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    std::error_code ignored;
    const bool is_folder = entry->is_directory(ignored);
    if (name.starts_with('.') || has_control_characters(name)) continue;
    if (!is_folder && (entry->path().extension() != ".toml" || !entry->is_regular_file(ignored))) continue;
    if (list.entries.size() == most_entries) {
      list.cut = true;
      break;
    }
    list.entries.push_back({name, is_folder});
  }
  if (fault) list.fault = fmt::format("{}: {}", list.path, fault.message());
  std::ranges::sort(list.entries, [](const FolderEntry& a, const FolderEntry& b) {
    return std::pair(!a.folder, a.name) < std::pair(!b.folder, b.name);
  });
  return list;
}

std::vector<std::string> read_recent(const fs::path& state_folder) {
  std::vector<std::string> files = recent_lines(state_folder);
  std::erase_if(files, [](const std::string& file) {
    std::error_code fault;
    return !fs::is_regular_file(file, fault);
  });
  return files;
}

void add_recent(const fs::path& state_folder, const fs::path& file) {
  const std::string path = whole(file).string();
  if (state_folder.empty() || has_control_characters(path)) return;
  std::vector<std::string> lines = recent_lines(state_folder);
  if (!lines.empty() && lines.front() == path) return;
  std::erase(lines, path);
  lines.insert(lines.begin(), path);
  lines.resize(std::min(lines.size(), most_recent));
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  std::error_code ignored;
  if (fs::create_directories(state_folder, ignored)) fs::permissions(state_folder, fs::perms::owner_all, ignored);
  // Without the list the viewer does all it does: it is not worth a word.
  [[maybe_unused]] const std::optional<Problem> unwritten = write_atomic(state_folder / recent_name, text);
}

} // namespace phasewright::viewer
