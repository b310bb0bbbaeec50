// How the preview of a file is looked at: nearer and farther, leaf after leaf.
#pragma once

#include "viewer/output_wishes.hpp"

namespace phasewright::viewer {

inline constexpr double most_leaf_zoom = 8.0;
inline constexpr double leaf_zoom_step = 1.5; // of buttons and keys

// Another kind of file, from its first leaf.
void take_kind(OutputWishes& wishes, OutputKind kind);
void fit_leaf(OutputWishes& wishes);
void zoom_leaf(OutputWishes& wishes, double times); // about the middle
// On to the next, or back; frames of a film by an eighth of it.
void turn_leaf(OutputWishes& wishes, int by, int leaves);
// Down what is out of sight of the leaf, then on to the next; or up, and back.
void read_on(OutputWishes& wishes, int by, int leaves);

} // namespace phasewright::viewer
