// Lengths as the words of alignment, end float and keys say them.
#pragma once

#include <span>
#include <string>

namespace phasewright {

// "0.89 mm (35 thou)", of a size, sign left out.
[[nodiscard]] std::string size_words(double mm);

// "0.50 + 0.25 + 0.13"
[[nodiscard]] std::string pieces_words(std::span<const double> pieces_mm);

} // namespace phasewright
