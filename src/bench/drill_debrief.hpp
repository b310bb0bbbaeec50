// After a drill: what was true, what each reading could tell, how explain would have gone.
#pragma once

#include "bench/drill.hpp"
#include "bench/drill_judge.hpp"
#include "bench/drill_readings.hpp"
#include "bench/explain.hpp"
#include "parts/problem.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// What one reading could tell; lobes and clearances together with the stop, without which no angle means anything.
struct ReadingTold {
  std::string reading; // "inlet tappet of No. 1 at 4.50 mm"
  std::string read;    // as it was written: "opens 51.5°, closes 166.5°"
  std::string right;   // what it would be if the card was true, on the wheel as the stop has it
  double apart = 0;    // how far what is true lies from that by this reading: standard uncertainties
  bool tells = false;  // surely, so that it shows that something is wrong
  // Of the faults that careful readings do rule out, those that this one alone does, and those it does not.
  NamedFaults rules_out;
  NamedFaults leaves;
  std::string words;
};

struct Debrief {
  std::vector<std::string> truth; // a sentence for each fault
  std::vector<ReadingTold> readings;
  std::vector<NamedFaults> left_by_taken; // as FaultsJudged
  std::vector<NamedFaults> left_by_careful;
  // How explain goes with the readings that were written; nothing when there are none of the kinds it weighs. Its next
  // reading is the best that could have been taken.
  std::optional<Explanation> explained;
  ReadingTold tells_most;          // by itself, of all that can be read with care
  std::vector<std::string> beside; // what alignment, end float and lash readings say
  std::vector<std::string> words;  // what they could tell and what could not, a sentence or two each
};

// Problems: as DrillTelling::make, of readings that cannot be.
[[nodiscard]] Result<Debrief> debrief(const Drill& drill, const TakenReadings& taken);

} // namespace phasewright
