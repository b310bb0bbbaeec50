// Keys outside text fields.
#pragma once

#include "viewer/input.hpp"
#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

namespace phasewright::viewer {

// `learns`: a lesson or drill is under way.
void take_shortcut(const InputEvent& key, const Workbench& bench, bool learns, View& view, Actions& actions);

} // namespace phasewright::viewer
