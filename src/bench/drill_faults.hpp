// What a drill may hide, and what its apprentice may name.
#pragma once

#include "bench/explain_faults.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

enum class DrillKind {
  lay,           // the chain laid a tooth or two off its mark
  key_turned,    // an offset key fitted the other way round
  key_left_out,  // a straight key where the card has an offset one
  wheel_slipped, // after the stop was read
  turned_back,   // lobes read while the crank was turned back
  lash,
  sprocket_off,    // the crank's sprocket proud of the others, or behind them
  end_float,       // out of its limits
  chain_worn,      // more than the card says
  separation,      // lobes of one kind ground off
  sprocket_tilted, // the crank's sprocket out of square
  not_hidden       // weighed by explain, and may be named, but drills do not hide it
};

// One fault of a list to choose from. `key` is what names it everywhere: the word of Cause::faults where explain weighs
// it, else one of this list's own.
struct DrillFault {
  std::string key;
  DrillKind kind = DrillKind::not_hidden;
  std::string of;      // the camshaft or valve concerned; empty = none or all
  double side = 0;     // sprocket_off: + behind, - proud; end_float: + too large, - too small
  std::string means{}; // in plain words, for those who do not know the key's: "the chain does not lie on its marks"
};

inline constexpr const char* key_proud = "crank sprocket proud";
inline constexpr const char* key_behind = "crank sprocket behind";
inline constexpr const char* key_tilted = "crank sprocket tilted";
[[nodiscard]] std::string key_of_float(const Engine& engine, const std::string& camshaft, bool too_large);

// Those of `weighed`, then those that alignment and end float tell; end float only of camshafts whose limits the engine
// file states.
[[nodiscard]] std::vector<DrillFault> drill_faults(const Engine& engine, const std::vector<Fault>& weighed);

// Those that mean the same together, in their order.
struct MeaningGroup {
  std::string means;
  std::vector<std::string> keys;
};
[[nodiscard]] std::vector<MeaningGroup> by_meaning(const std::vector<DrillFault>& faults);

// Which faults belong to which level, and how large they are drawn: evenly in steps, either way where a fault has two
// ways, beyond what is right. Units: wheel and lobes crank degrees, chain percent, all else mm. Sizes are our own
// choice: well over what common instruments may be out by, no source.
struct DrillRow {
  int level;
  DrillKind kind;
  double least;
  double most;
  double step;
};
inline constexpr int most_drill_level = 4;
inline constexpr std::array<DrillRow, 26> drill_rows{{
    // 1: one big fault of chain or key
    {1, DrillKind::lay, 0, 0, 0},
    {1, DrillKind::key_turned, 0, 0, 0},
    // 2: one fault of the drive, of what stands beside it or of how it was read, large enough not to be missed
    {2, DrillKind::lay, 0, 0, 0},
    {2, DrillKind::key_turned, 0, 0, 0},
    {2, DrillKind::key_left_out, 0, 0, 0},
    {2, DrillKind::wheel_slipped, 5.0, 15.0, 0.5},
    {2, DrillKind::turned_back, 0, 0, 0},
    {2, DrillKind::lash, 0.25, 0.5, 0.05},
    {2, DrillKind::sprocket_off, 0.2, 0.8, 0.05},
    {2, DrillKind::end_float, 0.03, 0.15, 0.01},
    // 3: one small fault
    {3, DrillKind::wheel_slipped, 2.0, 4.5, 0.5},
    {3, DrillKind::lash, 0.10, 0.2, 0.01},
    {3, DrillKind::sprocket_off, 0.06, 0.2, 0.02},
    {3, DrillKind::end_float, 0.025, 0.05, 0.005},
    {3, DrillKind::chain_worn, 0.8, 1.8, 0.05},
    {3, DrillKind::separation, 3.0, 8.0, 0.5},
    {3, DrillKind::sprocket_tilted, 0.1, 0.4, 0.02},
    // 4: two at once
    {4, DrillKind::lay, 0, 0, 0},
    {4, DrillKind::key_turned, 0, 0, 0},
    {4, DrillKind::key_left_out, 0, 0, 0},
    {4, DrillKind::wheel_slipped, 4.0, 15.0, 0.5},
    {4, DrillKind::lash, 0.2, 0.5, 0.05},
    {4, DrillKind::sprocket_off, 0.1, 0.8, 0.05},
    {4, DrillKind::end_float, 0.03, 0.1, 0.01},
    {4, DrillKind::chain_worn, 1.0, 2.0, 0.1},
    {4, DrillKind::separation, 4.0, 10.0, 0.5},
}};
// How many faults a level hides: 1, at the highest 2.
[[nodiscard]] constexpr int faults_of_level(int level) {
  return level < most_drill_level ? 1 : 2;
}
// "one big fault of chain or key". Level 1 to most_drill_level.
[[nodiscard]] const char* level_words(int level);

} // namespace phasewright
