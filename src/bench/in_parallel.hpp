// A long row of like work, shared out over the machine's cores.
#pragma once

#include <algorithm>
#include <cstddef>
#include <future>
#include <thread>
#include <vector>

namespace phasewright {

// Calls work(begin, end) for ranges that together are 0 to `count`, each on a thread of its own, and waits for all.
// Ranges of fewer than `least` are not worth one. What `work` throws comes out here. `threads`: how many at most; 0 =
// as many as the machine has cores.
template <class Work>
void in_parallel(std::size_t count, std::size_t least, Work work, std::size_t threads = 0) {
  const std::size_t cores = threads > 0 ? threads : std::max(1u, std::thread::hardware_concurrency());
  const std::size_t parts = std::clamp<std::size_t>(count / std::max<std::size_t>(least, 1), 1, cores);
  const auto edge = [&](std::size_t part) { return count * part / parts; };
  std::vector<std::future<void>> others;
  others.reserve(parts);
  for (std::size_t part = 1; part < parts; ++part)
    others.push_back(std::async(std::launch::async, [&, part] { work(edge(part), edge(part + 1)); }));
  work(edge(0), edge(1));
  for (std::future<void>& other : others) other.get();
}

} // namespace phasewright
