// A result that is worked out beside the screen when it is sought, and holds until what it rests on changes.
#pragma once

#include "viewer/background.hpp"
#include "viewer/findings.hpp"

#include <cstdint>
#include <memory>

namespace phasewright::viewer {

template <class T>
class Sought {
public:
  // What it rests on has changed. Work under way goes on, and its answer is dropped.
  void outdate() {
    ++inputs_;
    found_.reset();
  }

  // Begins, unless it is there or work is under way. The work holds copies of all it reads.
  void seek(std::function<Result<T>()> work, const std::function<void()>& wake) {
    if (found_ != nullptr || work_.busy()) return;
    begun_for_ = inputs_;
    work_.start(std::move(work), wake);
  }

  // Puts an answer in place that is ready. True when work has ended, also when its answer no longer holds.
  bool take() {
    if (!work_.ready()) return false;
    Result<T> answer = work_.take();
    if (begun_for_ != inputs_) return true;
    auto found = std::make_shared<Found<T>>();
    if (answer)
      found->value = *std::move(answer);
    else
      found->fault = first_words(answer.problems());
    found_ = std::move(found);
    return true;
  }

  [[nodiscard]] const Found<T>* found() const { return found_.get(); }
  [[nodiscard]] bool busy() const { return work_.busy(); }
  [[nodiscard]] bool ready() const { return work_.ready(); }
  void wait() const { work_.wait(); }

private:
  Background<Result<T>> work_;
  std::shared_ptr<const Found<T>> found_;
  std::uint64_t inputs_ = 0;
  std::uint64_t begun_for_ = 0;
};

} // namespace phasewright::viewer
