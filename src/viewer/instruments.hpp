// The builder's instruments on the engine that is drawn: those that a step works with.
#pragma once

#include "scene/model.hpp"
#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

namespace phasewright::viewer {

// Whether the step has any.
[[nodiscard]] bool has_instruments(Step step);
// Those of the step that is shown, with what has been read on them; none where they are put away, in the key view, or
// while the drive is apart.
[[nodiscard]] SceneInstruments instruments_on(const Workbench& bench, const View& view);

} // namespace phasewright::viewer
