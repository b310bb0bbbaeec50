#include "mechanics/finger.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

FingerTriangle::FingerTriangle(const FingerArms& arms, double base_radius_mm)
    : pivot_mm_(length2(arms.pivot_mm)), pivot_rad_(std::atan2(-arms.pivot_mm.y, arms.pivot_mm.x)),
      arm_mm_(arms.pad_arm_mm), rest_mm_(base_radius_mm + arms.pad_radius_mm),
      side_(arms.pivot_mm.x > 0.0 ? 1.0 : -1.0) {}

bool FingerTriangle::closes(double out_mm) const {
  return out_mm > std::fabs(pivot_mm_ - arm_mm_) && out_mm < pivot_mm_ + arm_mm_;
}

double FingerTriangle::from_square_rad(double out_mm) const {
  const double cosine = (out_mm * out_mm + arm_mm_ * arm_mm_ - pivot_mm_ * pivot_mm_) / (2.0 * out_mm * arm_mm_);
  return std::asin(std::clamp(cosine, -1.0, 1.0));
}

AngleState FingerTriangle::direction(double out_mm) const {
  const double legs_mm2 = pivot_mm_ * pivot_mm_ - arm_mm_ * arm_mm_;
  const double cosine = (out_mm * out_mm + legs_mm2) / (2.0 * out_mm * pivot_mm_);
  const double sine = std::sqrt(std::fmax(0.0, 1.0 - cosine * cosine));
  const double cosine_per_mm = (1.0 - legs_mm2 / (out_mm * out_mm)) / (2.0 * pivot_mm_);
  const double cosine_per_mm2 = legs_mm2 / (out_mm * out_mm * out_mm * pivot_mm_);
  const double per_mm = -cosine_per_mm / sine;
  const double per_mm2 = -(cosine_per_mm2 + cosine * per_mm * per_mm) / sine;
  return {pivot_rad_ + side_ * std::atan2(sine, cosine), side_ * per_mm, side_ * per_mm2};
}

AngleState FingerTriangle::at_pivot(double out_mm) const {
  const double both_mm2 = arm_mm_ * pivot_mm_;
  const double cosine = (arm_mm_ * arm_mm_ + pivot_mm_ * pivot_mm_ - out_mm * out_mm) / (2.0 * both_mm2);
  const double sine = std::sqrt(std::fmax(0.0, 1.0 - cosine * cosine));
  const double per_mm = out_mm / (both_mm2 * sine);
  const double per_mm2 = (1.0 / both_mm2 - cosine * per_mm * per_mm) / sine;
  return {std::atan2(sine, cosine), per_mm, per_mm2};
}

double FingerTriangle::out_at_pivot_rad(double at_pivot_rad) const {
  return std::sqrt(arm_mm_ * arm_mm_ + pivot_mm_ * pivot_mm_ -
                   2.0 * arm_mm_ * pivot_mm_ * std::cos(std::clamp(at_pivot_rad, 0.0, pi)));
}

} // namespace phasewright
