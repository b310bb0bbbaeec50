// From camshaft angle to valve lift: lobe, follower, rocker, lash.
#pragma once

#include "mechanics/lobe.hpp"

#include <glm/vec2.hpp>

#include <vector>

namespace phasewright {

// How one kind of valve moves with its camshaft.
class ValveMotion {
public:
  // Problems when the lobe cannot be used or a flat tappet's lobe would be undercut (radius of curvature
  // base radius + s + s'' not positive).
  static Result<ValveMotion> make(const Camshaft& camshaft, std::size_t camshaft_index, ValveKind kind);

  // `camshaft_rad` as Drive::camshaft_rad; `delay_deg` as cylinder_delay_deg.
  [[nodiscard]] double from_nose_rad(double camshaft_rad, double delay_deg) const; // [-pi, pi)
  [[nodiscard]] double tappet_lift_mm(double from_nose_rad) const { return lobe_.lift_mm(from_nose_rad); }
  [[nodiscard]] double valve_lift_mm(double from_nose_rad) const; // ratio x tappet lift - lash, never below 0

  // Where the nose of No. 1's lobe stands on the camshaft, in the running direction (unit: rad): half the card's centre
  // (+ inlet, - exhaust), less what an asymmetric lobe's centre by equal lifts lies past its nose.
  [[nodiscard]] double nose_rad() const { return nose_rad_; }
  [[nodiscard]] ValveKind kind() const { return kind_; }
  [[nodiscard]] std::size_t camshaft_index() const { return camshaft_index_; }
  [[nodiscard]] const ValveGear& gear() const { return gear_; }
  [[nodiscard]] const LobeProfile& lobe() const { return lobe_; }

private:
  ValveMotion(const ValveGear& gear, LobeProfile lobe, double centre_from_nose_rad, std::size_t camshaft_index,
              ValveKind kind);

  ValveGear gear_;
  LobeProfile lobe_;
  std::size_t camshaft_index_;
  ValveKind kind_;
  double nose_rad_;
};

// The lobe's true outline for its follower, in the lobe's own frame: nose along +y, running direction anticlockwise as
// angles grow (unit: mm). `count` points, closed (the last is not the first again), count >= 16.
// Flat tappet and bucket: x = (R + s) cos t - s' sin t, y = (R + s) sin t + s' cos t, the envelope of the tappet face.
// Roller: the pitch curve moved inward by the roller's radius. A finger is drawn as a roller of its pad radius.
[[nodiscard]] std::vector<glm::dvec2> lobe_outline_mm(const ValveGear& gear, const LobeProfile& lobe, int count);

} // namespace phasewright
