// How the valves stand against their limits, in words.
#pragma once

#include "bench/standing.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright::cli {

// One for each figure below its limit, now or else with the chain worn: "the inlet valve comes within 0.71 mm of the
// piston along its axis, at crank 9.0° ATDC. The limit is 2.00 mm: 1.29 mm short of it", without the full stop. A valve
// that is too near along its axis is not told again for being near sideways.
[[nodiscard]] std::vector<std::string> too_close_words(const Judgement& now, const Judgement& worn);

// A state of the engine that is shown, as every page, print and file says it. `of`: "as planned, option 150 (chain 1
// tooth back)".
struct Verdict {
  std::optional<bool> safe; // nothing: not judged, or its clearances are not worked out
  std::string words; // "NOT SAFE: as fitted: the inlet valve comes ..."; a sentence or more, the full stop with it
  bool plain = true; // nothing that whoever looks at it has to be told
};
[[nodiscard]] Verdict verdict_on(const Standing& standing, const std::string& of);
// Of the maker's reference assembly, which nobody fits.
[[nodiscard]] Verdict not_judged(const std::string& of);

} // namespace phasewright::cli
