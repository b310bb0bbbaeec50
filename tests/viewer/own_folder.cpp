#include "viewer/own_folder.hpp"

#include "support/catch.hpp"

#include <sstream>

#include <unistd.h>

namespace phasewright::viewer {

namespace fs = std::filesystem;

// Another run of the tests beside this one has its own.
OwnFolder::OwnFolder(const std::string& name)
    : path_(fs::temp_directory_path() / ("phasewright-viewer-" + name + "-" + std::to_string(::getpid()))) {
  fs::remove_all(path_);
  fs::create_directories(path_);
  for (const auto& entry : fs::directory_iterator(PHASEWRIGHT_MODELS)) fs::copy(entry.path(), path_);
}

OwnFolder::~OwnFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::string text_of(const fs::path& path) {
  std::ostringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

Opened opened(const fs::path& path) {
  Result<Opened> found = open_any(path);
  INFO((found ? std::string() : to_text(found.problems())));
  REQUIRE(found.ok());
  return *std::move(found);
}

} // namespace phasewright::viewer
