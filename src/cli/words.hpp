// Figures in the words of the trade, and tables. Every angle says whose degrees it is in.
#pragma once

#include "bench/figure_words.hpp"
#include "parts/build.hpp"

#include <string>
#include <vector>

namespace phasewright::cli {

// A figure with that many decimals; never "-0.00". Beyond 1e9 as short as it can be said.
[[nodiscard]] std::string fixed(double value, int decimals);
[[nodiscard]] std::string signed_fixed(double value, int decimals); // "+2.00", "-0.51", "0.00"

// "12 o'clock", "just after 2 o'clock", "between 1 and 2 o'clock". Clock degrees, any finite size.
[[nodiscard]] std::string clock_words(double clock_deg);

// Where a cylinder stands: "overlap TDC", "12.3° crank after firing TDC, going down on its power stroke". `crank_deg`
// is that cylinder's own angle, any finite size.
[[nodiscard]] std::string stroke_words(double crank_deg);

// The nearest dead centre: "11.4° ATDC (overlap)", "3.0° BBDC". Crank degrees.
[[nodiscard]] std::string dead_centre_words(double crank_deg);

// "0.44 mm (17 thou)".
[[nodiscard]] std::string mm_thou(double mm);

[[nodiscard]] std::string event_lift_words(const Camshaft& camshaft); // "1.27 mm at the tappet"

// Title line: engine, and the build when there is one.
[[nodiscard]] std::string title_words(const Engine& engine, const Build& build);

// "3 teeth", "1 tooth".
[[nodiscard]] std::string count_words(int count, const char* one, const char* many);

// With its first letter, an ASCII one, made large.
[[nodiscard]] std::string capital(std::string words);

// Pages are no wider than this many characters, so that they fit a plain terminal and a printed sheet.
inline constexpr std::size_t page_columns = 100;

// Every line that is wider broken at its blanks; what follows begins under where the line began.
[[nodiscard]] std::string wrapped(const std::string& text);

enum class Align { left, right };

// Rows of cells, columns as wide as their widest cell, two blanks between them and before the first. The first row is
// the heading. All rows have as many cells as there are alignments. Where a row would be wider than the page, the last
// column, if it is a left one, goes on in further lines.
[[nodiscard]] std::string table(const std::vector<Align>& columns, const std::vector<std::vector<std::string>>& rows);

// The cautions that go with every clearance.
[[nodiscard]] std::string cautions();

} // namespace phasewright::cli
