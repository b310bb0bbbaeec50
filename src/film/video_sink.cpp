// Frames go through a pipe to the program ffmpeg, which is ended with what is left when a film is not finished.
#include "files/file_beside.hpp"
#include "film/frame_sink.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

extern "C" char** environ; // POSIX leaves it to the program to say so

namespace phasewright::film {

namespace {

Problem trouble(const std::string& file, std::string advice) {
  Problem problem;
  problem.file = file;
  problem.advice = std::move(advice);
  return problem;
}

std::optional<std::string> find_program(const std::string& name) {
  const char* const path = std::getenv("PATH");
  std::string left = path != nullptr ? path : "";
  while (!left.empty()) {
    const std::size_t end = std::min(left.find(':'), left.size());
    const std::string folder = left.substr(0, end);
    left.erase(0, end + 1);
    if (folder.empty()) continue;
    const std::string file = (std::filesystem::path(folder) / name).string();
    std::error_code unknown;
    if (std::filesystem::is_regular_file(file, unknown) && ::access(file.c_str(), X_OK) == 0) return file;
  }
  return std::nullopt;
}

class Descriptor {
public:
  explicit Descriptor(int number = -1) : number_(number) {}
  ~Descriptor() { close(); }
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    close();
    number_ = std::exchange(other.number_, -1);
    return *this;
  }
  [[nodiscard]] int get() const { return number_; }
  void close() {
    if (number_ >= 0) ::close(std::exchange(number_, -1));
  }

private:
  int number_;
};

// Another program at the end of a pipe. Killed when it goes before it has ended.
class Child {
public:
  Child(pid_t id, Descriptor in, Descriptor said) : id_(id), in_(std::move(in)), said_(std::move(said)) {}
  ~Child() {
    if (id_ <= 0) return;
    ::kill(id_, SIGKILL);
    in_.close();
    wait();
  }
  Child(Child&& other) noexcept
      : id_(std::exchange(other.id_, -1)), in_(std::move(other.in_)), said_(std::move(other.said_)) {}
  Child& operator=(Child&&) = delete;

  // Frames are large, the pipe is small: this waits for the other end.
  [[nodiscard]] bool write(const std::vector<std::uint8_t>& bytes) const {
    for (std::size_t done = 0; done < bytes.size();) {
      const ssize_t put = ::write(in_.get(), bytes.data() + done, bytes.size() - done);
      if (put < 0 && errno != EINTR) return false;
      if (put > 0) done += static_cast<std::size_t>(put);
    }
    return true;
  }

  // Tells it that this was all, and waits until it has ended; whether it was content.
  [[nodiscard]] bool end() {
    in_.close();
    const int status = wait();
    return WIFEXITED(status) && WEXITSTATUS(status) == 0;
  }

  // The last line of what it complained of.
  [[nodiscard]] std::string complaint() const {
    constexpr std::size_t most = 4000;
    const off_t size = ::lseek(said_.get(), 0, SEEK_END);
    std::string text(static_cast<std::size_t>(std::clamp<off_t>(size, 0, most)), '\0');
    const ssize_t got = ::pread(said_.get(), text.data(), text.size(), size - static_cast<off_t>(text.size()));
    text.resize(static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
    while (!text.empty() && (text.back() == '\n' || text.back() == ' ')) text.pop_back();
    return text.substr(text.rfind('\n') + 1);
  }

private:
  int wait() {
    int status = -1;
    while (::waitpid(id_, &status, 0) < 0 && errno == EINTR) {
    }
    id_ = -1;
    return status;
  }

  pid_t id_;
  Descriptor in_;
  Descriptor said_;
};

// Started in a process group of its own: Ctrl+C on the terminal is for us, and we end it.
std::optional<Child> start(const std::vector<std::string>& arguments) {
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) return std::nullopt;
  Descriptor out(ends[0]), in(ends[1]);
  Descriptor said(::memfd_create("complaints", MFD_CLOEXEC));
  if (said.get() < 0) return std::nullopt;

  std::vector<std::string> owned = arguments;
  std::vector<char*> words;
  for (std::string& word : owned) words.push_back(word.data());
  words.push_back(nullptr);

