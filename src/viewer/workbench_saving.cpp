// Where a build is saved, and what is said when it cannot be.
#include "viewer/workbench.hpp"

#include <fmt/format.h>

#include <cctype>
#include <filesystem>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

// "Launch 'Sandling', engine out 14" as a file's name: "launch-sandling-engine-out-14".
std::string file_words(const std::string& title) {
  std::string words;
  for (const char letter : title) {
    const auto code = static_cast<unsigned char>(letter);
    if (code < 0x80U && std::isalnum(code) != 0)
      words += static_cast<char>(std::tolower(code));
    else if (!words.empty() && words.back() != '-')
      words += '-';
  }
  while (!words.empty() && words.back() == '-') words.pop_back();
  constexpr std::size_t longest = 60;
  return words.substr(0, longest);
}

bool same_folder(const fs::path& a, const fs::path& b) {
  std::error_code fault;
  const fs::path here = ".";
  return fs::equivalent(a.empty() ? here : a, b.empty() ? here : b, fault);
}

} // namespace

std::string Workbench::suggested_path() const {
  if (!path_.empty()) return path_;
  const fs::path engine(engine_path_.empty() ? build_.engine : engine_path_);
  const std::string words = file_words(build_.title);
  const std::string name = (words.empty() ? engine.stem().string() : words) + ".build.toml";
  return engine_path_.empty() ? name : (engine.parent_path() / name).string();
}

std::optional<std::string> Workbench::save(const std::string& path) {
  if (path.empty()) return "a file's name is wanted";
  const fs::path file(path);
  std::error_code fault;
  if (path != path_ && fs::exists(file, fault)) return "there is such a file already: another name";
  if (path != path_ && !engine_path_.empty() && build_.engine.find('/') == std::string::npos &&
      !same_folder(file.parent_path(), fs::path(engine_path_).parent_path()) &&
      !fs::exists(file.parent_path() / build_.engine, fault))
    return fmt::format("its engine file, {}, must lie in the same folder", build_.engine);
  if (const std::optional<Problem> problem = save_build(file, build_)) return first_words({*problem});
  path_ = path;
  on_file_ = document_;
  return std::nullopt;
}

} // namespace phasewright::viewer
