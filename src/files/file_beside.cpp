#include "files/file_beside.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <string>
#include <utility>

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

struct FileBeside::State {
  std::filesystem::path asked; // as messages call it
  std::filesystem::path target;
  std::filesystem::path path;
  int descriptor = -1;
  bool made = false;
  bool kept = false;

  State() = default;
  State(const State&) = delete;
  State& operator=(const State&) = delete;
  ~State() {
    if (descriptor >= 0) ::close(descriptor);
    if (made && !kept) ::unlink(path.c_str());
  }

  // In the target's folder, so that the rename stays on one file system. Errno says why when it is not open.
  void make() {
    for (int attempt = 0; attempt < 100 && descriptor < 0; ++attempt) {
      path = target.parent_path() / fmt::format(".phasewright-{}-{}.tmp", ::getpid(), attempt);
      descriptor = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (descriptor < 0 && errno != EEXIST) return;
    }
    made = descriptor >= 0;
  }

  void take_permissions_of(const struct stat& old) const {
    // The owner can only be given by one who may; a file of one's own is one's own already.
    if (::fchown(descriptor, old.st_uid, old.st_gid) != 0) errno = 0;
    if (::fchmod(descriptor, old.st_mode & 07777u) != 0) errno = 0;
  }
};

FileBeside::FileBeside(std::unique_ptr<State> state) : state_(std::move(state)) {}
FileBeside::FileBeside(FileBeside&&) noexcept = default;
FileBeside& FileBeside::operator=(FileBeside&&) noexcept = default;
FileBeside::~FileBeside() = default;

Result<FileBeside> FileBeside::open(const std::filesystem::path& path) {
  if (path.filename().empty()) return trouble(path, "this does not name a file");
  auto state = std::make_unique<State>();
  state->asked = path;
  state->target = behind_links(path);
  struct stat old {};
  const bool replaces = ::stat(state->target.c_str(), &old) == 0;
  if (replaces && S_ISDIR(old.st_mode)) return trouble(path, "this is a folder; name a file");
  if (replaces && !S_ISREG(old.st_mode)) return trouble(path, "this is a device or pipe; name a regular file");
  if (replaces && ::access(state->target.c_str(), W_OK) != 0) return system_trouble(path, "cannot be written");
  state->make();
  if (!state->made) return system_trouble(path, "cannot be written");
  if (replaces) state->take_permissions_of(old);
  return FileBeside(std::move(state));
}

const std::filesystem::path& FileBeside::path() const {
  return state_->path;
}

std::optional<Problem> FileBeside::write(std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(state_->descriptor, bytes.data(), bytes.size());
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) return system_trouble(state_->asked, "cannot be written");
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
  return std::nullopt;
}

std::optional<Problem> FileBeside::put_in_place() {
  const bool flushed = ::fsync(state_->descriptor) == 0;
  const bool closed = ::close(std::exchange(state_->descriptor, -1)) == 0;
  if (!flushed || !closed) return system_trouble(state_->asked, "cannot be written");
  state_->kept = ::rename(state_->path.c_str(), state_->target.c_str()) == 0;
  if (!state_->kept) return system_trouble(state_->asked, "cannot be put in its place");
  flush_folder(state_->target.parent_path());
  return std::nullopt;
}

} // namespace phasewright
