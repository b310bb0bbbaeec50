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

// Nothing is refused that the compass-and-ruler layout calls sound.
template <class Draw>
Accepted accepted(std::mt19937& random, Draw draw) {
  RandomDrive drawn = draw(random);
  Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
  INFO((drive ? std::string() : to_text(drive.problems())));
  REQUIRE(drive.ok());
  return {std::move(drawn), *std::move(drive)};
}

} // namespace phasewright::testing
