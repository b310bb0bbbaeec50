// An invented twin-camshaft drive for timing, in any size.
#pragma once

#include "parts/engine.hpp"

namespace phasewright::benchmark {

// Crank, two camshafts, a guide on the pulled strand and a tensioner on the slack one: 12 and 24 teeth times `size`, on
// centres as much farther apart, so that every layout is like every other but for its number of pins. `size`: 1 to 8.
[[nodiscard]] Engine twin_cam_engine(int size);

} // namespace phasewright::benchmark
