// Keeps what is not saved yet in a file of its own, so that it outlives the program's being killed. Everything is
// written on another thread. One file for each build file that is worked on; where several viewers have the same build
// open, each has its own.
#pragma once

#include "viewer/file_lock.hpp"
#include "viewer/unsaved_work.hpp"

#include <chrono>
#include <condition_variable>
#include <filesystem>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

namespace phasewright::viewer {

// What an earlier viewer left behind, with nobody at work on it.
struct LeftWork {
  std::filesystem::path path;
  std::string text;  // empty when it cannot be read
  std::string fault; // why it cannot
  std::filesystem::file_time_type written;
};

class Recovery {
public:
  using Pause = std::chrono::milliseconds;

  // `folder` empty: nothing is kept nor looked for. `pause`: between two writings at least; the first change after it
  // is written at once.
  explicit Recovery(std::filesystem::path folder, Pause pause = Pause(400));
  ~Recovery(); // what waits to be written is written first, and stays
  Recovery(const Recovery&) = delete;
  Recovery& operator=(const Recovery&) = delete;

  // From now on it is work on that file. Gives what was left behind of such work, which stays where it is until the
  // next keep() or drop().
  [[nodiscard]] std::optional<LeftWork> begin(const WorkOf& of);
  // The work is in that file now, the same as before or another.
  void saved(const WorkOf& of);

  // This is what is to be kept, in place of what was. Returns at once.
  void keep(const Build& build, const Fitted& tried);
  // Nothing is to be kept: it was saved or given up. Returns at once.
  void drop();
  // Writes nothing until the next keep(); returns when nothing is being written.
  void hold();
  // Waits until what was asked for is done.
  void finish();
  // Renames what was left behind, so that nobody asks about it again; what was put aside before stays. Gives its new
  // name, or the old one when that cannot be done.
  std::filesystem::path put_aside(const LeftWork& left);
  // Lets go of what was left behind; what is kept from now on goes beside it.
  void leave_there();

  // Called on the other thread when there is a fault to be taken.
  void set_wake(std::function<void()> wake);
  [[nodiscard]] bool has_fault() const;
  // Why nothing can be kept, the first time that it cannot.
  [[nodiscard]] std::optional<std::string> take_fault();

private:
  enum class Wanted { nothing, keep, drop };

  [[nodiscard]] std::filesystem::path place(int number) const;
  void ask(Wanted wanted, UnsavedWork work);
  void run();
  void write(const UnsavedWork& work);
  [[nodiscard]] bool take_place();
  void make_folder() const;
  void clear_leftovers() const;
  void say(std::string fault);

  const std::filesystem::path folder_;
  const Pause pause_;
  WorkOf of_;
  // Of the place that is held; the thread has them while it writes.
  FileLock lock_;
  std::filesystem::path path_;

  mutable std::mutex guard_; // of all below
  std::condition_variable asked_;
  std::condition_variable done_;
  Wanted wanted_ = Wanted::nothing;
  UnsavedWork waiting_; // what is wanted kept
  bool writing_ = false;
  bool ending_ = false;
  bool told_ = false;
  std::optional<std::string> fault_;
  std::function<void()> wake_;
  std::thread thread_;
};

} // namespace phasewright::viewer
