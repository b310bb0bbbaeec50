// A folder of its own for a test case, with copies of the demo files in it.
#pragma once

#include "files/files.hpp"
#include "support/catch.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

namespace phasewright::testing {

using Edits = std::vector<std::pair<std::string, std::string>>; // every piece of text and what is put in its place

inline std::filesystem::path models_folder() {
  return std::filesystem::path(PHASEWRIGHT_TEST_DIR).parent_path() / "models";
}

inline std::string slurp(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  REQUIRE(in.good());
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

// The pieces must be there, each once: a test whose edit no longer fits must not pass unseen.
inline std::string edited(std::string text, const Edits& edits) {
  for (const auto& [from, to] : edits) {
    INFO("edit of: " << from);
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    REQUIRE(text.find(from, at + 1) == std::string::npos);
    text.replace(at, from.size(), to);
  }
  return text;
}

class Folder {
public:
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "phasewright-test-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::permissions(path_, std::filesystem::perms::owner_all, ignored);
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream out(path_ / name, std::ios::binary);
    out << text;
    REQUIRE(out.good());
  }

  void copy_model(const std::string& name, const Edits& edits = {}) const {
    write(name, edited(slurp(models_folder() / name), edits));
  }

  // The engine with its lobe tables.
  void copy_engine(const Edits& edits = {}) const {
    copy_model("marram-1420.toml", edits);
    copy_model("marram-inlet.csv");
    copy_model("marram-exhaust.csv");
  }

  void copy_build(const Edits& edits = {}) const {
    copy_engine();
    copy_model("sandling-14.build.toml", edits);
  }

  // All problems as text, without the folder's own name; empty when the file opens.
  [[nodiscard]] std::string problems_of(const std::string& name, const Overrides& overrides = {}) const {
    const auto opened = open_any(path_ / name, {}, overrides);
    std::string text = opened ? "" : to_text(opened.problems());
    const std::string prefix = path_.string() + "/";
    for (std::size_t at = text.find(prefix); at != std::string::npos; at = text.find(prefix))
      text.erase(at, prefix.size());
    return text;
  }

  // Names of all files in it, sorted.
  [[nodiscard]] std::vector<std::string> names() const {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(path_))
      names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
  }

private:
  std::filesystem::path path_;
};

} // namespace phasewright::testing
