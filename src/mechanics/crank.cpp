#include "mechanics/crank.hpp"

#include "geometry/angle.hpp"

#include <cmath>

namespace phasewright {

namespace {

// Height of the gudgeon pin above the crank axis with the throw at `throw_deg` from the cylinder axis.
double height_mm(double throw_mm, double rod_mm, double offset_mm, double throw_deg) {
  const double aside_mm = throw_mm * sin_deg(throw_deg) - offset_mm;
  return throw_mm * cos_deg(throw_deg) + std::sqrt(rod_mm * rod_mm - aside_mm * aside_mm);
}

// With a pin offset e the stroke S = sqrt((l+r)^2 - e^2) - sqrt((l-r)^2 - e^2) is a little over 2r. Solved for the
// throw: r^2 = (S/2)^2 (4 (l^2 - e^2) - S^2) / (4 l^2 - S^2).
double throw_for_stroke_mm(double stroke_mm, double rod_mm, double offset_mm) {
  if (offset_mm == 0.0) return stroke_mm / 2.0;
  const double s2 = stroke_mm * stroke_mm;
  const double l2 = rod_mm * rod_mm;
  return stroke_mm / 2.0 * std::sqrt((4.0 * (l2 - offset_mm * offset_mm) - s2) / (4.0 * l2 - s2));
}

} // namespace

SliderCrank::SliderCrank(const Block& block) : SliderCrank(block.stroke_mm, block.rod_mm, block.pin_offset_mm) {}

SliderCrank::SliderCrank(double stroke_mm, double rod_mm, double pin_offset_mm)
    : throw_mm_(throw_for_stroke_mm(stroke_mm, rod_mm, pin_offset_mm)), rod_mm_(rod_mm), offset_mm_(pin_offset_mm),
      throw_at_tdc_deg_(degrees(std::asin(pin_offset_mm / (rod_mm + throw_mm_)))),
      bdc_deg_(180.0 + degrees(std::asin(pin_offset_mm / (rod_mm - throw_mm_))) - throw_at_tdc_deg_),
      highest_mm_(std::sqrt((rod_mm + throw_mm_) * (rod_mm + throw_mm_) - pin_offset_mm * pin_offset_mm)),
      travel_mm_(highest_mm_ - std::sqrt((rod_mm - throw_mm_) * (rod_mm - throw_mm_) - pin_offset_mm * pin_offset_mm)) {
}

double SliderCrank::drop_mm(double crank_deg) const {
  return std::fmax(0.0, highest_mm_ - height_mm(throw_mm_, rod_mm_, offset_mm_, crank_deg + throw_at_tdc_deg_));
}

// The gudgeon pin stands at y = r cos t + q over the crank axis, where q = sqrt(l^2 - a^2) is how far the rod reaches
// along the cylinder and a = r sin t - e how far it leans across; derivatives with respect to t.
PistonState SliderCrank::at(double crank_deg) const {
  const double throw_deg = crank_deg + throw_at_tdc_deg_;
  const double along_mm = throw_mm_ * cos_deg(throw_deg);
  const double across_mm = throw_mm_ * sin_deg(throw_deg);
  const double lean_mm = across_mm - offset_mm_; // a; its derivatives are `along_mm` and -`across_mm`
  const double reach2_mm2 = rod_mm_ * rod_mm_ - lean_mm * lean_mm;
  const double reach_mm = std::sqrt(reach2_mm2);
  const double y1_mm = -across_mm - lean_mm * along_mm / reach_mm;
  const double y2_mm = -along_mm - (along_mm * along_mm - lean_mm * across_mm) / reach_mm -
                       lean_mm * lean_mm * along_mm * along_mm / (reach2_mm2 * reach_mm);
  return {drop_mm(crank_deg), -y1_mm, -y2_mm, degrees(std::asin(lean_mm / rod_mm_))};
}

} // namespace phasewright
