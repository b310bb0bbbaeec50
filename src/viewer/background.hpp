// One piece of work at a time beside the screen, on a thread of its own.
#pragma once

#include <chrono>
#include <functional>
#include <future>
#include <thread>

namespace phasewright::viewer {

// The work must hold copies of all it reads. Destruction waits for work that is under way.
template <class T>
class Background {
public:
  // Nothing else may be under way. `wake` is called on the other thread once the answer is there to be taken.
  void start(std::function<T()> work, std::function<void()> wake) {
    std::packaged_task<T()> task(std::move(work));
    answer_ = task.get_future();
    thread_ = std::jthread([task = std::move(task), wake = std::move(wake)]() mutable {
      task();
      if (wake) wake();
    });
  }

  [[nodiscard]] bool busy() const { return answer_.valid(); } // until it has been taken
  [[nodiscard]] bool ready() const {
    return answer_.valid() && answer_.wait_for(std::chrono::seconds(0)) == std::future_status::ready;
  }
  void wait() const {
    if (answer_.valid()) answer_.wait();
  }
  // Waits when it is not ready; throws what the work threw.
  T take() {
    T answer = answer_.get();
    thread_.join();
    return answer;
  }

private:
  std::future<T> answer_;
  std::jthread thread_;
};

} // namespace phasewright::viewer
