// Draws for sweeps, assembled.
#pragma once

#include "reference/loops.hpp"
#include "support/catch.hpp"

namespace phasewright::testing {

struct Accepted {
  RandomDrive drawn;
  Drive drive;
};

inline RandomDrive any_loop(std::mt19937& random) {
  return sound_loop(random);
}

// Nothing is refused that the compass-and-ruler layout calls sound, but for the one reason known; then another is
// drawn.
template <class Draw>
Accepted accepted(std::mt19937& random, Draw draw) {
  for (int tries = 0;; ++tries) {
    RandomDrive drawn = draw(random);
    Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
    if (drive) return {std::move(drawn), *std::move(drive)};
    INFO(to_text(drive.problems()));
    REQUIRE(edge_of_hanging_clear(drawn, drive.problems()));
    REQUIRE(tries == 0);
  }
}

} // namespace phasewright::testing
