#include "mechanics/crown_gap.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

struct CrownGap::Shape {
  Valve valve;
  double deck_mm = 0;
};

CrownGap::CrownGap(std::shared_ptr<const Shape> shape) : shape_(std::move(shape)) {}

Result<CrownGap> CrownGap::make(const Engine& engine, ValveKind kind) {
  const Valve& valve = *(kind == ValveKind::inlet ? engine.inlet_valve : engine.exhaust_valve);
  const Pocket& pocket = valve.pocket;
  if ((pocket.depth_mm != 0.0 || pocket.radius_mm > 0.0) && !(pocket.radius_mm > valve.head_mm / 2.0))
    return problem_at(fmt::format("valve.{}.pocket.radius_mm", to_word(kind)), fmt::format("{} mm", pocket.radius_mm),
                      fmt::format("more than {} mm", valve.head_mm / 2.0), "the head would not enter its pocket");
  return CrownGap(std::make_shared<const Shape>(Shape{valve, engine.block.deck_mm}));
}

double CrownGap::closed_mm(double drop_mm) const {
  const Valve& valve = shape_->valve;
  const double lean = cos_deg(valve.inclination_deg);
  return (valve.closed_height_mm + shape_->deck_mm) / lean + valve.pocket.depth_mm + drop_mm * lean;
}

double CrownGap::closed_at_least_mm(double drop_mm) const {
  return closed_mm(drop_mm);
}

double CrownGap::axial_mm(double lift_mm, double drop_mm) const {
  return closed_mm(drop_mm) - lift_mm;
}

double CrownGap::distance_mm(double lift_mm, double drop_mm) const {
  return std::max(0.0, axial_mm(lift_mm, drop_mm));
}

std::optional<double> CrownGap::radial_mm(double lift_mm, double drop_mm) const {
  const Valve& valve = shape_->valve;
  if (!(valve.pocket.radius_mm > 0.0) || axial_mm(lift_mm, drop_mm) > valve.pocket.depth_mm) return std::nullopt;
  return valve.pocket.radius_mm - valve.head_mm / 2.0;
}

} // namespace phasewright
