// What phase to expect before anything is fitted: a great many builds over the parts' tolerances, JCGM 101:2008.
#pragma once

#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct SpreadOptions {
  std::size_t builds = 1'000'000; // 1,000 to 100,000,000
  std::uint64_t seed = 1;
  int threads = 0; // 0 = as many as the machine has; the result does not depend on it
};

struct SpreadPart {
  std::string cause;        // "centre distance", "chain length", "crank keyway"...
  double half_width = 0;    // what it may be out by
  std::string unit;         // "mm", "%", "deg"
  double deviation_deg = 0; // what it alone does to the phase, standard, crank degrees
  double share = 0;         // first-order index: part of the variance that would go if it were known
};

// The levels of Spread::percentile_deg (unit: percent).
inline constexpr std::array<double, 7> spread_levels{0.5, 2.5, 16, 50, 84, 97.5, 99.5};

struct Spread {
  std::size_t camshaft = 0;
  std::size_t builds = 0;
  std::uint64_t seed = 0;
  double nominal_deg = 0; // phase with nothing out
  double mean_deg = 0;
  double deviation_deg = 0; // standard
  std::array<double, spread_levels.size()> percentile_deg{};
  std::vector<SpreadPart> parts;   // the one that matters most first
  double low_deg = 0, bin_deg = 0; // histogram of the phase: share of builds by bin
  std::vector<double> histogram;
  double within_1_deg = 0; // share of builds within 1 crank degree of nominal
};

// Of every camshaft, as Engine::camshafts. The phase of each build is exact in keys, sprockets and lobes; what chain
// and centres do is read off a surface through the drive solved on a grid, within 1e-4 degrees (tests measure it). The
// same seed gives the same figures to the last bit, whatever the threads. Problems as Mechanism::assemble, also at the
// ends of the tolerances: a chain that would not go on is said.
[[nodiscard]] Result<std::vector<Spread>> spread_of(const Engine& engine, const Build& build,
                                                    const SpreadOptions& options = {});

} // namespace phasewright
