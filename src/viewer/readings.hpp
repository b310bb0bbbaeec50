// Clearance readings are added and taken away here, whether by button or by key.
#pragma once

#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

#include <cstddef>

namespace phasewright::viewer {

// The crank angle that the reading being typed in is for.
[[nodiscard]] double new_reading_deg(const View& view);
// Something has been measured, and there is room for it.
[[nodiscard]] bool can_add_reading(const Workbench& bench, const View& view);
void add_reading(const Workbench& bench, View& view, Actions& actions);
void remove_reading(const Workbench& bench, std::size_t index, Actions& actions);

} // namespace phasewright::viewer
