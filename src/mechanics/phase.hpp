// Where the as-fitted cam stands and why.
#pragma once

#include "mechanics/drive.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace phasewright {

struct PhasePart {
  std::string
      cause; // "lay", "crank key", "cam key", "elongation", "centre change", "vernier", "slots", "found by readings"
  double deg = 0; // crank degrees, + = advanced
};

struct PhaseBreakdown {
  std::string camshaft;
  double phase_deg = 0;
  std::vector<PhasePart> parts; // each cause in turn put on top of those before it; they add up to the phase
};

// `camshaft`: index into Engine::camshafts. Problems as Drive::assemble.
[[nodiscard]] Result<PhaseBreakdown> phase_breakdown(const Engine& engine, const Fitted& fitted,
                                                     std::size_t camshaft = 0);

} // namespace phasewright
