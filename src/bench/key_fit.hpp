// How a half-round key sits in its keyways.
#pragma once

#include "bench/offset_key.hpp"
#include "parts/build.hpp"
#include "parts/key_table.hpp"
#include "parts/problem.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Key angle (degrees of its shaft) for a step, the other way round than key_step_mm. |step| at most the shaft's radius.
[[nodiscard]] double key_deg_for_step(double shaft_diameter_mm, double step_mm);

// The room wanted over a key, and how much of the sprocket's keyway it has to reach into, as found and after its top
// was dressed: common practice, no source. DIN 6888 itself leaves 0.2 mm over a key.
inline constexpr double least_key_top_gap_mm = 0.1;
inline constexpr double least_key_reach = 0.5; // of the keyway's depth
inline constexpr double least_dressed_key_reach = 2.0 / 3.0;

struct KeyFit {
  KeySize key{};
  std::string shaft;
  double shaft_mm = 0;   // its diameter
  bool standard = false; // a size of the table
  bool measured = false; // any figure of it was measured
  // What is reckoned with: measured, else the standard's (unit: mm). The standard lets depths be up to 0.1 mm more and
  // the key be lower, never the other way, so that its figures give the greatest proud height and the least gap.
  double height_mm = 0;
  double seat_depth_mm = 0;
  double hub_depth_mm = 0;
  double proud_mm = 0;     // how far it stands out of the shaft: height - keyseat depth
  double top_gap_mm = 0;   // hub keyway depth - proud; negative: it bears on top
  double u_top_gap_mm = 0; // standard; 0 when nothing of it was measured
  double dress_top_mm = 0; // to be taken off its top, 0 when there is gap enough
  double least_top_gap_mm = least_key_top_gap_mm;
  double dress_limit_mm = 0; // off the top at most, so that it still drives: common practice, no source
  // Sideways, + = play, - = it must be pressed: least and most by the limits of size, or one figure when measured.
  std::array<double, 2> seat_play_mm{};
  std::array<double, 2> hub_play_mm{};
  double play_deg = 0; // what the mean hub and seat play lets the sprocket move, degrees of the shaft, from stop to
                       // stop; 0 when none
  bool bears_on_top = false; // sits too high: a sliding sprocket goes on tight
  bool too_low = false;      // reaches less far into the sprocket than it should
  bool too_loose = false;    // measured, and surely looser than the standard's sliding fit allows
  bool too_tight = false;    // measured, and surely tighter than that
  std::string words;
  std::vector<std::string> advice; // what dressing is needed and its limit
};
// Of the crank's key or a camshaft's, by what is measured, else by the standard. Problems: no such shaft; a size that
// is not in the table with its depths not measured, or wider than key_width_limits knows with its widths not measured.
[[nodiscard]] Result<KeyFit> key_fit(const Engine& engine, const Measured& measured, const std::string& shaft,
                                     const Instruments& instruments = {});

// Whether anything of it wants work before the sprocket goes on.
[[nodiscard]] bool is_out_of_limits(const KeyFit& fit);

// A key fitted the wrong way round.
struct WrongWay {
  double meant_deg = 0; // crank degrees of phase
  double got_deg = 0;   // the opposite
  double error_deg = 0; // got less meant: twice the size
  std::string words;
};
// `advance_deg` in degrees of the key's shaft.
[[nodiscard]] WrongWay key_wrong_way(KeyAt at, double advance_deg);

} // namespace phasewright
