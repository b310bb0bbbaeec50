#pragma once

namespace phasewright {

struct Extent {
  double least = 0;
  double greatest = 0;
};

} // namespace phasewright
