// Where files are made beside the screen: the preview of the one that is wanted, and one in the making.
#pragma once

#include "viewer/background.hpp"
#include "viewer/maker.hpp"

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

namespace phasewright::viewer {

class Workbench;

class OutputDesk {
public:
  // Without a maker nothing can be made.
  explicit OutputDesk(std::shared_ptr<const Maker> maker) : maker_(std::move(maker)) {}
  ~OutputDesk() { cancel(); } // then waits
  OutputDesk(const OutputDesk&) = delete;
  OutputDesk& operator=(const OutputDesk&) = delete;

  [[nodiscard]] bool can_make() const { return maker_ != nullptr; }

  // Begins, unless that preview is there or another is under way; `wake` as in Background.
  void seek_preview(const Workbench& bench, const Order& order, int leaf, const std::function<void()>& wake);
  // The one that came last, when it is of the same command and kind of file; null otherwise.
  [[nodiscard]] const Preview* preview(const Order& order) const {
    return preview_ && same_kind(shown_.order, order) ? &*preview_ : nullptr;
  }
  // Why that very one could not be; empty otherwise.
  [[nodiscard]] std::string preview_fault(const Order& order) const {
    return shown_.order == order ? preview_fault_ : "";
  }
  [[nodiscard]] std::uint64_t preview_number() const { return previews_; } // grows with each
  [[nodiscard]] bool previewing() const { return previewing_.busy(); }

  // Begins, unless one is in the making. `frames`: of a film; else 0.
  void begin(const Workbench& bench, const Order& order, int frames, const std::function<void()>& wake);
  void cancel() { cancelled_ = true; }
  [[nodiscard]] bool making() const { return making_.busy(); }
  [[nodiscard]] int frames_done() const { return done_; } // of a film in the making
  [[nodiscard]] int frames() const { return frames_; }
  [[nodiscard]] bool cancelling() const { return making() && cancelled_; }
  // What came of the last one; null when none was made, or it failed and made_fault() says why.
  [[nodiscard]] const Made* made() const { return made_ ? &*made_ : nullptr; }
  [[nodiscard]] const std::string& made_fault() const { return made_fault_; }
  [[nodiscard]] const std::string& file() const { return file_; } // of that one, or of the one in the making
  // It is what that order would make now.
  [[nodiscard]] bool is_of(const Order& order, const Workbench& bench) const;

  [[nodiscard]] bool working() const { return previewing() || making(); }
  // Or a film has come further.
  [[nodiscard]] bool has_results() const { return previewing_.ready() || making_.ready() || done_ != told_; }
  bool take_results(); // true when something has come
  void finish_work() const;
  // Another file is open: what was shown is of no use any more.
  void forget();

private:
  struct Wanted {
    Order order;
    int leaf = 0;
    std::uint64_t revision = 0; // of the bench
    friend bool operator==(const Wanted&, const Wanted&) = default;
  };

  void show(Result<Preview> came);
  // Of the same command, and a file of the same kind.
  [[nodiscard]] static bool same_kind(const Order& a, const Order& b);

  std::shared_ptr<const Maker> maker_;
  std::optional<Preview> preview_;
  std::string preview_fault_;
  std::uint64_t previews_ = 0;
  std::optional<Wanted> begun_for_; // preview
  Wanted shown_;                    // what preview_ or its fault is of
  std::optional<Wanted> begun_;     // the last that was begun
  std::string file_;
  int frames_ = 0;
  std::optional<Made> made_;
  std::string made_fault_;
  std::atomic<int> done_ = 0;
  int told_ = 0; // of `done_`, in the last frame
  std::atomic<bool> cancelled_ = false;
  // Last, so that it ends before what it looks at is gone.
  Background<Result<Preview>> previewing_;
  Background<Result<Made>> making_;
};

} // namespace phasewright::viewer
