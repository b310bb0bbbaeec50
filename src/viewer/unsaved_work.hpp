// Work that is in no build file yet, as the text of a file: a build file, with a few lines of comment before it.
#pragma once

#include "parts/problem.hpp"
#include "viewer/document.hpp"

#include <filesystem>
#include <string>
#include <string_view>

namespace phasewright::viewer {

// What the work belongs to.
struct WorkOf {
  std::string file;   // whole path of the build, or of the engine when it has no build file; empty = the demo
  std::string digest; // of that file's text when it was read; empty without one
};

// `path`: of the build or the engine; empty = the demo. Reads the file for its digest.
[[nodiscard]] WorkOf work_of(const std::filesystem::path& path);
// FNV-1a of 64 bits, as 16 figures.
[[nodiscard]] std::string digest_of(std::string_view text);

struct UnsavedWork {
  WorkOf of;
  Build build;
  Fitted tried;
};

[[nodiscard]] std::string unsaved_text(const UnsavedWork& work);
// Problems: what makes it no sound build file, or not one for that engine. What was only tried is given up when it
// cannot be read.
[[nodiscard]] Result<UnsavedWork> read_unsaved(std::string_view text, const std::string& file, const Engine& engine);

} // namespace phasewright::viewer
