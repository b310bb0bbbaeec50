// Cylinder volumes and compression ratios.
#pragma once

#include "mechanics/crank.hpp"

namespace phasewright {

struct Compression {
  double static_ratio = 0;    // (swept + clearance volume) / clearance volume
  double effective_ratio = 0; // with the volume at inlet closing (lash taken up) in place of the volume at BDC
};

// What a gauge in the plug hole would show with the engine cranked: a rough estimate, air only, no leakage, no heat
// worked out. Atmosphere by altitude: ISO 2533 standard atmosphere below 11 km. Compression as p V^n from inlet
// closing.
struct CrankingAssumptions {
  double exponent =
      1.3; // polytropic; 1 to 1.4. Cranked slowly the walls cool the charge: below air's 1.4. From memory.
  double altitude_m = 0; // -400 to 5000
};
struct CrankingPressure {
  double atmosphere_kpa = 0;
  double absolute_kpa = 0;
  double gauge_kpa = 0; // over the atmosphere
};
// The air outside (unit: kPa), by altitude.
[[nodiscard]] double atmosphere_kpa(double altitude_m);
[[nodiscard]] CrankingPressure cranking_pressure(double effective_ratio, const CrankingAssumptions& assumptions = {});

// Swept volume and the volume left at TDC (chamber, gasket, deck, crown), both cm3.
[[nodiscard]] double swept_cc(const Block& block);
[[nodiscard]] double clearance_cc(const Block& block);
// What is in the cylinder with the piston that far below TDC (unit: cm3).
[[nodiscard]] double volume_cc(const Block& block, double drop_mm);
// `inlet_closes_deg`: crank angle of No. 1, 0 to 720.
[[nodiscard]] Compression compression(const Block& block, double inlet_closes_deg);

} // namespace phasewright
