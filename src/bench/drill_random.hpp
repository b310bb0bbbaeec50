// Random figures for drills: whole numbers and exact binary fractions only, so that a seed gives the same drill on
// every machine and compiler.
#pragma once

#include "bench/spread_random.hpp"

#include <cmath>
#include <cstdint>
#include <initializer_list>

namespace phasewright {

class DrillRandom {
public:
  // Words that differ in any place start sequences that have nothing to do with each other.
  DrillRandom(std::initializer_list<std::uint64_t> words) : random_(0) {
    std::uint64_t state = 0;
    for (const std::uint64_t word : words) state = SplitMix64(state ^ SplitMix64(word)())();
    random_ = SplitMix64(state);
  }

  // 0 to count - 1, each as likely as another but for one part in four thousand million.
  int below(int count) { return static_cast<int>(((random_() >> 32) * static_cast<std::uint64_t>(count)) >> 32); }
  bool coin() { return below(2) == 1; }
  double sign() { return coin() ? 1.0 : -1.0; }
  // Any figure from -limit up to limit.
  double within(double limit) {
    constexpr double per_step = 1.0 / 4503599627370496.0; // 2^-52
    return (static_cast<double>(random_() >> 11) * per_step - 1.0) * limit;
  }
  // One of `least`, `least` + `step`, ... up to `most`.
  double stepped(double least, double most, double step) {
    if (!(step > 0.0)) return least;
    return least + step * below(static_cast<int>(std::floor((most - least) / step + 1e-9)) + 1);
  }

private:
  SplitMix64 random_;
};

} // namespace phasewright
