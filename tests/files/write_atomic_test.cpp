// Writing a whole file or nothing.
#include "files/folder.hpp"

#include <csignal>

#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

mode_t mode_of(const std::filesystem::path& path) {
  struct stat status {};
  REQUIRE(::stat(path.c_str(), &status) == 0);
  return status.st_mode & 07777u;
}

// No file may grow beyond so many bytes while this lives: a disk that is full.
class FileSizeLimit {
public:
  explicit FileSizeLimit(rlim_t bytes) : old_handler_(std::signal(SIGXFSZ, SIG_IGN)) {
    REQUIRE(::getrlimit(RLIMIT_FSIZE, &old_) == 0);
    rlimit limit = old_;
    limit.rlim_cur = bytes;
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &limit) == 0);
  }
  ~FileSizeLimit() {
    ::setrlimit(RLIMIT_FSIZE, &old_);
    std::signal(SIGXFSZ, old_handler_);
  }
  FileSizeLimit(const FileSizeLimit&) = delete;
  FileSizeLimit& operator=(const FileSizeLimit&) = delete;

private:
  rlimit old_{};
  void (*old_handler_)(int);
};

} // namespace

TEST_CASE("A file is made new or replaced whole") {
  const Folder folder;
  CHECK_FALSE(write_atomic(folder / "a.toml", "one").has_value());
  CHECK(slurp(folder / "a.toml") == "one");
  CHECK_FALSE(write_atomic(folder / "a.toml", "two\n").has_value());
  CHECK(slurp(folder / "a.toml") == "two\n");
  CHECK(folder.names() == std::vector<std::string>{"a.toml"});
}

TEST_CASE("Permissions stay") {
  const Folder folder;
  const mode_t mask = ::umask(022);
  CHECK_FALSE(write_atomic(folder / "a.toml", "one").has_value());
  ::umask(mask);
  CHECK(mode_of(folder / "a.toml") == 0644);
  REQUIRE(::chmod((folder / "a.toml").c_str(), 0640) == 0);
  CHECK_FALSE(write_atomic(folder / "a.toml", "two").has_value());
  CHECK(mode_of(folder / "a.toml") == 0640);
}

TEST_CASE("A symbolic link goes on pointing at the file") {
  const Folder folder;
  folder.write("real.toml", "one");
  std::filesystem::create_symlink("real.toml", folder / "link.toml");
  CHECK_FALSE(write_atomic(folder / "link.toml", "two").has_value());
  CHECK(std::filesystem::is_symlink(folder / "link.toml"));
  CHECK(slurp(folder / "real.toml") == "two");
}

TEST_CASE("A full disk leaves the old file and no other") {
  const Folder folder;
  folder.write("a.toml", "old");
  std::string said;
  {
    const FileSizeLimit limit(1000);
    const auto problem = write_atomic(folder / "a.toml", std::string(5000, 'x'));
    REQUIRE(problem.has_value());
    said = problem->advice;
  }
  CHECK(said == "cannot be written: File too large; nothing was changed");
  CHECK(slurp(folder / "a.toml") == "old");
  CHECK(folder.names() == std::vector<std::string>{"a.toml"});
}

TEST_CASE("What cannot be written to is left alone") {
  const Folder folder;
  const auto advice = [](const std::filesystem::path& path) {
    const auto problem = write_atomic(path, "text");
    return problem ? problem->advice : std::string("written");
  };
  CHECK(advice(folder / "missing/a.toml") == "cannot be written: No such file or directory; nothing was changed");
  CHECK(advice(folder.path()) == "this is a folder; name a file");
  CHECK(advice(folder.path() / "") == "this does not name a file");
  CHECK(advice("/dev/full") == "this is a device or pipe; name a regular file");
  CHECK(folder.names().empty());
  REQUIRE(::mkfifo((folder / "pipe").c_str(), 0600) == 0);
  CHECK(advice(folder / "pipe") == "this is a device or pipe; name a regular file");
}

TEST_CASE("A folder that may not be written to is left alone") {
  const Folder folder;
  folder.write("a.toml", "old");
  REQUIRE(::chmod(folder.path().c_str(), 0500) == 0);
  const auto problem = write_atomic(folder / "a.toml", "new");
  if (::geteuid() == 0) {
    CHECK_FALSE(problem.has_value()); // nothing is forbidden to root
  } else {
    REQUIRE(problem.has_value());
    CHECK(problem->advice == "cannot be written: Permission denied; nothing was changed");
    CHECK(slurp(folder / "a.toml") == "old");
  }
  CHECK(folder.names() == std::vector<std::string>{"a.toml"});
}
