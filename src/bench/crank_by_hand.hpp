// The crank as a hand turns it: turned back, the camshafts hang until what was lost has been turned forward again; a
// piston stop holds it.
#pragma once

#include "mechanics/mechanism.hpp"

namespace phasewright {

struct CrankByHand {
  double crank_deg = 0;               // any finite angle; the chain remembers its turns
  Turning turning = Turning::forward; // backward until that much has been turned forward
  double turn_forward_deg = 0;        // what is left of it; 0 turned forward
};

// Turned by so many crank degrees more, - = back.
[[nodiscard]] CrankByHand turned(const Mechanism& mechanism, const CrankByHand& at, double by_deg);

// How far the crank gets from `from_deg` toward `to_deg` (crank degrees, No. 1 overlap TDC = 0) with a stop in No. 1
// that its piston meets `stop_mm` below TDC. A stop that the piston never meets, or that it is past already, holds
// nothing.
[[nodiscard]] double held_by_stop(const SliderCrank& crank, double stop_mm, double from_deg, double to_deg);
// Whether the piston bears on that stop, within a hundredth of a degree.
[[nodiscard]] bool is_at_stop(const SliderCrank& crank, double stop_mm, double crank_deg);

} // namespace phasewright
