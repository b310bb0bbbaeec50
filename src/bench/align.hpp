// Sprockets in one plane: from straight-edge and feeler gauge to shims.
#pragma once

#include "bench/shim_pack.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <string>
#include <vector>

namespace phasewright {

// remake: all shims out, and a new pack made of them and of the stock.
enum class ShimsTo { leave, add, take_out, remake };
[[nodiscard]] const char* to_word(ShimsTo shims);

// What a sprocket may stand out of square: one part in three hundred. Parallelism of shafts by a handbook for chains.
inline constexpr double tilt_limit_per = 300.0;

// How the figures are read: the gap is the mean of near and far, whose errors are one feeler's and one hand's and so do
// not average out; in their difference, which makes the tilt, they are taken as independent. Both are the cautious way.
struct Alignment {
  std::string under;   // the sprocket the feeler went under
  double gap_mm = 0;   // mean of near and far
  double u_gap_mm = 0; // standard
  // How far the crank sprocket's plane stands behind (+) or proud of (-) that of the others.
  double behind_mm = 0;
  double since_mm = 0; // thickness of shims that went in since the gap was read; it is counted in `behind_mm`
  ShimsTo shims = ShimsTo::leave; // left when the gap is surely within the limit, or no pack comes nearer
  double shim_mm = 0;             // thickness wanted more or less behind the crank sprocket, 0 or more
  ShimPack pack;                  // from stock to add, from what is fitted to take out, or the new one
  ShimPack behind_after;          // all that is behind the crank sprocket then
  double left_mm = 0;   // `behind_mm` after that; also what the next reading should show, under "crank" when positive
  double u_left_mm = 0; // the shims' own limits with it
  // (far - near) over the pitch diameter of the sprocket the feeler went under: the faces a straight-edge lies on reach
  // about so far, the teeth being relieved beyond. Shims do not cure it.
  double tilt_deg = 0;
  double u_tilt_deg = 0;
  bool tilted = false; // by more than it may be out by (k = 2), and beyond the limit
  double tilt_limit_deg = 0;
  double side_play_mm = 0;         // of the chain on its sprockets, from stop to stop
  double limit_mm = 0;             // of `left_mm`
  double strand_mm = 0;            // the shortest strand at the crank sprocket, along the common tangent
  double chain_deg = 0;            // angle of that strand out of the plane after shimming
  bool within_now = false;         // |behind| is within the limit, and |tilt| within its own: as it was read
  bool within = false;             // |left| is within the limit, and |tilt| within its own: after shimming
  bool surely = false;             // that, or its opposite, by more than it may be out by (k = 2)
  std::string words;               // what stands where, and what to do about it
  std::string recheck;             // "a 0.05 mm feeler should go under the crank sprocket, 0.10 mm not"
  std::vector<std::string> advice; // why this sprocket and not the other, what else, and what shims do not cure
};

// Of the crank's own chain. Where the shims that are in, or on the shelf, do not reach, `within` is false and the
// advice says what else. Problems: no gap read; a sprocket that the crank's chain has not got.
[[nodiscard]] Result<Alignment> align(const Engine& engine, const Build& build);

} // namespace phasewright
