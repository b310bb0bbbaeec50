// Where the round edges and walls of a crown meet its other walls.
#pragma once

#include "mechanics/crown_solid.hpp"

#include <vector>

namespace phasewright {

struct CrownRing; // crown_shape.hpp

// Turns of a wall's foot circle (unit: radians, 0 to a turn) between which its lines run through the crown without a
// sudden change: where they enter another wall at the height of a flat, of the crown's top or of either wall's floor.
// A touch of two walls within a thousandth of a turn may be left out.
[[nodiscard]] std::vector<double> corner_turns_rad(const CrownSolid& crown, const CrownWall& wall);

// Turns of a ring (likewise) at which it enters a wall or passes a pocket's floor.
[[nodiscard]] std::vector<double> corner_turns_rad(const CrownSolid& crown, const CrownRing& ring);

} // namespace phasewright
