#include "files/files.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <cstring>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace phasewright {

namespace {

Problem trouble(const std::filesystem::path& path, std::string advice) {
  Problem problem;
  problem.file = path.string();
  problem.advice = std::move(advice);
  return problem;
}

Problem system_trouble(const std::filesystem::path& path, const char* what) {
  return trouble(path, fmt::format("{}: {}; nothing was changed", what, std::strerror(errno)));
}

// A file that is removed again unless it is kept.
class TemporaryFile {
public:
  // Beside `target`, so that the rename stays on one file system. Errno says why when it is not open.
  explicit TemporaryFile(const std::filesystem::path& target) {
    for (int attempt = 0; attempt < 100 && descriptor_ < 0; ++attempt) {
      path_ = target.parent_path() / fmt::format(".phasewright-{}-{}.tmp", ::getpid(), attempt);
      descriptor_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (descriptor_ < 0 && errno != EEXIST) return;
    }
    made_ = descriptor_ >= 0;
  }
  ~TemporaryFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (made_ && !kept_) ::unlink(path_.c_str());
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  [[nodiscard]] bool made() const { return made_; }

  bool write(std::string_view text) const {
    while (!text.empty()) {
      const ssize_t put = ::write(descriptor_, text.data(), text.size());
      if (put < 0 && errno == EINTR) continue;
      if (put < 0) return false;
      text.remove_prefix(static_cast<std::size_t>(put));
    }
    return true;
  }

  void take_permissions_of(const struct stat& old) const {
    // The owner can only be given by one who may; a file of one's own is one's own already.
    if (::fchown(descriptor_, old.st_uid, old.st_gid) != 0) errno = 0;
    if (::fchmod(descriptor_, old.st_mode & 07777u) != 0) errno = 0;
  }

  bool flush_and_close() {
    const bool flushed = ::fsync(descriptor_) == 0;
    const bool closed = ::close(descriptor_) == 0;
    descriptor_ = -1;
    return flushed && closed;
  }

  bool rename_to(const std::filesystem::path& target) {
    kept_ = ::rename(path_.c_str(), target.c_str()) == 0;
    return kept_;
  }

private:
  std::filesystem::path path_;
  int descriptor_ = -1;
  bool made_ = false;
  bool kept_ = false;
};

// The rename itself outlives a loss of power only once the folder is on the disk. A file system that cannot do that is
// no reason to call the saving failed.
void flush_folder(const std::filesystem::path& folder) {
  const int descriptor = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  if (::fsync(descriptor) != 0) errno = 0;
  ::close(descriptor);
}

// Where a symbolic link leads, so that the link stays.
std::filesystem::path behind_links(const std::filesystem::path& path) {
  std::error_code error;
  if (!std::filesystem::is_symlink(path, error)) return path;
  const std::filesystem::path target = std::filesystem::weakly_canonical(path, error);
  return error ? path : target;
}

} // namespace

std::optional<Problem> write_atomic(const std::filesystem::path& path, std::string_view text) {
  if (path.filename().empty()) return trouble(path, "this does not name a file");
  const std::filesystem::path target = behind_links(path);
  struct stat old {};
  const bool replaces = ::stat(target.c_str(), &old) == 0;
  if (replaces && S_ISDIR(old.st_mode)) return trouble(path, "this is a folder; name a file");
  if (replaces && !S_ISREG(old.st_mode)) return trouble(path, "this is a device or pipe; name a regular file");
  if (replaces && ::access(target.c_str(), W_OK) != 0) return system_trouble(path, "cannot be written");

  TemporaryFile file(target);
  if (!file.made()) return system_trouble(path, "cannot be written");
  if (!file.write(text)) return system_trouble(path, "cannot be written");
  if (replaces) file.take_permissions_of(old);
  if (!file.flush_and_close()) return system_trouble(path, "cannot be written");
  if (!file.rename_to(target)) return system_trouble(path, "cannot be put in its place");
  flush_folder(target.parent_path());
  return std::nullopt;
}

} // namespace phasewright
