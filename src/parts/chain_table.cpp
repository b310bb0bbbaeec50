#include "parts/chain_table.hpp"

#include <array>
#include <cassert>

namespace phasewright {

namespace {

// Read, and checked by tests/reference:
// - p, d1, b1, pt, h2 of 05B, 06B, 08B, 08A: GOST 13568-97 annex A table A.1, which reproduces ISO 606:1994. The roller
//   of 08A is ANSI B29.1's 0.312 in, as in ISO 606:2004; the 1994 edition prints 7.95.
// - p, d1 of 04C and 06C and pt of 06C: ANSI B29.1. These are bush chains: their "roller" is the bush.
// - p, d1, b1 of 12B: Bhandari, Design of Machine Elements, example 14.5.
// - d2 of 08B, b4 to b6 and Fu of 08B; b4 of 05B and 06B; Fu of 05B-2, 05B-3, 06B-1, 04C-3: chain makers' and handbook
//   sheets "as per ISO 606".
// From memory of ISO 606:2004 table 1, not read: every other figure; so all of 10A, 10B and 12A, all of b2 and all the
// measuring forces. Fu of 05B-1 is the remembered 4.4 kN, makers print 5.0.
constexpr std::array<ChainSize, 10> sizes{{
    // number, p, d1, b1, d2, h2, pt, b2, {b4, b5, b6}, {Fu}, {measuring force}
    {"04C", 6.35, 3.3, 3.1, 2.31, 6.02, 6.4, 4.8, {9.1, 15.5, 21.8}, {3.5, 7.0, 10.5}, {50, 100, 150}},
    {"05B", 8.0, 5.0, 3.0, 2.31, 7.11, 5.64, 4.77, {8.6, 14.3, 19.9}, {4.4, 7.8, 11.1}, {50, 100, 150}},
    {"06B", 9.525, 6.35, 5.72, 3.28, 8.26, 10.24, 8.53, {13.5, 23.8, 34.0}, {8.9, 16.9, 24.9}, {70, 140, 210}},
    {"06C", 9.525, 5.08, 4.68, 3.6, 9.05, 10.13, 7.46, {13.2, 23.4, 33.5}, {7.9, 15.8, 23.7}, {70, 140, 210}},
    {"08A", 12.7, 7.92, 7.85, 3.98, 12.07, 14.38, 11.17, {17.8, 32.3, 46.7}, {13.9, 27.8, 41.7}, {120, 250, 370}},
    {"08B", 12.7, 8.51, 7.75, 4.45, 11.81, 13.92, 11.3, {17.0, 31.0, 44.9}, {17.8, 31.1, 44.5}, {120, 250, 370}},
    {"10A", 15.875, 10.16, 9.4, 5.09, 15.09, 18.11, 13.84, {21.8, 39.9, 57.9}, {21.8, 43.6, 65.4}, {200, 390, 590}},
    {"10B", 15.875, 10.16, 9.65, 5.08, 14.73, 16.59, 13.28, {19.6, 36.2, 52.8}, {22.2, 44.5, 66.7}, {200, 390, 590}},
    {"12A", 19.05, 11.91, 12.57, 5.96, 18.1, 22.78, 17.75, {26.9, 49.8, 72.6}, {31.3, 62.6, 93.9}, {280, 560, 840}},
    {"12B", 19.05, 12.07, 11.68, 5.72, 16.13, 19.46, 15.62, {22.7, 42.2, 61.7}, {28.9, 57.8, 86.7}, {280, 560, 840}},
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

double for_rows(const PerRows& figures, int rows) {
  assert(rows >= 1 && rows <= 3);
  return figures[static_cast<std::size_t>(rows - 1)];
}

} // namespace phasewright
