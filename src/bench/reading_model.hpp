// What a builder would read off wheel and indicator on an engine that is known, foretold.
#pragma once

#include "mechanics/mechanism.hpp"

#include <array>
#include <optional>
#include <string>

namespace phasewright {

// One side of a lobe at a lift.
struct Flank {
  double crank_deg = 0;  // of the engine (No. 1 at overlap TDC = 0), 0 to 720; what a true wheel shows
  double mm_per_deg = 0; // how fast the indicator runs there, per crank degree; + while opening
};

struct FlankPair {
  Flank opens;
  Flank closes;
  // Half way between, counted from `opens` on; 0 to 720.
  [[nodiscard]] double middle_deg() const;
  [[nodiscard]] double duration_deg() const; // 0 to 720
};

// Where the indicator stood: as the reading says, else where the camshaft's check lift is taken.
[[nodiscard]] CheckAt reading_at(const Engine& engine, const LobeReading& reading);

// The pair that belongs to a reading's valve, cylinder and lift. Nothing when it is never lifted so far, or the engine
// has no such valve. `turning`: backward = as read while the crank is turned back, the camshaft hanging back by the
// slack. `extra_phase_deg`: with the camshaft set ahead on its sprocket by so many crank degrees more than is fitted.
[[nodiscard]] std::optional<FlankPair> foretell_pair(const Mechanism& mechanism, const LobeReading& reading,
                                                     Turning turning = Turning::forward, double extra_phase_deg = 0);

// "inlet tappet of No. 1 at 4.50 mm".
[[nodiscard]] std::string lobe_words(const Engine& engine, const LobeReading& reading);

// How far below TDC the two stops of careful readings are met, as shares of the piston's travel: our own choice.
inline constexpr std::array stop_shares{0.15, 0.10};

// Wheel readings before and after TDC of a piston that meets a stop so far below its highest point (unit: mm), on a
// true wheel: the first negative, the second positive. Nothing when the piston never goes so low.
[[nodiscard]] std::optional<std::array<double, 2>> foretell_stop(const SliderCrank& crank, double drop_mm);

} // namespace phasewright
