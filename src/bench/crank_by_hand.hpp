// The crank as a hand turns it: turned back, the camshafts hang until what was lost has been turned forward again; a
// piston stop holds it.
#pragma once

#include "mechanics/mechanism.hpp"

#include <optional>

namespace phasewright {

struct CrankByHand {
  double crank_deg = 0;               // any finite angle; the chain remembers its turns
  Turning turning = Turning::forward; // backward until that much has been turned forward
  double turn_forward_deg = 0;        // what is left of it; 0 turned forward
};

// Turned by so many crank degrees more, - = back. However little it is turned back, all that can be lost is lost at
// once; in truth a camshaft stands still until the slack has gone over to the other side.
[[nodiscard]] CrankByHand turned(const Mechanism& mechanism, const CrankByHand& at, double by_deg);

// A piston stop in No. 1: its piston meets it rising, before TDC, and sinking, after it. Unit: crank degrees from TDC.
struct PistonStop {
  double before_deg = 0; // negative
  double after_deg = 0;
};
// The stop that the piston meets so far below TDC (unit: mm); nothing when it never does.
[[nodiscard]] std::optional<PistonStop> piston_stop(const SliderCrank& crank, double drop_mm);
// How far the crank gets from `from_deg` toward `to_deg` (crank degrees, TDC of No. 1 = 0, any turn). A stop that the
// piston is past already holds nothing.
[[nodiscard]] double held_by(const PistonStop& stop, double from_deg, double to_deg);
// Whether the piston bears on it, within a hundredth of a degree.
[[nodiscard]] bool bears_on(const PistonStop& stop, double crank_deg);
// Whether it goes in with the crank there: the piston is not above where it would end.
[[nodiscard]] bool goes_in(const PistonStop& stop, double crank_deg);

} // namespace phasewright
