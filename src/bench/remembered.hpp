// What is dear to work out and asked for again, from several threads.
#pragma once

#include <map>
#include <mutex>
#include <utility>

namespace phasewright {

// Works a value out when it is first asked for. `work` must come to the same whoever asks: two threads that ask at once
// may both work, and one result is kept. References stay good.
template <class Key, class Value>
class Remembered {
public:
  template <class Work>
  const Value& value(const Key& key, Work work) const {
    {
      const std::lock_guard lock(guard_);
      if (const auto known = known_.find(key); known != known_.end()) return known->second;
    }
    Value fresh = work();
    const std::lock_guard lock(guard_);
    return known_.try_emplace(key, std::move(fresh)).first->second;
  }

private:
  mutable std::mutex guard_;
  mutable std::map<Key, Value> known_;
};

} // namespace phasewright
