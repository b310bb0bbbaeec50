// Figures as text, the way screen and paper write them: true minus, degree sign, mm or thou.
#pragma once

#include <string>

namespace phasewright {

inline constexpr double mm_per_thou = 0.0254; // exact by definition of the inch (ISO 80000-3, from memory)

enum class Units { mm, thou };

// "−2.1", "0.0": never a minus before zero.
[[nodiscard]] std::string figure(double value, int decimals);
// "+2.1", "−2.1", "0.0".
[[nodiscard]] std::string signed_figure(double value, int decimals);
// "−2.1°" and "+2.1°".
[[nodiscard]] std::string deg_text(double deg, int decimals = 1);
[[nodiscard]] std::string signed_deg_text(double deg, int decimals = 1);
// A key's angle without its way, as short as it can be said: "2°", "1.5°", "under 0.01°".
[[nodiscard]] std::string key_angle_text(double deg);
// A length of mm with its unit: "2.62 mm", "103 thou" (1 thou = 0.0254 mm).
[[nodiscard]] std::string length_text(double mm, Units units);
// With a sign: "+0.50 mm".
[[nodiscard]] std::string signed_length_text(double mm, Units units);
// "±0.02 mm"
[[nodiscard]] std::string plus_minus_text(double mm, Units units);
// As a dial indicator or a micrometer shows it, a digit finer: "0.113 mm", "4.4 thou".
[[nodiscard]] std::string dial_figure(double mm, Units units);
[[nodiscard]] std::string dial_text(double mm, Units units);
[[nodiscard]] std::string signed_dial_text(double mm, Units units);
// A shim as it is marked: "0.50 mm", "0.125 mm", "5 thou".
[[nodiscard]] std::string shim_text(double mm, Units units);
// The same without the unit, for columns whose head names it.
[[nodiscard]] std::string length_figure(double mm, Units units);
[[nodiscard]] const char* unit_word(Units units);
// "2.1° late", "2.1° early", "on the mark": a phase or an error in words, crank degrees, + = early.
[[nodiscard]] std::string lateness(double deg);
// Crank degrees, + = advanced: "4.08° of crank retarded"; "0.00° of crank, as the maker's card has it".
[[nodiscard]] std::string phase_words(double crank_deg);
// "12° ATDC (overlap)", "8° BBDC": a crank angle, any finite one, from the nearest dead centre.
// Where overlap is meant anyway it need not be said.
[[nodiscard]] std::string crank_words(double crank_deg, bool says_overlap = true);

} // namespace phasewright
