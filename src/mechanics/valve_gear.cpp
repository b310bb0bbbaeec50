#include "mechanics/valve_gear.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cassert>
#include <cmath>

namespace phasewright {

namespace {

// Contact radius of a finger's pad where the file gives none: the lobe is then drawn for a pad of this radius.
constexpr double drawn_pad_radius_mm = 12.0;

bool has_flat_face(Follower follower) {
  return follower == Follower::flat_tappet || follower == Follower::bucket;
}

// Radius of curvature of a flat follower's lobe is base radius + s + s''; where it is not positive the grinding wheel
// would cut the neighbouring flank away.
std::optional<Problem> undercut(const ValveGear& gear, const LobeProfile& lobe, const std::string& key) {
  constexpr int looks = 720;
  double least_mm = gear.base_radius_mm;
  double least_at_deg = 0.0;
  for (int i = 0; i <= looks; ++i) {
    const double rad = lobe.opens_rad() + (lobe.closes_rad() - lobe.opens_rad()) * i / looks;
    const LiftState state = lobe.at(rad);
    const double radius_mm = gear.base_radius_mm + state.lift_mm + state.per_rad2_mm;
    if (radius_mm < least_mm) {
      least_mm = radius_mm;
      least_at_deg = degrees(rad);
    }
  }
  if (least_mm > 0.0) return std::nullopt;
  return problem_at(key + ".base_radius_mm", fmt::format("{} mm", gear.base_radius_mm),
                    fmt::format("more than {:.2f} mm", gear.base_radius_mm - least_mm),
                    fmt::format("the lobe is undercut {:.1f} cam degrees from its nose", least_at_deg));
}

} // namespace

ValveMotion::ValveMotion(const ValveGear& gear, LobeProfile lobe, double centre_from_nose_rad,
                         std::size_t camshaft_index, ValveKind kind)
    : gear_(gear), lobe_(std::move(lobe)), camshaft_index_(camshaft_index), kind_(kind),
      nose_rad_(radians(kind == ValveKind::inlet ? gear.centre_deg : -gear.centre_deg) / 2.0 - centre_from_nose_rad) {}

Result<ValveMotion> ValveMotion::make(const Camshaft& camshaft, std::size_t camshaft_index, ValveKind kind) {
  const std::optional<ValveGear>& gear = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust;
  assert(gear.has_value());
  const std::string key = fmt::format("camshaft[{}].{}", camshaft_index + 1, to_word(kind));
  Result<LobeProfile> lobe = LobeProfile::make(gear->lobe, key + ".lobe");
  if (!lobe) return lobe.problems();
  if (has_flat_face(gear->follower))
    if (std::optional<Problem> fault = undercut(*gear, *lobe, key)) return *std::move(fault);
  // The card's centre is the middle of equal lifts at the check lift, which on an asymmetric lobe is not the nose.
  const double level_mm = camshaft.check_at == CheckAt::tappet
                              ? camshaft.check_lift_mm
                              : (camshaft.check_lift_mm + gear->lash_mm) / gear->rocker_ratio;
  const std::optional<std::array<double, 2>> crossings = lobe->crossings_rad(level_mm);
  const double centre_rad = crossings ? ((*crossings)[0] + (*crossings)[1]) / 2.0 : 0.0;
  return ValveMotion(*gear, *std::move(lobe), centre_rad, camshaft_index, kind);
}

double ValveMotion::from_nose_rad(double camshaft_rad, double delay_deg) const {
  return wrap_pi(camshaft_rad - radians(delay_deg) / 2.0 - nose_rad_);
}

double ValveMotion::valve_lift_mm(double from_nose_rad) const {
  return std::fmax(0.0, gear_.rocker_ratio * tappet_lift_mm(from_nose_rad) - gear_.lash_mm);
}

std::vector<glm::dvec2> lobe_outline_mm(const ValveGear& gear, const LobeProfile& lobe, int count) {
  assert(count >= 16);
  std::vector<glm::dvec2> outline;
  outline.reserve(static_cast<std::size_t>(count));
  const double roller_mm = gear.roller_radius_mm > 0.0 ? gear.roller_radius_mm : drawn_pad_radius_mm;
  for (int i = 0; i < count; ++i) {
    // The follower's direction in the lobe's frame; the nose passes it as the cam turns on, so it falls behind the
    // nose.
    const double direction_rad = turn_rad * i / count;
    const LiftState state = lobe.at(pi / 2.0 - direction_rad);
    const double slope_mm = -state.per_rad_mm;
    const glm::dvec2 out = unit_vector(direction_rad);
    const glm::dvec2 along = left_of(out);
    if (has_flat_face(gear.follower)) {
      outline.push_back((gear.base_radius_mm + state.lift_mm) * out + slope_mm * along);
    } else {
      const double pitch_mm = gear.base_radius_mm + roller_mm + state.lift_mm;
      const glm::dvec2 tangent = slope_mm * out + pitch_mm * along;
      const glm::dvec2 normal = -left_of(tangent) / length2(tangent);
      outline.push_back(pitch_mm * out - roller_mm * normal);
    }
  }
  return outline;
}

} // namespace phasewright
