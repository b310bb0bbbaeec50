// Cylinder volumes and compression ratios.
#pragma once

#include "mechanics/crank.hpp"

namespace phasewright {

struct Compression {
  double static_ratio = 0;    // (swept + clearance volume) / clearance volume
  double effective_ratio = 0; // with the volume at inlet closing (lash taken up) in place of the volume at BDC
};

// Swept volume and the volume left at TDC (chamber, gasket, deck, crown), both cm3.
[[nodiscard]] double swept_cc(const Block& block);
[[nodiscard]] double clearance_cc(const Block& block);
// `inlet_closes_deg`: crank angle of No. 1, 0 to 720.
[[nodiscard]] Compression compression(const Block& block, double inlet_closes_deg);

} // namespace phasewright
