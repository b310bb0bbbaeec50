#include "viewer/file_lock.hpp"

#include <cerrno>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

namespace phasewright::viewer {

namespace {

// The one who had it may have taken the file away between our opening it and our locking it.
bool still_there(int descriptor, const std::filesystem::path& path) {
  struct stat opened {};
  struct stat named {};
  return ::fstat(descriptor, &opened) == 0 && ::stat(path.c_str(), &named) == 0 && opened.st_ino == named.st_ino &&
         opened.st_dev == named.st_dev;
}

} // namespace

bool FileLock::acquire(const std::filesystem::path& path) {
  release();
  constexpr int most_attempts = 20;
  for (int attempt = 0; attempt < most_attempts; ++attempt) {
    const int descriptor = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (descriptor < 0) return false;
    const bool locked = ::flock(descriptor, LOCK_EX | LOCK_NB) == 0;
    if (!locked && errno == EWOULDBLOCK) {
      ::close(descriptor);
      errno = EWOULDBLOCK;
      return false;
    }
    if (still_there(descriptor, path)) {
      descriptor_ = descriptor;
      path_ = path;
      return true;
    }
    ::close(descriptor);
  }
  errno = EWOULDBLOCK;
  return false;
}

void FileLock::release() {
  if (descriptor_ < 0) return;
  ::unlink(path_.c_str()); // before it is let go, so that the next one makes its own
  ::close(descriptor_);
  descriptor_ = -1;
}

} // namespace phasewright::viewer
