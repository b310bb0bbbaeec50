// A file that is written beside the one it is to become, so that what was there stays until all of the new is.
#pragma once

#include "parts/problem.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string_view>

namespace phasewright {

// Gone again unless it was put in its place.
class FileBeside {
public:
  // Problems: the path names no file, a folder, a device or pipe; it cannot be written.
  static Result<FileBeside> open(const std::filesystem::path& path);
  FileBeside(FileBeside&&) noexcept;
  FileBeside& operator=(FileBeside&&) noexcept;
  ~FileBeside();

  // What it is called meanwhile, for another program to write it.
  [[nodiscard]] const std::filesystem::path& path() const;

  [[nodiscard]] std::optional<Problem> write(std::string_view bytes);
  // All of it on the disk, under the name it was opened for; where a file stood there, with its permissions. The last
  // thing to be done with it.
  [[nodiscard]] std::optional<Problem> put_in_place();

private:
  struct State;
  explicit FileBeside(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

} // namespace phasewright
