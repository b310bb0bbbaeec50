// What a hand does at the drive in the picture: it lays the planned chain tooth by tooth, turns a planned key round,
// and asks for what belongs to a part.
#pragma once

#include "viewer/frame.hpp"

#include <optional>
#include <string_view>

namespace phasewright::viewer {

// The step that a part of the scene belongs to, by its name there; nothing for what belongs to none.
[[nodiscard]] std::optional<Step> step_of_part(std::string_view name);

// The planned key of the camshaft that is shown, or the crank's, the other way round: what advanced now retards as
// much.
void turn_key_round(const Workbench& bench, const View& view, bool crank, Actions& actions);

// With Ctrl held, a camshaft's sprocket dragged about its shaft lays its planned chain; a double click opens the step
// of the part under it. To be called right after the picture's own item. True while the pointer is taken, so that the
// camera stays.
bool work_by_hand(Frame& frame, const ScreenRect& rect);

} // namespace phasewright::viewer
