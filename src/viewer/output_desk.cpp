#include "viewer/output_desk.hpp"

#include "viewer/workbench.hpp"

#include <fmt/format.h>

namespace phasewright::viewer {

namespace {

std::string words_of(const Problems& problems) {
  std::string words;
  for (const Problem& problem : problems) words += fmt::format("{}{}", words.empty() ? "" : "\n", to_text(problem));
  return words;
}

} // namespace

void OutputDesk::seek_preview(const Workbench& bench, const Order& order, int leaf, const std::function<void()>& wake) {
  Wanted wanted{order, leaf, bench.revision()};
  if (maker_ == nullptr || previewing_.busy() || begun_for_ == wanted) return;
  begun_for_ = std::move(wanted);
  previewing_.start(
      [maker = maker_, opened = bench.opened(), order, leaf] { return maker->preview(opened, order, leaf); }, wake);
}

void OutputDesk::begin(const Workbench& bench, const Order& order, const std::function<void()>& wake) {
  if (maker_ == nullptr || making_.busy()) return;
  done_ = told_ = 0;
  cancelled_ = false;
  begun_ = order;
  made_.reset();
  made_fault_.clear();
  making_.start(
      [this, maker = maker_, opened = bench.opened(), order, wake] {
        const auto progress = [this, &wake](int done) {
          done_ = done;
          if (wake) wake();
        };
        return maker->make(opened, order, {.progress = progress, .cancelled = &cancelled_});
      },
      wake);
}

void OutputDesk::show(Result<Preview> came) {
  preview_.reset();
  preview_fault_.clear();
  if (came)
    preview_ = *std::move(came);
  else
    preview_fault_ = words_of(came.problems());
  ++previews_;
}

bool OutputDesk::take_results() {
  bool news = false;
  told_ = done_;
  if (previewing_.ready()) {
    Result<Preview> came = previewing_.take();
    if (begun_for_) show(std::move(came)); // else it is of a file that was open before
    news = true;
  }
  if (making_.ready()) {
    Result<Made> came = making_.take();
    if (came)
      made_ = *std::move(came);
    else
      made_fault_ = words_of(came.problems());
    news = true;
  }
  return news;
}

void OutputDesk::finish_work() const {
  previewing_.wait();
  making_.wait();
}

void OutputDesk::forget() {
  begun_for_.reset();
  preview_.reset();
  preview_fault_.clear();
  if (making()) return; // it goes on, and says what came of it
  made_.reset();
  made_fault_.clear();
}

} // namespace phasewright::viewer
