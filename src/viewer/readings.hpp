// Readings are added and taken away here, whether by button or by key.
#pragma once

#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

#include <cstddef>
#include <optional>
#include <string>

namespace phasewright::viewer {

// The crank angle that the reading being typed in is for; nothing where it is neither typed nor to be known.
[[nodiscard]] std::optional<double> new_reading_deg(const View& view);
// Further apart than this, valve and piston are not felt to meet: springs, guides and the dial indicator's stem end
// before (unit: mm). Common practice, no source.
inline constexpr double felt_mm = 15.0;
// Why a reading cannot be taken where it is to be; empty when it can.
[[nodiscard]] std::string reading_fault(const Workbench& bench, const View& view);
// Something has been measured, and nothing speaks against it.
[[nodiscard]] bool can_add_reading(const Workbench& bench, const View& view);
// Asks for it; what is typed in is cleared once it has been taken.
void add_reading(const Workbench& bench, const View& view, Actions& actions);
void remove_reading(const Workbench& bench, std::size_t index, Actions& actions);

// The same for wheel and indicator: all that makes up a pair has been typed in.
[[nodiscard]] bool can_add_lobe(const Workbench& bench, const View& view);
void add_lobe(const Workbench& bench, const View& view, Actions& actions);
void remove_lobe(const Workbench& bench, std::size_t index, Actions& actions);

} // namespace phasewright::viewer
