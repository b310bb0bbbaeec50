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
  // The one that came last; null when there was none, or it failed and preview_fault() says why.
  [[nodiscard]] const Preview* preview() const { return preview_ ? &*preview_ : nullptr; }
  [[nodiscard]] const std::string& preview_fault() const { return preview_fault_; }
  [[nodiscard]] std::uint64_t preview_number() const { return previews_; } // grows with each
  [[nodiscard]] bool previewing() const { return previewing_.busy(); }

  // Begins, unless one is in the making.
  void begin(const Workbench& bench, const Order& order, const std::function<void()>& wake);
  void cancel() { cancelled_ = true; }
  [[nodiscard]] bool making() const { return making_.busy(); }
  [[nodiscard]] int frames_done() const { return done_; } // of a film in the making
  [[nodiscard]] bool cancelling() const { return making() && cancelled_; }
  // What came of the last one; null when none was made, or it failed and made_fault() says why.
  [[nodiscard]] const Made* made() const { return made_ ? &*made_ : nullptr; }
  [[nodiscard]] const std::string& made_fault() const { return made_fault_; }
  // It was of that command, into that file.
  [[nodiscard]] bool is_of(const Order& order) const {
    return !begun_.empty() && order.front() == begun_.front() && order.back() == begun_.back();
  }

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

  std::shared_ptr<const Maker> maker_;
  std::optional<Preview> preview_;
  std::string preview_fault_;
  std::uint64_t previews_ = 0;
  std::optional<Wanted> begun_for_; // preview
  Order begun_; // the last that was begun
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
