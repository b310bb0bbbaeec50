// Slider-crank with gudgeon-pin offset, exact.
#pragma once

#include "parts/engine.hpp"

namespace phasewright {

struct PistonState {
  double drop_mm = 0;
  double per_rad_mm = 0;  // speed over the crank's: drop per radian of crank; + = going down
  double per_rad2_mm = 0; // acceleration over the square of the crank's speed
  double rod_deg = 0; // the rod against the cylinder axis; + = its big end on the side the throw is on just after TDC
};

// Piston drop (unit: mm) below its highest point. `crank_deg` from this cylinder's own TDC (0 = highest point).
// Source of the form: elementary plane geometry; x = r cos t + sqrt(l^2 - (r sin t - e)^2).
class SliderCrank {
public:
  explicit SliderCrank(const Block& block);
  SliderCrank(double stroke_mm, double rod_mm, double pin_offset_mm);

  [[nodiscard]] double drop_mm(double crank_deg) const;
  [[nodiscard]] PistonState at(double crank_deg) const;
  [[nodiscard]] double travel_mm() const { return travel_mm_; } // TDC to BDC; a little over 2r with offset
  [[nodiscard]] double bdc_deg() const { return bdc_deg_; }     // crank degrees after TDC; 180 without offset
  // Crank degrees the piston takes from TDC to BDC, and back up.
  [[nodiscard]] double down_stroke_deg() const { return bdc_deg_; }
  [[nodiscard]] double up_stroke_deg() const { return 360.0 - bdc_deg_; }
  [[nodiscard]] double throw_mm() const { return throw_mm_; } // half the stroke, or a hair less with offset
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
