#include "parts/build.hpp"

namespace phasewright {

bool has_readings(const Measured& measured) {
  return !measured.stop_deg.empty() || !measured.lobe.empty() || !measured.clearance.empty() || measured.gap ||
         !measured.float_mm.empty() || measured.plate_mm || measured.boss_mm || !measured.pins.empty() ||
         !measured.key.empty();
}

} // namespace phasewright
