#include "files/text_file.hpp"

#include "files/demo_models.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <optional>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace phasewright {

namespace {

Problem trouble(const std::string& file, std::string advice) {
  Problem problem;
  problem.file = file;
  problem.advice = std::move(advice);
  return problem;
}

Problem misfit(const std::string& file, std::string found, std::string allowed) {
  Problem problem;
  problem.file = file;
  problem.found = std::move(found);
  problem.allowed = std::move(allowed);
  return problem;
}

Problem too_long(const std::string& file, std::size_t most_bytes) {
  return misfit(file, "a longer file", fmt::format("at most {} KiB", most_bytes / 1024));
}

// Closes itself.
class Descriptor {
public:
  explicit Descriptor(const char* path) : number_(::open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY)) {}
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  [[nodiscard]] int number() const { return number_; }

private:
  int number_;
};

Result<std::string> read_bytes(const std::string& path, std::size_t most_bytes) {
  const Descriptor file(path.c_str());
  if (file.number() < 0) {
    if (errno == ENOENT || errno == ENOTDIR) return trouble(path, "there is no such file");
    return trouble(path, fmt::format("cannot be read: {}", std::strerror(errno)));
  }
  struct stat status {};
  if (::fstat(file.number(), &status) != 0)
    return trouble(path, fmt::format("cannot be read: {}", std::strerror(errno)));
  if (S_ISDIR(status.st_mode)) return misfit(path, "a folder", "a file");
  if (!S_ISREG(status.st_mode)) return misfit(path, "a device or pipe", "a regular file");

  std::string bytes(most_bytes + 1, '\0'); // one more, to notice that there is more
  std::size_t length = 0;
  while (length < bytes.size()) {
    const ssize_t got = ::read(file.number(), bytes.data() + length, bytes.size() - length);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return trouble(path, fmt::format("cannot be read: {}", std::strerror(errno)));
    if (got == 0) break;
    length += static_cast<std::size_t>(got);
  }
  if (length > most_bytes) return too_long(path, most_bytes);
  bytes.resize(length);
  bytes.shrink_to_fit();
  return bytes;
}

// Bytes of the UTF-8 code point at `at`; 0 when it is not one (RFC 3629: no overlong forms, no surrogates, to
// U+10FFFF).
std::size_t code_point_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0u; };
  const auto follows = [&](std::size_t i, unsigned least, unsigned most) {
    return byte(i) >= least && byte(i) <= most;
  };
  const unsigned lead = byte(0);
  if (lead < 0x80) return 1;
  if (lead >= 0xC2 && lead <= 0xDF) return follows(1, 0x80, 0xBF) ? 2 : 0;
  if (lead >= 0xE0 && lead <= 0xEF) {
    const bool second = follows(1, lead == 0xE0 ? 0xA0 : 0x80, lead == 0xED ? 0x9F : 0xBF);
    return second && follows(2, 0x80, 0xBF) ? 3 : 0;
  }
  if (lead >= 0xF0 && lead <= 0xF4) {
    const bool second = follows(1, lead == 0xF0 ? 0x90 : 0x80, lead == 0xF4 ? 0x8F : 0xBF);
    return second && follows(2, 0x80, 0xBF) && follows(3, 0x80, 0xBF) ? 4 : 0;
  }
  return 0;
}

std::optional<std::string_view> find_demo(const std::string& name) {
  for (const DemoModel& model : demo_models())
    if (model.name == name) return model.text;
  return std::nullopt;
}

} // namespace

std::string shown_path(const Folder& folder, const std::string& name) {
  return folder.compiled_in ? "demo/" + name : (folder.path / name).string();
}

bool exists(const Folder& folder, const std::string& name) {
  if (folder.compiled_in) return find_demo(name).has_value();
  std::error_code ignored;
  return std::filesystem::exists(folder.path / name, ignored);
}

std::optional<Problem> check_text(std::string_view text, const std::string& file, std::size_t most_bytes) {
  if (text.size() > most_bytes) return too_long(file, most_bytes);
  if (text.empty()) return misfit(file, "an empty file", "text");
  if (text.starts_with("\xEF\xBB\xBF") || text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
    Problem problem = misfit(file, "a byte order mark", "plain UTF-8");
    problem.line = 1;
    problem.column = 1;
    problem.advice = "save it again as UTF-8 without a byte order mark";
    return problem;
  }
  int line = 1;
  int column = 1;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = code_point_length(text, i);
    if (length == 0 || text[i] == '\0') {
      Problem problem =
          misfit(file, fmt::format("the byte {:#04x}", static_cast<unsigned char>(text[i])), "UTF-8 text");
      problem.line = line;
      problem.column = column;
      return problem;
    }
    column = text[i] == '\n' ? 1 : column + 1;
    if (text[i] == '\n') ++line;
    i += length;
  }
  return std::nullopt;
}

Result<std::string> read_text(const Folder& folder, const std::string& name, std::size_t most_bytes) {
  const std::string shown = shown_path(folder, name);
  if (folder.compiled_in) {
    if (const auto text = find_demo(name)) return std::string(*text);
    return trouble(shown, "there is no such file");
  }
  auto bytes = read_bytes(shown, most_bytes);
  if (!bytes) return bytes;
  if (auto problem = check_text(*bytes, shown, most_bytes)) return *problem;
  return bytes;
}

} // namespace phasewright
