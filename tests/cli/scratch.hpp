// A folder of its own for a test case, gone when it ends.
#pragma once

#include "support/catch.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace phasewright::testing {

class Scratch {
public:
  Scratch() {
    std::string name = (std::filesystem::temp_directory_path() / "phasewright-cli-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~Scratch() { std::filesystem::remove_all(path_); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] std::string operator/(const std::string& name) const { return (path_ / name).string(); }
  [[nodiscard]] std::size_t files() const {
    return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(path_), {}));
  }
  // Returns the file's path.
  [[nodiscard]] std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name, std::ios::binary) << text;
    return *this / name;
  }

private:
  std::filesystem::path path_;
};

} // namespace phasewright::testing