  posix_spawn_file_actions_t actions;
  posix_spawnattr_t attributes;
  posix_spawn_file_actions_init(&actions);
  posix_spawnattr_init(&attributes);
  posix_spawn_file_actions_adddup2(&actions, out.get(), STDIN_FILENO);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_adddup2(&actions, said.get(), STDERR_FILENO);
  sigset_t ordinary, none;
  sigemptyset(&none);
  sigemptyset(&ordinary);
  for (const int signal : {SIGPIPE, SIGINT, SIGTERM, SIGHUP}) sigaddset(&ordinary, signal);
  posix_spawnattr_setsigdefault(&attributes, &ordinary);
  posix_spawnattr_setsigmask(&attributes, &none);
  posix_spawnattr_setpgroup(&attributes, 0);
  posix_spawnattr_setflags(&attributes,
                           static_cast<short>(POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETSIGMASK));
  pid_t id = -1;
  const int error = ::posix_spawn(&id, words[0], &actions, &attributes, words.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  posix_spawnattr_destroy(&attributes);
  errno = error;
  if (error != 0) return std::nullopt;
  return Child(id, std::move(in), std::move(said));
}

class VideoSink : public FrameSink {
public:
  VideoSink(FileBeside file, std::string name, Child child)
      : file_(std::move(file)), name_(std::move(name)), child_(std::move(child)) {}

  [[nodiscard]] std::optional<Problem> add(const Image& image) override {
    if (child_.write(image.rgba)) return std::nullopt;
    static_cast<void>(child_.end()); // so that all it complained of is there
    return failed();
  }

  [[nodiscard]] Result<std::vector<std::string>> finish() override {
    if (!child_.end()) return failed();
    if (auto why = file_.put_in_place()) return *std::move(why);
    return std::vector<std::string>{name_};
  }

private:
  [[nodiscard]] Problem failed() const {
    const std::string why = child_.complaint();
    return trouble(name_,
                   fmt::format("ffmpeg could not make it{}{}; nothing was changed", why.empty() ? "" : ": ", why));
  }

  FileBeside file_; // goes after the child that writes it
  std::string name_;
  Child child_;
};

} // namespace

Result<std::unique_ptr<FrameSink>> open_video(const std::filesystem::path& path, const FilmFormat& format) {
  assert(format.size.width_px % 2 == 0 && format.size.height_px % 2 == 0);
  const std::optional<std::string> program = find_program("ffmpeg");
  if (!program)
    return trouble(path.string(), "the program ffmpeg, which makes MP4 files, is not installed: install the package "
                                  "ffmpeg, or name a file that ends in .gif or .png");
  Result<FileBeside> file = FileBeside::open(path);
  if (!file) return file.problems();
  // What the colours mean is said in full, or players guess it from the size.
  std::optional<Child> child =
      start({*program,
             "-nostdin",
             "-hide_banner",
             "-loglevel",
             "error",
             "-y",
             "-f",
             "rawvideo",
             "-pixel_format",
             "rgba",
             "-video_size",
             fmt::format("{}x{}", format.size.width_px, format.size.height_px),
             "-framerate",
             fmt::format("{}", format.frames_per_second),
             "-i",
             "pipe:0",
             "-an",
             "-vf",
             "scale=out_color_matrix=bt709:out_range=tv:flags=accurate_rnd+full_chroma_int+bitexact,format=yuv420p",
             "-c:v",
             "libx264",
             "-preset",
             "medium",
             "-crf",
             "18",
             "-colorspace",
             "bt709",
             "-color_primaries",
             "bt709",
             "-color_trc",
             "iec61966-2-1",
             "-color_range",
             "tv",
             "-movflags",
             "+faststart",
             "-fflags",
             "+bitexact",
             "-flags:v",
             "+bitexact",
             "-map_metadata",
             "-1",
             "-f",
             "mp4",
             "file:" + file->path().string()});
  if (!child) return trouble(path.string(), fmt::format("ffmpeg could not be started: {}", std::strerror(errno)));
  return std::unique_ptr<FrameSink>(std::make_unique<VideoSink>(*std::move(file), path.string(), *std::move(child)));
}

} // namespace phasewright::film
