// What other people's tools say of a file that was printed: poppler's, qpdf and python3's own zlib.
#pragma once

#include "support/catch.hpp"

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>

namespace phasewright::testing {

// What a command line prints. It must end with 0, or with 3, which is how qpdf says "with warnings".
[[nodiscard]] inline std::string said_by(const std::string& command) {
  INFO(command);
  std::FILE* const pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  std::string text;
  char bytes[4096];
  for (std::size_t count = 0; (count = std::fread(bytes, 1, sizeof bytes, pipe)) > 0;) text.append(bytes, count);
  REQUIRE(::pclose(pipe) == 0);
  return text;
}

// A folder of its own for a test case, gone when it ends.
class PrintFolder {
public:
  PrintFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "phasewright-paper-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~PrintFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  PrintFolder(const PrintFolder&) = delete;
  PrintFolder& operator=(const PrintFolder&) = delete;

  [[nodiscard]] std::string operator/(const std::string& name) const { return (path_ / name).string(); }

private:
  std::filesystem::path path_;
};

[[nodiscard]] inline std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  REQUIRE(in.good());
  std::ostringstream bytes;
  bytes << in.rdbuf();
  return bytes.str();
}

[[nodiscard]] inline std::size_t count_of(std::string_view text, std::string_view part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string_view::npos; at = text.find(part, at + part.size())) ++count;
  return count;
}

} // namespace phasewright::testing
