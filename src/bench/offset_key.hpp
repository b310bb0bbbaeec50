// Offset keys: the step for an angle, and the words for which way it faces.
#pragma once

#include "parts/engine.hpp"

#include <string>

namespace phasewright {

enum class KeyAt { crank, cam };

// Sideways step (unit: mm) of an offset key's upper half at the shaft's surface: r sin(a). Key angles within +-90 deg,
// in degrees of the shaft it sits on.
[[nodiscard]] double key_step_mm(double shaft_diameter_mm, double key_deg);

// "cam key 2°, shaft half leading", "crank key 4°, sprocket half trailing", "crank key straight". `advance_deg` > 0
// advances the cam. At the crank the cam is advanced when the sprocket half leads, at the cam when the shaft half
// leads.
[[nodiscard]] std::string key_words(KeyAt at, double advance_deg);

// Which way the key's upper (sprocket) half is stepped from its lower one, seen from the timing end: +1 clockwise,
// -1 anticlockwise, 0 straight.
[[nodiscard]] int step_side(KeyAt at, double advance_deg, Rotation rotation);

// "upper half stepped 0.44 mm (17 thou) anticlockwise, seen from the timing end"; empty for a straight key.
[[nodiscard]] std::string step_words(KeyAt at, double advance_deg, Rotation rotation, double shaft_diameter_mm);

// Where a step is so large that too little is left between the key's halves: a sentence without its stop, "that is more
// than half the key's width ..." (common practice, no source). Else empty. Step with or without its sign.
[[nodiscard]] std::string step_caution(double key_width_mm, double step_mm);

} // namespace phasewright
