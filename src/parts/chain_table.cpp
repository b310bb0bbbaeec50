#include "parts/chain_table.hpp"

#include <array>

namespace phasewright {

namespace {

// p, d1, b1, pt, h2 of 05B, 06B, 08B and 08A: GOST 13568-97 annex A table A.1, which reproduces ISO 606:1994 (08A
// roller by ANSI B29.1, 0.312 in, as ISO 606:2004). 08B pin: makers' charts "as per BS 228 / DIN 8187 / ISO 606". 06C
// pin and transverse pitch: ANSI B29.1 inch sheet. From memory of ISO 606:2004 table 1, not read: pins of 04C, 05B,
// 06B, 08A; b1 of 04C and 06C; h2 of 04C and 06C; pt of 04C. 04C and 06C are bush chains: their "roller" is the bush.
constexpr std::array<ChainSize, 6> sizes{{
    {"04C", 6.350, 3.30, 3.10, 2.31, 6.02, 6.40},
    {"05B", 8.000, 5.00, 3.00, 2.31, 7.11, 5.64},
    {"06B", 9.525, 6.35, 5.72, 3.28, 8.26, 10.24},
    {"06C", 9.525, 5.08, 4.68, 3.60, 9.05, 10.13},
    {"08A", 12.700, 7.92, 7.85, 3.98, 12.07, 14.38},
    {"08B", 12.700, 8.51, 7.75, 4.45, 11.81, 13.92},
}};

} // namespace

std::span<const ChainSize> chain_sizes() {
  return sizes;
}

std::optional<ChainNumber> find_chain(std::string_view iso606) {
  const std::size_t dash = iso606.find('-');
  int rows = 1;
  if (dash != std::string_view::npos) {
    const std::string_view suffix = iso606.substr(dash + 1);
    if (suffix.size() != 1 || suffix[0] < '1' || suffix[0] > '3') return std::nullopt;
    rows = suffix[0] - '0';
  }
  for (const ChainSize& size : sizes)
    if (size.number == iso606.substr(0, dash)) return ChainNumber{size, rows};
  return std::nullopt;
}

} // namespace phasewright
