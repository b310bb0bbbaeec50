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

inline constexpr std::size_t least_spread_builds = 1'000;
inline constexpr std::size_t most_spread_builds = 100'000'000;
inline constexpr int most_spread_threads = 256;

struct SpreadOptions {
  std::size_t builds = 1'000'000; // least_spread_builds to most_spread_builds
  std::uint64_t seed = 1;
  int threads = 0; // to most_spread_threads; 0 = as many as the machine has. The result does not depend on it
};

// What is out by more than nothing: one cause, rectangular.
struct SpreadPart {
  // "lobe centre", "cam sprocket", "cam keyway", "cam key step", "crank sprocket", "crank keyway", "crank key step",
  // "centre distance", "chain length". With several chains "length of chain 2"; of a shaft between crank and camshaft
  // `sprocket "jack"`, and where it is a camshaft itself `keyway of "inlet"` and `key step of "inlet"`.
  std::string cause;
  double half_width = 0;    // what it may be out by either way; degrees are those of its own shaft
  std::string unit;         // "mm", "%", "deg"
  bool one_sided = false;   // of the chain: from 0 to twice the half width, never less than nominal
  double deviation_deg = 0; // what it alone does to the phase, all else averaged; standard, crank degrees
  // First-order index: part of the variance that would go, on average, if it were known. Together they fall short of 1
  // by what only two causes together do.
  double share = 0;
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
// same seed gives the same figures to the last bit, whatever the threads. Problems as Drive::assemble, also at the ends
// of the tolerances: a chain that would not go on is said.
//
// Modelled, every variable rectangular and independent of the others: the centre distance, one change for all
// camshafts; each chain's length, on top of the wear that is fitted; a key's play on the crank and on every camshaft on
// the way whose seat the engine states; every sprocket's keyway against its teeth, on a shaft between as on a camshaft;
// an offset key's step where one is fitted; the lobes of a camshaft, all off together. Not modelled: one lobe off
// against another, guides and tensioner out of place, teeth off their pitch, a jack shaft's own key, play that the drag
// of the valves takes up one way. Camshafts are drawn apart: nothing is said of how two differ.
[[nodiscard]] Result<std::vector<Spread>> spread_of(const Engine& engine, const Build& build,
                                                    const SpreadOptions& options = {});

} // namespace phasewright
