#include "cli/program.hpp"

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <fstream>
#include <poll.h>
#include <sstream>
#include <stdexcept>
#include <sys/wait.h>
#include <unistd.h>

namespace phasewright::testing {

namespace {

using Pipe = std::array<int, 2>;

Pipe make_pipe() {
  Pipe ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) throw std::runtime_error(std::string("pipe: ") + std::strerror(errno));
  return ends;
}

// In the child, after fork: only what is allowed there.
[[noreturn]] void become(char* const* words, const RunWith& with, int out, int err) {
  if (!with.directory.empty() && ::chdir(with.directory.c_str()) != 0) ::_exit(126);
  if (with.out_file == "-") {
    ::close(STDOUT_FILENO);
  } else {
    const int to = with.out_file.empty() ? out : ::open(with.out_file.c_str(), O_WRONLY);
    if (to < 0 || ::dup2(to, STDOUT_FILENO) < 0) ::_exit(126);
  }
  if (::dup2(err, STDERR_FILENO) < 0) ::_exit(126);
  for (const std::string& entry : with.environment) ::putenv(const_cast<char*>(entry.c_str()));
  ::execv(words[0], words);
  ::_exit(127);
}

void read_both(int out, int err, Run& run) {
  std::array<pollfd, 2> ends{{{out, POLLIN, 0}, {err, POLLIN, 0}}};
  std::array<std::string*, 2> into{&run.out, &run.err};
  int left = 2;
  while (left > 0) {
    if (::poll(ends.data(), ends.size(), -1) < 0 && errno != EINTR) throw std::runtime_error("poll failed");
    for (std::size_t i = 0; i < ends.size(); ++i) {
      if (ends[i].fd < 0 || ends[i].revents == 0) continue;
      std::array<char, 4096> bytes{};
      const ssize_t count = ::read(ends[i].fd, bytes.data(), bytes.size());
      if (count > 0) {
        into[i]->append(bytes.data(), static_cast<std::size_t>(count));
      } else {
        ends[i].fd = -1;
        --left;
      }
    }
  }
}

} // namespace

Run run_program(const std::vector<std::string>& arguments, const RunWith& with) {
  std::vector<std::string> owned{PHASEWRIGHT_PROGRAM};
  owned.insert(owned.end(), arguments.begin(), arguments.end());
  std::vector<char*> words;
  for (std::string& word : owned) words.push_back(word.data());
  words.push_back(nullptr);

  const Pipe out = make_pipe();
  const Pipe err = make_pipe();
  const pid_t child = ::fork();
  if (child < 0) throw std::runtime_error("fork failed");
  if (child == 0) become(words.data(), with, out[1], err[1]);
  ::close(out[1]);
  ::close(err[1]);
  Run run;
  read_both(out[0], err[0], run);
  ::close(out[0]);
  ::close(err[0]);
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status)) run.exit_code = WEXITSTATUS(status);
  if (run.exit_code == 126 || run.exit_code == 127) throw std::runtime_error("the program could not be started");
  return run;
}

std::string read_file(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

std::string models_path(const std::string& name) {
  return (std::filesystem::path(PHASEWRIGHT_TEST_DIR).parent_path() / "models" / name).string();
}

} // namespace phasewright::testing
