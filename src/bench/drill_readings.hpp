// Sets of readings of a drill: what a careful apprentice takes.
#pragma once

#include "bench/drill.hpp"
#include "parts/build.hpp"

#include <vector>

namespace phasewright {

// By feeler gauge at the valve, which no build file has a place for.
struct LashReading {
  ValveKind valve = ValveKind::inlet;
  double lash_mm = 0;
};

struct TakenReadings {
  Measured measured;
  std::vector<LashReading> lash;
};

enum class Errors {
  of_instruments, // as DrillBench reads
  none            // what the mechanics foretell, to the last digit
};

// Piston stop twice, each lobe of No. 1 at two lifts at the tappet and two at the valve, clearances about overlap TDC,
// pins, the straight-edge's gap, end float three times, lash: what the engine has of these. Turned forward, but for
// stop and lobes of a drill that hands such readings on, which are those on the card. The wheel reads as it stands;
// angles of clearances are what the stop says the crank stood at.
[[nodiscard]] TakenReadings careful_readings(const Drill& drill, Errors errors = Errors::of_instruments);

// Puts the stop and lobe readings of those who had the engine before into `given`.
void hand_on(Drill& drill);

} // namespace phasewright
