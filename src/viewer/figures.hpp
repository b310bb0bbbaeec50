// What a person types as a figure. How figures are written stands in bench/figure_words.hpp.
#pragma once

#include "bench/figure_words.hpp"

#include <optional>
#include <string_view>

namespace phasewright::viewer {

// The number a person typed: true minus and decimal comma are fine, and so is the field's own unit after it. Nothing
// when it is not one finite number.
[[nodiscard]] std::optional<double> parse_number(std::string_view text, std::string_view unit);

// A typed length in mm. Its unit may be typed after it, whichever the screen shows: mm, in or thou (also inch, ", th);
// a bare number is in `shown`.
[[nodiscard]] std::optional<double> parse_length_mm(std::string_view text, Units shown);
[[nodiscard]] double unit_mm(Units units);

} // namespace phasewright::viewer
