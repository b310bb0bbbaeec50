// From the tappet to the valve: a constant ratio, a rocker's real arms, or a finger.
#pragma once

#include "parts/engine.hpp"
#include "parts/problem.hpp"

#include <memory>
#include <string>

namespace phasewright {

// What the valve's end of the train does for a tappet lift, lash not yet taken off (unit: mm).
struct LinkState {
  double valve_mm = 0;
  double ratio = 1;       // d valve / d tappet
  double bend_per_mm = 0; // d ratio / d tappet
};

// Tappet lift is what LiftOf::tappet says. Exact plane geometry: a rocker's push end goes along the pushrod and its
// pad's centre along the valve's axis, each by arm x (sin(arm angle + swing) - sin(arm angle)); a finger's swing
// follows from the triangle of camshaft axis, pivot and pad centre.
class Linkage {
public:
  // Problems, under `key`: arms that cannot reach that greatest lift (an arm would pass 80 degrees from square), a
  // finger that does not meet its lobe's base circle.
  static Result<Linkage> make(const ValveGear& gear, double greatest_tappet_mm, const std::string& key);

  [[nodiscard]] LinkState at(double tappet_mm) const;     // 0 to a little over the greatest lift
  [[nodiscard]] double valve_mm(double tappet_mm) const;  // at().valve_mm alone, for who asks a million times
  [[nodiscard]] double tappet_mm(double valve_mm) const;  // the way back
  [[nodiscard]] double swing_rad(double tappet_mm) const; // of rocker or finger from shut, + = opening
  [[nodiscard]] bool varies() const;                      // real arms: the ratio changes with lift

private:
  struct Law;
  explicit Linkage(std::shared_ptr<const Law> law);
  std::shared_ptr<const Law> law_;
};

} // namespace phasewright
