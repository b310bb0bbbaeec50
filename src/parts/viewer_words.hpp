// The words by which the viewer's pages, views and states are called, on the command line and in lesson files.
#pragma once

#include <array>
#include <string_view>

namespace phasewright {

// The viewer's panels and their pages, in the bench's order.
inline constexpr std::array<std::string_view, 19> page_names = {
    "parts", "key",     "spread",  "alignment",  "endfloat",  "timing", "events",   "lobes", "compression", "degree",
    "found", "explain", "earlier", "correction", "clearance", "phase",  "readings", "sheet", "lessons"};

// Where the drive is looked at from.
inline constexpr std::array<std::string_view, 5> view_names = {"end", "side", "key", "valve", "whole"};

// What is drawn: what is fitted, what is planned with what is fitted as a ghost beside it, or the plan alone.
inline constexpr std::array<std::string_view, 3> shown_names = {"fitted", "both", "planned"};

} // namespace phasewright
