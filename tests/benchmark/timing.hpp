// A plain timing loop: batches long enough for the clock, the median of several, and how far they spread. Processor
// time is counted, so that other programs' share of a busy machine is not.
#pragma once

#include <chrono>
#include <ctime>
#include <string>
#include <vector>

namespace phasewright::benchmark {

struct Effort {
  int batches;     // odd
  double batch_ns; // each at least so long; the clock ticks in microseconds
};

// Time of one call (unit: ns).
struct Timing {
  double median_ns = 0;
  double least_ns = 0;
  double greatest_ns = 0;
};

[[nodiscard]] Timing summary(std::vector<double> batch_ns);

// Results of the timed work end here, so that the compiler cannot leave the work out.
void keep(double value);

// `work(i)` is called for i = 0, 1, 2, ... and gives a number.
template <class Work>
[[nodiscard]] Timing measure(const Effort& effort, Work work) {
  const auto run = [&work](long calls) {
    double sum = 0.0;
    const std::clock_t from = std::clock();
    for (long i = 0; i < calls; ++i) sum += work(i);
    const std::clock_t taken = std::clock() - from;
    keep(sum);
    return static_cast<double>(taken) * (1e9 / CLOCKS_PER_SEC);
  };
  // Doubling also warms the caches up.
  long calls = 1;
  while (run(calls) < effort.batch_ns) calls *= 2;
  std::vector<double> batch_ns;
  for (int i = 0; i < effort.batches; ++i) batch_ns.push_back(run(calls) / static_cast<double>(calls));
  return summary(std::move(batch_ns));
}

// Wall-clock time, for work that is shared among threads: what a person waits, and only on a quiet machine.
template <class Work>
[[nodiscard]] Timing measure_wall(int repeats, Work work) {
  std::vector<double> taken_ns;
  for (int i = 0; i < repeats; ++i) {
    const auto from = std::chrono::steady_clock::now();
    keep(work());
    taken_ns.push_back(std::chrono::duration<double, std::nano>(std::chrono::steady_clock::now() - from).count());
  }
  return summary(std::move(taken_ns));
}

// "Intel(R) ... @ 2.10GHz", or "unknown processor" where the system does not say.
[[nodiscard]] std::string processor();

} // namespace phasewright::benchmark
