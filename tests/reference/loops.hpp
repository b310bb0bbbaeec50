// Random drives of two to eight sprockets for sweeps, laid out with the geometry of loops_geometry.hpp alone.
#pragma once

#include "reference/drives.hpp"
#include "reference/loops_geometry.hpp"

#include <optional>
#include <random>

namespace phasewright::testing {

// What a drawn loop is to have. Counts are tried for; a layout that comes out unsound is drawn anew.
struct LoopWish {
  int sprockets = 2;      // 2 to 8
  int camshafts = 1;      // 1 or 2, fewer than the sprockets
  int on_the_back = 0;    // idlers on the chain's back
  int guides = 0;         // rails, on strands without a tensioner; some of them just clear of the chain
  bool tensioner = false; // on any strand but the one that enters the first sprocket
};

[[nodiscard]] LoopWish random_wish(std::mt19937& random);

// A drive of one loop whose new chain reaches, with an even number of links, a tenth to two thirds of a pitch to spare
// or its tensioner well within travel, and whose worn one (0 to 1.5 %) does. Either rotation, any orientation, 12 to 24
// teeth at the crank, pitches 6 to 13 mm, marks, lay and keys anyhow. Nothing when this draw came out unsound.
[[nodiscard]] std::optional<RandomDrive> random_loop(std::mt19937& random, const LoopWish& wish);

// Draws until one is sound.
[[nodiscard]] RandomDrive sound_loop(std::mt19937& random, const LoopWish& wish);
[[nodiscard]] RandomDrive sound_loop(std::mt19937& random);

// The same in two loops: a first with a sprocket whose shaft drives a second, 1:2 over both. The loops are laid out
// apart; only the driven shaft is common to them.
[[nodiscard]] RandomDrive random_stages(std::mt19937& random);
// And in three: the driving sprockets of the second and third sit on "jack" and "second jack".
[[nodiscard]] RandomDrive random_three_stages(std::mt19937& random);

} // namespace phasewright::testing
