// Slider-crank with gudgeon-pin offset, exact.
#pragma once

#include "parts/engine.hpp"

namespace phasewright {

// Piston drop (unit: mm) below its highest point. `crank_deg` from this cylinder's own TDC (0 = highest point).
// Source of the form: elementary plane geometry; x = r cos t + sqrt(l^2 - (r sin t - e)^2).
class SliderCrank {
public:
  explicit SliderCrank(const Block& block);
  SliderCrank(double stroke_mm, double rod_mm, double pin_offset_mm);

  [[nodiscard]] double drop_mm(double crank_deg) const;
  [[nodiscard]] double travel_mm() const { return travel_mm_; } // TDC to BDC; a little over 2r with offset
  [[nodiscard]] double bdc_deg() const { return bdc_deg_; }     // crank degrees after TDC; 180 without offset
  [[nodiscard]] double throw_mm() const { return throw_mm_; }   // half the stroke, or a hair less with offset
  // Where the throw itself points at TDC, from the cylinder axis in the running direction (unit: deg).
  [[nodiscard]] double throw_at_tdc_deg() const { return throw_at_tdc_deg_; }

private:
  double throw_mm_;
  double rod_mm_;
  double offset_mm_;
  double throw_at_tdc_deg_;
  double bdc_deg_;
  double highest_mm_;
  double travel_mm_;
};

} // namespace phasewright
