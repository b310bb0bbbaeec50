// A folder of a test's own with the demo's files in it, gone at the end; and what tests look for in files.
#pragma once

#include "files/files.hpp"

#include <filesystem>
#include <fstream>
#include <string>

namespace phasewright::viewer {

class OwnFolder {
public:
  explicit OwnFolder(const std::string& name);
  ~OwnFolder();
  OwnFolder(const OwnFolder&) = delete;
  OwnFolder& operator=(const OwnFolder&) = delete;
  [[nodiscard]] std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

private:
  std::filesystem::path path_;
};

[[nodiscard]] std::string text_of(const std::filesystem::path& path);
// Fails the test when it cannot be opened.
[[nodiscard]] Opened opened(const std::filesystem::path& path);

} // namespace phasewright::viewer
