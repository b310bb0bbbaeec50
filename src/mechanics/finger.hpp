// The triangle of camshaft axis, finger's pivot and pad centre, in the follower's frame (see lobe_contour.hpp).
// Elementary plane geometry: the law of cosines and its derivatives.
#pragma once

#include "parts/engine.hpp"

namespace phasewright {

// An angle as a function of the pad centre's distance from the camshaft's axis (unit: rad, rad / mm, rad / mm^2).
struct AngleState {
  double rad = 0;
  double per_mm = 0;
  double per_mm2 = 0;
};

class FingerTriangle {
public:
  FingerTriangle(const FingerArms& arms, double base_radius_mm);

  // `out_mm`: distance from the camshaft's axis to the pad's centre.
  [[nodiscard]] double out_mm(double tappet_mm) const { return rest_mm_ + tappet_mm; }
  [[nodiscard]] bool closes(double out_mm) const; // whether there is such a triangle
  // How far the pad's arm stands from square to the line from the camshaft's axis to the pad; closes() only.
  [[nodiscard]] double from_square_rad(double out_mm) const;
  // Direction in which the pad's centre is seen from the camshaft's axis, anticlockwise from +x.
  [[nodiscard]] AngleState direction(double out_mm) const;
  // Angle at the pivot from camshaft axis to pad centre; grows as the valve opens.
  [[nodiscard]] AngleState at_pivot(double out_mm) const;
  [[nodiscard]] double out_at_pivot_rad(double at_pivot_rad) const; // the way back

  [[nodiscard]] double pivot_mm() const { return pivot_mm_; } // distance of the pivot from the camshaft's axis

private:
  double pivot_mm_;
  double pivot_rad_; // direction of the pivot from the camshaft's axis
  double arm_mm_;
  double rest_mm_; // out_mm on the base circle
  double side_;    // +1 with the pivot at x > 0, from which the finger reaches anticlockwise, else -1
};

} // namespace phasewright
