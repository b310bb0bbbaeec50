// What the clearance panel needs beside the least clearances: worked out when the panel asks for it, not on every
// change of a key.
#pragma once

#include "mechanics/judgement.hpp"

#include <array>
#include <optional>
#include <vector>

namespace phasewright::viewer {

inline constexpr double phase_reach_deg = 20.0; // of the plot, crank degrees either way of where it stands
inline constexpr double phase_step_deg = 1.0;

// A kind's least clearance against phase, and half the width of the band about it.
struct PhaseBand {
  std::vector<double> extra_deg; // crank degrees of advance on top of where it stands
  std::vector<double> least_mm;
  std::vector<double> half_mm;
  std::vector<double> worn_mm; // with the chain at its wear limit; empty when that is not known
};

struct ClearanceDetail {
  Clearances no_lash;                                     // all lash taken up
  std::array<std::optional<ClearanceQuality>, 2> quality; // inlet, exhaust
  std::array<PhaseRoom, 2> room;                          // before a limit is reached, as the chain is or worn
};

// `worn`: with the chain at its wear limit; may be null.
[[nodiscard]] ClearanceDetail clearance_detail(const ClearanceModel& model, const ClearanceModel* worn,
                                               const Target& target);
// Inlet, exhaust; empty for a kind the engine has not.
[[nodiscard]] std::array<PhaseBand, 2> phase_bands(const ClearanceModel& model, const ClearanceModel* worn,
                                                   const ClearanceDetail& detail);

} // namespace phasewright::viewer
