// Roller chain dimensions by ISO 606 number, for the sizes that drive camshafts.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace phasewright {

// Figures for simplex, duplex and triplex chain, in this order.
using PerRows = std::array<double, 3>;

// Where each figure comes from, and which were not read but remembered, is said in chain_table.cpp column by column.
struct ChainSize {
  std::string_view number;    // ISO 606 number without rows: "06B"
  double pitch_mm;            // p
  double roller_mm;           // d1, largest roller (or bush) diameter
  double inner_width_mm;      // b1, least width between inner plates
  double pin_mm;              // d2, largest pin diameter
  double plate_height_mm;     // h2, greatest inner plate height
  double transverse_pitch_mm; // pt, between rows
  double inner_link_width_mm; // b2, greatest width over the plates of an inner link
  PerRows pin_length_mm;      // b4, b5, b6: greatest width over the riveted pins, with no connecting link
  PerRows breaking_load_kn;   // Fu, least tensile strength of a new chain
  PerRows measuring_force_n;  // the pull under which the chain's length is measured
};

[[nodiscard]] std::span<const ChainSize> chain_sizes();

struct ChainNumber {
  ChainSize size;
  int rows; // 1 simplex, 2 duplex, 3 triplex
};

// "06B-1" -> 06B, one row; a number without rows means one. Nothing when the size is not in the table or rows are not 1
// to 3.
[[nodiscard]] std::optional<ChainNumber> find_chain(std::string_view iso606);

// The table's figure for so many rows, 1 to 3.
[[nodiscard]] double for_rows(const PerRows& figures, int rows);

} // namespace phasewright
