// From camshaft angle to valve lift: lobe, follower, rocker, lash.
#pragma once

#include "mechanics/linkage.hpp"
#include "mechanics/lobe.hpp"
#include "mechanics/lobe_contour.hpp"

#include <cstddef>
#include <memory>

namespace phasewright {

// A valve's own motion against its camshaft's angle, lash taken off (unit: mm, mm / rad, mm / rad^2 of the camshaft).
struct ValveState {
  double lift_mm = 0;
  double per_rad_mm = 0;
  double per_rad2_mm = 0;
};

// How one kind of valve moves with its camshaft.
class ValveMotion {
public:
  // Problems when lobe, contour or linkage cannot be made. A table of the lobe's own radius is rolled under the
  // follower first; a card's levels come from check lift, lash and linkage.
  static Result<ValveMotion> make(const Camshaft& camshaft, std::size_t camshaft_index, ValveKind kind);

  // `camshaft_rad` as Drive::camshaft_rad; `delay_deg` as cylinder_delay_deg.
  [[nodiscard]] double from_nose_rad(double camshaft_rad, double delay_deg) const; // [-pi, pi)
  [[nodiscard]] double tappet_lift_mm(double from_nose_rad) const { return lobe_.lift_mm(from_nose_rad); }
  [[nodiscard]] double valve_lift_mm(double from_nose_rad) const;   // what the linkage gives less lash, never below 0
  [[nodiscard]] ValveState valve_state(double from_nose_rad) const; // all 0 while the valve is shut
  // Tappet lift at which the valve is lifted so far, lash included; 0 gives where the lash is taken up.
  [[nodiscard]] double tappet_at_valve_mm(double valve_lift_mm) const;
  [[nodiscard]] double greatest_valve_lift_mm() const;

  // Where the nose of No. 1's lobe stands on the camshaft, in the running direction (unit: rad): half the card's centre
  // (+ inlet, - exhaust), less what an asymmetric lobe's centre by equal lifts lies past its nose.
  [[nodiscard]] double nose_rad() const { return nose_rad_; }
  [[nodiscard]] ValveKind kind() const { return kind_; }
  [[nodiscard]] std::size_t camshaft_index() const { return camshaft_index_; }
  [[nodiscard]] const ValveGear& gear() const { return *gear_; }
  [[nodiscard]] const LobeProfile& lobe() const { return lobe_; }
  [[nodiscard]] const LobeContour& contour() const { return contour_; }
  [[nodiscard]] const Linkage& linkage() const { return linkage_; }
  // The same train with another lash (unit: mm, at the valve).
  [[nodiscard]] ValveMotion with_lash(double lash_mm) const;

  // How far rows of its lobe's table had to be let stray from their figures (unit: mm), beyond their last digit, before
  // the lobe could be run on at all; 0 as a rule.
  [[nodiscard]] double evened_out_mm() const { return evened_out_mm_; }

private:
  static Result<ValveMotion> with_lobe(const Lobe& stated, const Camshaft& camshaft, std::size_t camshaft_index,
                                       ValveKind kind);
  ValveMotion(std::shared_ptr<const ValveGear> gear, LobeProfile lobe, LobeContour contour, Linkage linkage);

  std::shared_ptr<const ValveGear> gear_; // a table may have thousands of rows
  double lash_mm_;
  LobeProfile lobe_;
  LobeContour contour_;
  Linkage linkage_;
  std::size_t camshaft_index_ = 0;
  ValveKind kind_ = ValveKind::inlet;
  double nose_rad_ = 0;
  double evened_out_mm_ = 0;
};

} // namespace phasewright
