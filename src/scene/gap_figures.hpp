// What the scene writes beside the gaps between valves and piston.
#pragma once

#include "mechanics/clearance.hpp"
#include "scene/model.hpp"

namespace phasewright {

// For SceneOptions::gaps of a cylinder the engine has, at a crank angle of No. 1 after turning forward.
[[nodiscard]] std::array<std::optional<GapFigure>, 2> gap_figures(const ClearanceModel& clearance,
                                                                  const Mechanism& mechanism, const Target& target,
                                                                  double crank_deg, int cylinder = 1);

} // namespace phasewright
