// Sprockets in one plane: from straight-edge and feeler gauge to shims.
#pragma once

#include "bench/shim_pack.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <string>
#include <vector>

namespace phasewright {

enum class ShimsTo { leave, add, take_out };

struct Alignment {
  double gap_mm = 0;   // mean of near and far
  double u_gap_mm = 0; // standard
  // How far the crank sprocket's plane stands behind (+) or proud of (-) that of the others.
  double behind_mm = 0;
  ShimsTo shims = ShimsTo::leave;
  double shim_mm = 0;   // thickness wanted, 0 or more
  ShimPack pack;        // from stock to add, or from what is fitted to take out
  double left_mm = 0;   // `behind_mm` after that; also what the next reading should show, under "crank" when positive
  double u_left_mm = 0; // the shims' own limits with it
  double tilt_deg = 0;  // (far - near) over the sprocket's width across the straight-edge; shims do not cure it
  double u_tilt_deg = 0;
  bool tilted = false; // by more than it may be out by (k = 2), and beyond the limit
  double tilt_limit_deg = 0;
  double side_play_mm = 0; // of the chain on its sprockets, from stop to stop
  double limit_mm = 0;     // of `left_mm`
  double chain_deg = 0;    // angle of the strand out of the plane after shimming
  bool within = false;     // |left| is within the limit, and no tilt beyond its own
  bool surely = false;     // by more than it may be out by
  std::string words;       // the verdict, and why this sprocket and not the other
  std::string recheck;     // "a 0.05 mm feeler should go under the crank sprocket, 0.10 mm not"
};

// Problems: no gap read; a sprocket that is not there; shims asked out that are not in.
[[nodiscard]] Result<Alignment> align(const Engine& engine, const Build& build);

} // namespace phasewright
