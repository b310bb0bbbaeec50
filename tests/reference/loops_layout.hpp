// Where the sprockets of a random loop stand, before it is stretched to whole links.
#pragma once

#include "reference/loops.hpp"

#include <random>
#include <vector>

namespace phasewright::testing {

[[nodiscard]] Chain random_chain(std::mt19937& random);

// Which sprockets drive camshafts and which lie on the back, never two of the latter in a row nor the first.
[[nodiscard]] std::vector<Sprocket> random_order(std::mt19937& random, const LoopWish& wish, int driver_teeth);

// Inside sprockets about a ring in the order of travel, anticlockwise; those on the back pushed into the straight
// between neighbours. They may come out too near to each other.
void place_sprockets(std::mt19937& random, const LoopWish& wish, Loop& loop);

} // namespace phasewright::testing
