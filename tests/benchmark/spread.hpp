// What phase to expect over a great many builds: how long it takes, against NumPy working the same model out.
#pragma once

#include "benchmark/timing.hpp"
#include "parts/build.hpp"

#include <cstddef>
#include <optional>
#include <string>

namespace phasewright::benchmark {

// Wall-clock time: threads are what it is about.
struct SpreadTimes {
  std::size_t builds = 0;
  Timing all_cores;
  Timing one_thread;
  std::optional<Timing> numpy; // one thread, as NumPy has it
  std::string remark;          // why there is no NumPy, or by how little the two answers differ
  bool agree = true;           // whether they are of the same model: the two differ by no more than chance
};

// Nothing when the drive cannot be assembled, its problems on standard error. NumPy is run in `python3`, the one that
// is found first and has it.
[[nodiscard]] std::optional<SpreadTimes> time_spread(const Engine& engine, const Build& build, std::size_t builds,
                                                     int repeats);

} // namespace phasewright::benchmark
