// A place in a folder that one running program at a time may have.
#pragma once

#include <filesystem>

namespace phasewright::viewer {

// Held by an empty file for as long as the program runs: the system lets go of it when the program is killed, too.
class FileLock {
public:
  FileLock() = default;
  ~FileLock() { release(); }
  FileLock(const FileLock&) = delete;
  FileLock& operator=(const FileLock&) = delete;

  // True when it is held now. False = another has it, or the file cannot be made; errno says which (EWOULDBLOCK is the
  // first). What was held before is let go. A file system without locks gives it to everyone.
  bool acquire(const std::filesystem::path& path);
  void release(); // and takes the file away
  [[nodiscard]] bool held() const { return descriptor_ >= 0; }

private:
  std::filesystem::path path_;
  int descriptor_ = -1;
};

} // namespace phasewright::viewer
