#include "mechanics/lobe_contour.hpp"

#include "geometry/angle.hpp"
#include "mechanics/contour_faults.hpp"
#include "mechanics/linkage.hpp"

#include <boost/math/tools/minima.hpp>

#include <cassert>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

// Contact radius of a finger's pad where the file gives none: the lobe is then drawn for a pad of this radius.
constexpr double drawn_pad_radius_mm = 12.0;

double stated_pad_mm(const ValveGear& gear) {
  switch (gear.follower) {
  case Follower::flat_tappet:
  case Follower::bucket:
    return 0.0;
  case Follower::roller_tappet:
    return gear.roller_radius_mm > 0.0 ? gear.roller_radius_mm : drawn_pad_radius_mm;
  case Follower::finger:
    break;
  }
  return gear.finger ? gear.finger->pad_radius_mm : drawn_pad_radius_mm;
}

// How the pad's centre moves along its path as the lobe sees it, by cam angle. The lobe turns anticlockwise, so the
// path runs clockwise round it and outward is to its left.
glm::dvec2 along_path(const FollowerFace::Motion& pad) {
  return pad.per_rad_mm - left_of(pad.at_mm);
}

} // namespace

FollowerFace::FollowerFace(const ValveGear& gear, double greatest_lift_mm, std::optional<double> pad_mm)
    : base_mm_(gear.base_radius_mm), pad_mm_(pad_mm.value_or(stated_pad_mm(gear))), nose_rad_(pi / 2.0) {
  if (gear.follower != Follower::finger || !gear.finger) return;
  FingerArms arms = *gear.finger;
  arms.pad_radius_mm = pad_mm_;
  finger_.emplace(arms, base_mm_);
  nose_rad_ = finger_->direction(finger_->out_mm(greatest_lift_mm)).rad;
}

FollowerFace::Motion FollowerFace::motion(const LiftState& tappet) const {
  const double out_mm = base_mm_ + pad_mm_ + tappet.lift_mm;
  if (!finger_) return {{0.0, out_mm}, {0.0, tappet.per_rad_mm}, {0.0, tappet.per_rad2_mm}};
  // The pad's centre in polar coordinates about the camshaft's axis: further out, and round as the finger swings.
  const AngleState seen = finger_->direction(out_mm);
  const double turn = seen.per_mm * tappet.per_rad_mm;
  const double turn2 = seen.per_mm2 * tappet.per_rad_mm * tappet.per_rad_mm + seen.per_mm * tappet.per_rad2_mm;
  const glm::dvec2 out = unit_vector(seen.rad);
  const glm::dvec2 across = left_of(out);
  return {out_mm * out, tappet.per_rad_mm * out + out_mm * turn * across,
          (tappet.per_rad2_mm - out_mm * turn * turn) * out +
              (2.0 * tappet.per_rad_mm * turn + out_mm * turn2) * across};
}

double FollowerFace::curvature_mm(const LiftState& tappet) const {
  if (flat()) return base_mm_ + tappet.lift_mm + tappet.per_rad2_mm;
  const Motion pad = motion(tappet);
  const glm::dvec2 along = along_path(pad);
  const glm::dvec2 bend = pad.per_rad2_mm - 2.0 * left_of(pad.per_rad_mm) - pad.at_mm;
  const double speed = length2(along);
  return -speed * speed * speed / cross2(along, bend) - pad_mm_;
}

double LobeContour::turned_rad(double from_nose_rad) const {
  return from_nose_rad + face_.nose_rad() - pi / 2.0;
}

LobeContact LobeContour::contact(double from_nose_rad) const {
  const LiftState tappet = lobe_.at(from_nose_rad);
  LobeContact made;
  made.tappet_mm = tappet.lift_mm;
  if (face_.flat()) {
    // The face is the lobe's tangent at right angles to the lift; its touching point runs ahead by the lift's slope.
    made.in_follower_mm = {tappet.per_rad_mm, face_.base_mm() + tappet.lift_mm};
    made.pad_mm = made.in_follower_mm;
  } else {
    // Inward from the pad's path by its radius.
    const FollowerFace::Motion pad = face_.motion(tappet);
    const glm::dvec2 along = along_path(pad);
    made.pad_mm = pad.at_mm;
    made.in_follower_mm = pad.at_mm - face_.pad_mm() / length2(along) * left_of(along);
  }
  made.curvature_mm = face_.curvature_mm(tappet);
  made.in_lobe_mm = turned_by(made.in_follower_mm, unit_vector(-turned_rad(from_nose_rad)));
  return made;
}

std::vector<glm::dvec2> LobeContour::outline_mm(int count) const {
  assert(count >= 16);
  std::vector<glm::dvec2> outline;
  outline.reserve(static_cast<std::size_t>(count));
  // The nose passes the follower as the cam turns on, so the follower falls behind the nose.
  for (int i = 0; i < count; ++i) outline.push_back(contact(pi / 2.0 - turn_rad * i / count).in_lobe_mm);
  return outline;
}

void LobeContour::measure() {
  const auto convex_mm = [this](double rad) {
    const double radius_mm = face_.curvature_mm(lobe_.at(rad));
    return face_.flat() || radius_mm > -face_.pad_mm() ? radius_mm : std::numeric_limits<double>::infinity();
  };
  constexpr int looks = 1440;
  const double from_rad = lobe_.opens_rad();
  const double step_rad = (lobe_.closes_rad() - from_rad) / looks;
  least_convex_mm_ = face_.base_mm();
  least_convex_at_rad_ = from_rad;
  for (int i = 0; i <= looks; ++i) {
    const double rad = from_rad + step_rad * i;
    const double radius_mm = convex_mm(rad);
    if (radius_mm < least_convex_mm_) {
      least_convex_mm_ = radius_mm;
      least_convex_at_rad_ = rad;
    }
  }
  if (least_convex_mm_ == face_.base_mm()) return;
  const auto [at_rad, radius_mm] = boost::math::tools::brent_find_minima(convex_mm, least_convex_at_rad_ - step_rad,
                                                                         least_convex_at_rad_ + step_rad, 30);
  if (!(radius_mm < least_convex_mm_)) return;
  least_convex_mm_ = radius_mm;
  least_convex_at_rad_ = at_rad;
}

Result<LobeContour> LobeContour::make(const ValveGear& gear, const LobeProfile& lobe, const std::string& key) {
  if (gear.follower == Follower::finger) {
    const Result<Linkage> linkage = Linkage::make(gear, lobe.greatest_lift_mm(), key);
    if (!linkage) return linkage.problems();
  }
  LobeContour contour(FollowerFace(gear, lobe.greatest_lift_mm()), lobe);
  contour.measure();
  // An assumed pad is no reason to refuse a lobe: it is taken as small as the lobe needs it.
  const bool assumed = gear.follower == Follower::finger && !gear.finger;
  for (double pad_mm = drawn_pad_radius_mm / 2.0; assumed && !(contour.least_convex_mm_ > 0.0) && pad_mm > 1e-3;
       pad_mm /= 2.0) {
    contour.face_ = FollowerFace(gear, lobe.greatest_lift_mm(), pad_mm);
    contour.measure();
  }
  if (std::optional<Problem> fault = contour_fault(contour, gear, lobe, key)) return *std::move(fault);
  return contour;
}

} // namespace phasewright
