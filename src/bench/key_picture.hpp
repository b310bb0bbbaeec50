// Keys in place, as what to draw.
#pragma once

#include "bench/offset_key.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <string>
#include <vector>

namespace phasewright {

// What a key looks like in place, from the timing end at crank 0.
struct KeyPicture {
  KeyAt at = KeyAt::cam;
  std::string shaft;                       // "crank" or the camshaft's name
  Rotation rotation = Rotation::clockwise; // the shaft's own, seen from the timing end
  double key_deg = 0;                      // signed as Fitted's; 0 = straight
  double step_mm = 0;                      // sideways, 0 or more
  int side = 0;                            // the upper half is stepped: +1 clockwise, -1 anticlockwise
  double keyway_clock_deg = 0;             // where the shaft's keyway points
  double hub_clock_deg = 0;                // where the sprocket's keyway points
  std::string words;                       // step_words
};

// Of every shaft that has a key: the crank's, then the camshafts' in the engine's order. Problems: as Drive::assemble.
[[nodiscard]] Result<std::vector<KeyPicture>> key_pictures(const Engine& engine, const Fitted& fitted);

} // namespace phasewright
