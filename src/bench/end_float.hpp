// Camshaft end float from indicator readings, and what to change.
#pragma once

#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

enum class FloatVerdict {
  inside,
  at_lower_edge, // inside, but by less than it may be out by
  at_upper_edge,
  below,
  above,
  maybe_below, // outside, but by less than it may be out by
  maybe_above,
  no_limits // the engine file states none
};
[[nodiscard]] const char* to_word(FloatVerdict verdict);

struct EndFloat {
  std::string camshaft;
  double float_mm = 0; // mean of the readings
  // Standard: repeats and the indicator's limit. Of a single reading the scatter is not known, and is taken to be as
  // large as the limit; the limit does not average out, so that equal readings are never better than it.
  double u_mm = 0;
  double out_by_mm = 0; // expanded, 95 %: Student's t for as few readings as there are
  int readings = 0;
  std::optional<std::array<double, 2>> limits_mm;
  FloatVerdict verdict = FloatVerdict::no_limits;
  double change_mm = 0; // to bring it to the middle of the limits, + = more float; 0 inside
  // The retaining plate sits in a groove as long as the boss: float = boss - plate. A thicker plate takes float away.
  std::optional<double> plate_mm;        // measured, else the maker's
  std::optional<double> wanted_plate_mm; // that brings the float to the middle
  std::optional<double> plate_wear_mm;   // the maker's less the measured
  std::optional<double> boss_wear_mm;    // likewise, of the sprocket's or gear's boss
  std::optional<double> by_parts_mm;     // boss less plate, both measured
  double by_parts_out_by_mm = 0;         // expanded, of that
  bool parts_agree = true;               // that and the indicator, within what both may be out by
  std::optional<double> grown_mm;        // since the first set in the history that has a float of this camshaft
  double grown_out_by_mm = 0;            // expanded, of that
  std::string grown_since;               // that set's date; empty = not said
  std::string words;                     // the verdict
  std::vector<std::string> advice;       // what to change, and what else was seen
};

// Problems: no float read; a camshaft that is not there.
[[nodiscard]] Result<EndFloat> end_float(const Engine& engine, const Build& build);

// Whether the end float is outside its limits, surely or not.
[[nodiscard]] bool is_outside(FloatVerdict verdict);

} // namespace phasewright
