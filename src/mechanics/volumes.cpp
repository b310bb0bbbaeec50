#include "mechanics/volumes.hpp"

#include "geometry/angle.hpp"

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

} // namespace phasewright
