// Engines whose clearances would come out as nothing to worry about for the wrong reason.
#pragma once

#include "parts/engine.hpp"

#include <string>
#include <vector>

namespace phasewright {

// A dome that is stated by its volume only and so taken as flat; a pocket through a dish's wall (see DEVELOPERS.md on
// what distances are known to miss); a head that reaches past the gasket's bore, where no piston is; a valve whose lash
// is more than its lobe gives, so that it never opens.
[[nodiscard]] std::vector<std::string> gap_cautions(const Engine& engine);

} // namespace phasewright
