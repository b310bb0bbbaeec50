// Pins between the timing marks along the taut side: the count by which a builder checks the lay.
#pragma once

#include "mechanics/drive.hpp"

#include <optional>

namespace phasewright {

struct MarkCount {
  int pins = 0;              // strictly between the marks; a pin in a marked gap is not counted
  double from_crank_deg = 0; // turn the crank to anywhere between these: both marks are in the chain; 0 to 720
  double to_crank_deg = 0;   // not less than `from`; past 720 when the run goes on into the next cycle
};

// Looked for over a cycle, from crank 0 in the running direction, at every quarter of a crank tooth; of several counts
// the least, which is the one with the least chain to count along. One tooth of lay changes it by one. Nothing when the
// marks are never in the chain together, or stand more than a quarter tooth from a tooth or gap of the chain.
[[nodiscard]] std::optional<MarkCount> pins_between_marks(const Engine& engine, const Drive& drive,
                                                          double centre_change_mm);

} // namespace phasewright
