#include "mechanics/volumes.hpp"

#include "geometry/angle.hpp"

#include <cmath>

namespace phasewright {

namespace {

constexpr double mm3_per_cc = 1000.0;

double disc_cc(double diameter_mm, double height_mm) {
  return pi / 4.0 * diameter_mm * diameter_mm * height_mm / mm3_per_cc;
}

} // namespace

double swept_cc(const Block& block) {
  return disc_cc(block.bore_mm, SliderCrank(block).travel_mm());
}

double clearance_cc(const Block& block) {
  return block.chamber_cc + disc_cc(block.gasket_bore_mm, block.gasket_mm) + disc_cc(block.bore_mm, block.deck_mm) +
         block.crown_cc;
}

Compression compression(const Block& block, double inlet_closes_deg) {
  const double left_cc = clearance_cc(block);
  const double trapped_cc = disc_cc(block.bore_mm, SliderCrank(block).drop_mm(inlet_closes_deg));
  return {1.0 + swept_cc(block) / left_cc, 1.0 + trapped_cc / left_cc};
}

// ISO 2533, below 11 km: p = p0 (1 - b h / T0)^(g / (R b)), with p0 = 101.325 kPa, T0 = 288.15 K, b = 6.5 K/km; worked
// out, 1 - 2.25577e-5 h to the power of 5.25588. Its h is geopotential, which 5 km up is 4 m less than the height over
// the sea.
double atmosphere_kpa(double altitude_m) {
  constexpr double sea_level_kpa = 101.325;
  constexpr double sea_level_k = 288.15;
  constexpr double lapse_k_per_m = 0.0065;
  constexpr double gravity_m_per_s2 = 9.80665;
  constexpr double gas_constant_j_per_kg_k = 287.05287;
  return sea_level_kpa * std::pow(1.0 - lapse_k_per_m * altitude_m / sea_level_k,
                                  gravity_m_per_s2 / (gas_constant_j_per_kg_k * lapse_k_per_m));
}

CrankingPressure cranking_pressure(double effective_ratio, const CrankingAssumptions& assumptions) {
  const double outside_kpa = atmosphere_kpa(assumptions.altitude_m);
  const double absolute_kpa = outside_kpa * std::pow(effective_ratio, assumptions.exponent);
  return {outside_kpa, absolute_kpa, absolute_kpa - outside_kpa};
}

double volume_cc(const Block& block, double drop_mm) {
  return clearance_cc(block) + disc_cc(block.bore_mm, drop_mm);
}

} // namespace phasewright
