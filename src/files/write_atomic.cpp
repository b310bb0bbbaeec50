#include "files/file_beside.hpp"
#include "files/files.hpp"

namespace phasewright {

std::optional<Problem> write_atomic(const std::filesystem::path& path, std::string_view text) {
  Result<FileBeside> file = FileBeside::open(path);
  if (!file) return file.problems().front();
  if (std::optional<Problem> trouble = file->write(text)) return trouble;
  return file->put_in_place();
}

} // namespace phasewright
