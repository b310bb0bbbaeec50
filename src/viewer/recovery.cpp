#include "viewer/recovery.hpp"

#include "files/files.hpp"
#include "files/limits.hpp"
#include "files/text_file.hpp"
#include "viewer/findings.hpp"

#include <fmt/format.h>

#include <cctype>
#include <cerrno>
#include <cstring>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

constexpr int most_places = 8; // viewers on one build file

// The file's name for a person, its path's digest for the rest.
std::string name_of(const WorkOf& of) {
  if (of.file.empty()) return "unsaved-demo";
  std::string words;
  constexpr std::size_t longest = 60;
  for (const char letter : fs::path(of.file).stem().string().substr(0, longest)) {
    const auto code = static_cast<unsigned char>(letter);
    words += code < 0x80U && (std::isalnum(code) != 0 || letter == '.' || letter == '_') ? letter : '-';
  }
  return fmt::format("unsaved-{}-{}", words, digest_of(of.file));
}

} // namespace

Recovery::Recovery(fs::path folder, Pause pause) : folder_(std::move(folder)), pause_(pause) {}

Recovery::~Recovery() {
  {
    const std::lock_guard hold(guard_);
    ending_ = true;
  }
  asked_.notify_all();
  if (thread_.joinable()) thread_.join();
}

fs::path Recovery::place(int number) const {
  const std::string name = name_of(of_);
  return folder_ / (number == 1 ? name + ".toml" : fmt::format("{}-{}.toml", name, number));
}

std::optional<LeftWork> Recovery::begin(const WorkOf& of) {
  leave_there();
  of_ = of;
  if (folder_.empty()) return std::nullopt;
  for (int number = 1; number <= most_places; ++number) {
    const fs::path path = place(number);
    std::error_code fault;
    if (!fs::is_regular_file(path, fault) || !lock_.acquire(path.string() + ".lock")) continue;
    const fs::file_time_type written = fs::last_write_time(path, fault);
    if (fault) continue; // gone again
    path_ = path;
    LeftWork left{.path = path, .text = {}, .fault = {}, .written = written};
    const auto text = read_text({folder_, false}, path.filename().string(), limits::document_bytes);
    if (text)
      left.text = *text;
    else
      left.fault = first_words(text.problems());
    return left;
  }
  lock_.release();
  return std::nullopt;
}

void Recovery::saved(const WorkOf& of) {
  drop();
  finish();
  if (of.file != of_.file) leave_there();
  of_ = of;
}

void Recovery::keep(const Build& build, const Fitted& tried) {
  if (!folder_.empty()) ask(Wanted::keep, {of_, build, tried});
}

void Recovery::drop() {
  if (thread_.joinable() || !path_.empty()) ask(Wanted::drop, {}); // else nothing was ever kept
}

// Both under one lock: the thread takes the work away, and must not find what it has taken asked for again.
void Recovery::ask(Wanted wanted, UnsavedWork work) {
  {
    const std::lock_guard hold(guard_);
    wanted_ = wanted;
    waiting_ = std::move(work);
    if (!thread_.joinable()) thread_ = std::thread([this] { run(); });
  }
  asked_.notify_all();
}

void Recovery::hold() {
  std::unique_lock hold(guard_);
  wanted_ = Wanted::nothing;
  done_.wait(hold, [this] { return !writing_; });
}

void Recovery::finish() {
  std::unique_lock hold(guard_);
  done_.wait(hold, [this] { return !writing_ && wanted_ == Wanted::nothing; });
}

void Recovery::run() {
  std::unique_lock hold(guard_);
  Clock::time_point next = Clock::now();
  while (true) {
    asked_.wait(hold, [this] { return ending_ || wanted_ != Wanted::nothing; });
    if (wanted_ == Wanted::keep) asked_.wait_until(hold, next, [this] { return ending_ || wanted_ != Wanted::keep; });
    if (wanted_ == Wanted::nothing) {
      if (ending_) return;
      continue;
    }
    const bool keeps = wanted_ == Wanted::keep;
    const UnsavedWork work = keeps ? std::move(waiting_) : UnsavedWork{};
    wanted_ = Wanted::nothing;
    writing_ = true;
    hold.unlock();
    if (keeps) {
      write(work);
      next = Clock::now() + pause_;
    } else if (!path_.empty()) {
      std::error_code ignored;
      fs::remove(path_, ignored);
    }
    hold.lock();
    writing_ = false;
    done_.notify_all();
  }
}

void Recovery::write(const UnsavedWork& work) {
  if (path_.empty() && !take_place()) return;
  if (const std::optional<Problem> problem = write_atomic(path_, unsaved_text(work))) say(to_text(*problem));
}

// A place nobody has, with nothing left behind in it.
bool Recovery::take_place() {
  make_folder();
  clear_leftovers();
  for (int number = 1; number <= most_places; ++number) {
    const fs::path path = place(number);
    std::error_code fault;
    if (fs::exists(path, fault)) continue;
    if (lock_.acquire(path.string() + ".lock")) {
      path_ = path;
      return true;
    }
    if (errno != EWOULDBLOCK) {
      say(fmt::format("{}: {}", folder_.string(), std::strerror(errno)));
      return false;
    }
  }
  say(fmt::format("{}: {} viewers have kept work of this file there already", folder_.string(), most_places));
  return false;
}

void Recovery::make_folder() const {
  std::error_code ignored; // the lock will not be there, and says why
  if (fs::create_directories(folder_, ignored)) fs::permissions(folder_, fs::perms::owner_all, ignored);
}

// Halves of files, from writers that were killed.
void Recovery::clear_leftovers() const {
  std::error_code fault;
  const auto now = fs::file_time_type::clock::now();
  for (fs::directory_iterator entry(folder_, fault); !fault && entry != fs::directory_iterator();
       entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    if (!name.starts_with(".phasewright-") || !name.ends_with(".tmp")) continue;
    std::error_code ignored;
    const auto written = entry->last_write_time(ignored);
    if (!ignored && now - written > std::chrono::minutes(1)) fs::remove(entry->path(), ignored);
  }
}

fs::path Recovery::put_aside(const LeftWork& left) {
  const fs::path folder = left.path.parent_path();
  const std::string name = left.path.filename().string();
  std::error_code fault;
  fs::path aside = folder / ("aside-" + name);
  // What was put aside before stays.
  for (int number = 2; fs::exists(aside, fault); ++number)
    aside = folder / ("aside-" + std::to_string(number) + "-" + name);
  fs::rename(left.path, aside, fault);
  return fault ? left.path : aside;
}

void Recovery::leave_there() {
  finish();
  lock_.release();
  path_.clear();
}

void Recovery::say(std::string fault) {
  std::function<void()> wake;
  {
    const std::lock_guard hold(guard_);
    if (told_) return;
    told_ = true;
    fault_ = std::move(fault);
    wake = wake_;
  }
  if (wake) wake();
}

void Recovery::set_wake(std::function<void()> wake) {
  const std::lock_guard hold(guard_);
  wake_ = std::move(wake);
}

bool Recovery::has_fault() const {
  const std::lock_guard hold(guard_);
  return fault_.has_value();
}

std::optional<std::string> Recovery::take_fault() {
  const std::lock_guard hold(guard_);
  return std::exchange(fault_, std::nullopt);
}

} // namespace phasewright::viewer
