// An engine's chain loops as drawn and fitted, in their running planes, and what is wrong with them.
#pragma once

#include "mechanics/chain_loop.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <vector>

namespace phasewright {

inline constexpr std::size_t most_loops = 4;

// What warmth does: shares by which the block (all centres, guides and tensioners, about the crank) and the chain with
// its sprockets have grown over the drawing.
struct Growth {
  double block = 0;
  double chain = 0;

  friend bool operator==(const Growth&, const Growth&) = default;
};

// Where a sprocket's centre is with `fitted.centre_change_mm` and growth (x right, y up, unit: mm). The camshafts'
// centres move together, along the line from the crank to the middle of them; a sprocket on the same shaft as another
// moves with it; all else stays.
[[nodiscard]] glm::dvec2 fitted_centre_mm(const Engine& engine, const Fitted& fitted, SprocketPlace place,
                                          const Growth& growth = {});

// 1 when the loop's driving sprocket turns clockwise as seen from the timing end, else -1.
[[nodiscard]] double running_sign(const Engine& engine, std::size_t loop);

// World (x right, y up) to running plane and back: 12 o'clock becomes the first axis, the running direction
// anticlockwise.
[[nodiscard]] constexpr glm::dvec2 to_running_plane(glm::dvec2 world, double sign) {
  return {world.y, sign * world.x};
}
[[nodiscard]] constexpr glm::dvec2 to_world(glm::dvec2 running_plane, double sign) {
  return {sign * running_plane.y, running_plane.x};
}

// The sprocket of an earlier loop on whose shaft the loop's driving sprocket sits. Only for loops but the first, of an
// engine without layout faults.
[[nodiscard]] SprocketPlace driver_of(const Engine& engine, std::size_t loop);

// Which arc of which strand a guide of the loop became (then the tensioner's shoe, as the last).
struct ArcPlace {
  std::size_t strand = 0;
  std::size_t place = 0;
};
struct DrawnLoop {
  LoopDrawing drawing;
  std::vector<ArcPlace> arcs; // as Loop::guides, then the shoe
};
[[nodiscard]] DrawnLoop draw_loop(const Engine& engine, const Fitted& fitted, const Growth& growth, std::size_t loop);

// Chain pitch as fitted (unit: mm): worn, and grown with warmth.
[[nodiscard]] double fitted_pitch_mm(const Chain& chain, const Fitted& fitted, const Growth& growth);

// Crank turns for one turn of that sprocket.
struct TurnRatio {
  long long numerator = 1;
  long long denominator = 1; // in lowest terms, both more than 0
};
[[nodiscard]] TurnRatio crank_turns_per_turn(const Engine& engine, SprocketPlace place);

// Teeth that do not give 1:2 at a camshaft, sprockets that overlap, an order no chain can follow, sprockets it does not
// reach, guides that cut sprockets, a tensioner that cannot work. Nothing = the loops can be drawn.
[[nodiscard]] Problems layout_faults(const Engine& engine, const Fitted& fitted, const Growth& growth);

} // namespace phasewright
