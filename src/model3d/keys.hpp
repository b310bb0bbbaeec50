// Which looks at a cycle are enough: between these a straight line, or an even turn, passes all that are left out.
#pragma once

#include "model3d/cycle.hpp"

#include <cstddef>
#include <vector>

namespace phasewright {

// How far a point of a body may come off its place between keys; half of it for its moves and half for its turns where
// it has both. With what looks leave out and floats round it is less than a thousandth of a millimetre (unit: mm).
inline constexpr double keys_within_mm = 7e-4;

// Indices of looks, from the first to the last; empty where the body does not move, or does not turn.
struct Keys {
  std::vector<std::size_t> moves;
  // No two are more than 45 degrees of turn apart, so that the short way is never in doubt, nor far off where a reader
  // takes the straight line between quaternions.
  std::vector<std::size_t> turns;
};

[[nodiscard]] std::vector<Keys> keys_of(const Cycle& cycle); // by body

} // namespace phasewright
