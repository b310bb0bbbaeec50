#include "paper/sheet_table.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace phasewright::paper {

namespace {

constexpr double gap_mm = 2.6;    // between columns
constexpr double above_mm = 0.75; // in each row, and as much below
constexpr double least_pt = 5.0;

std::vector<std::string> words_of(const SheetRow& row) {
  std::vector<std::string> words;
  for (const SheetCell& cell : row.cells) words.push_back(cell.words);
  return words;
}

// The widest piece that is not broken.
double longest_word_mm(const std::string& words, const TextStyle& style) {
  double longest = 0.0;
  for (std::size_t at = 0; at <= words.size();) {
    const std::size_t end = std::min(words.find(' ', at), words.size());
    if (end > at) longest = std::max(longest, measure_text(words.substr(at, end - at), style).width_mm);
    at = end + 1;
  }
  return longest;
}

} // namespace

Ink ink_of(SheetTone tone) {
  switch (tone) {
  case SheetTone::quiet:
    return inks::quiet;
  case SheetTone::good:
    return inks::accent;
  case SheetTone::warning:
    return {0.48, 0.31, 0.0}; // amber, dark enough to be read on white
  case SheetTone::bad:
    return inks::warning;
  case SheetTone::inlet:
    return inks::inlet;
  case SheetTone::exhaust:
    return inks::exhaust;
  case SheetTone::plain:
    break;
  }
  return inks::black;
}

TableLayout::TableLayout(const SheetTable& table, double width_mm, double size_pt)
    : table_(table), size_pt_(size_pt), width_mm_(width_mm) {
  // A column is one of figures when nothing else stands in it but dashes where there is none.
  for (std::size_t i = 0; i < table_.head.size(); ++i) {
    const auto fits = [i](const SheetRow& row) { return row.cells[i].figure || row.cells[i].words == "–"; };
    const auto has = [i](const SheetRow& row) { return row.cells[i].figure.has_value(); };
    figures_.push_back(i > 0 && std::ranges::all_of(table_.rows, fits) && std::ranges::any_of(table_.rows, has));
  }
  while (!lay_out(width_mm) && size_pt_ > least_pt) size_pt_ -= 0.25;
  head_mm_ = cells_height_mm(table_.head, true);
  for (const SheetRow& row : table_.rows) rows_mm_.push_back(cells_height_mm(words_of(row), false));
}

// Columns that cannot have all they would like share what is left of the width by how much they lack. False when not
// even the longest words have room.
bool TableLayout::lay_out(double width_mm) {
  // A hair each: what was measured as one line must not be broken for a rounding.
  constexpr double hair_mm = 0.1;
  constexpr double most_spare_mm = 7.0;
  const TextStyle head{.size_pt = size_pt_, .bold = true};
  const TextStyle body{.size_pt = size_pt_};
  const std::size_t count = table_.head.size();
  std::vector<double> least(count), broken_heads(count), whole(count);
  for (std::size_t i = 0; i < count; ++i) {
    least[i] = longest_word_mm(table_.head[i], head);
    broken_heads[i] = least[i];
    for (const SheetRow& row : table_.rows) {
      const std::string& words = row.cells[i].words;
      const double line_mm = measure_text(words, body).width_mm;
      broken_heads[i] = std::max(broken_heads[i], line_mm);
      least[i] = std::max(least[i], figures_[i] ? line_mm : longest_word_mm(words, body));
    }
    whole[i] = std::max(broken_heads[i], measure_text(table_.head[i], head).width_mm);
  }
  const auto sum = [](const std::vector<double>& columns) {
    return std::accumulate(columns.begin(), columns.end(), 0.0);
  };
  const double room_mm = width_mm - gap_mm * static_cast<double>(count - 1) - hair_mm * static_cast<double>(count);
  const auto between = [&](const std::vector<double>& low, const std::vector<double>& high) {
    const double share = (room_mm - sum(low)) / (sum(high) - sum(low));
    columns_mm_.clear();
    for (std::size_t i = 0; i < count; ++i) columns_mm_.push_back(low[i] + share * (high[i] - low[i]) + hair_mm);
  };
  if (sum(least) > room_mm) {
    columns_mm_.clear();
    for (const double mm : least) columns_mm_.push_back(mm * room_mm / sum(least) + hair_mm);
    return false;
  }
  if (sum(broken_heads) > room_mm) {
    between(least, broken_heads);
  } else if (sum(whole) > room_mm) {
    between(broken_heads, whole);
  } else {
    const double spare_mm = std::min(most_spare_mm, (room_mm - sum(whole)) / static_cast<double>(count));
    columns_mm_.clear();
    for (const double mm : whole) columns_mm_.push_back(mm + spare_mm + hair_mm);
  }
  return true;
}

double TableLayout::cells_height_mm(const std::vector<std::string>& cells, bool bold) const {
  double height = 0.0;
  for (std::size_t i = 0; i < cells.size(); ++i)
    height = std::max(height, measure_text(cells[i], {.size_pt = size_pt_, .bold = bold}, columns_mm_[i]).height_mm);
  return height + 2.0 * above_mm;
}

double TableLayout::height_mm() const {
  return std::accumulate(rows_mm_.begin(), rows_mm_.end(), head_mm_);
}

void TableLayout::draw_cells(Canvas& canvas, const std::vector<std::string>& cells, double left_mm, double top_mm,
                             TextStyle style, const std::vector<Ink>& inks) const {
  double x_mm = left_mm;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    style.ink = inks[i];
    style.align = figures_[i] ? TextAlign::right : TextAlign::left;
    canvas.paragraph({x_mm, top_mm + above_mm}, columns_mm_[i], cells[i], style);
    x_mm += columns_mm_[i] + gap_mm;
  }
}

double TableLayout::draw_head(Canvas& canvas, double left_mm, double top_mm) const {
  const TextStyle style{.size_pt = size_pt_, .bold = true, .ink = inks::quiet};
  draw_cells(canvas, table_.head, left_mm, top_mm, style, std::vector<Ink>(table_.head.size(), style.ink));
  const double bottom_mm = top_mm + head_mm_;
  canvas.line({left_mm, bottom_mm}, {left_mm + width_mm_, bottom_mm}, {.width_mm = 0.25, .ink = inks::quiet});
  return bottom_mm;
}

double TableLayout::draw_row(Canvas& canvas, std::size_t row, double left_mm, double top_mm) const {
  const SheetRow& one = table_.rows[row];
  TextStyle style{.size_pt = size_pt_};
  if (one.tone == SheetTone::bad || one.tone == SheetTone::good || one.tone == SheetTone::warning)
    style.ink = ink_of(one.tone);
  std::vector<Ink> inks(one.cells.size(), style.ink);
  inks.front() = ink_of(one.tone);
  for (std::size_t i = 0; i < one.cells.size(); ++i)
    if (one.cells[i].tone != SheetTone::plain) inks[i] = ink_of(one.cells[i].tone);
  draw_cells(canvas, words_of(one), left_mm, top_mm, style, inks);
  const double bottom_mm = top_mm + rows_mm_[row];
  canvas.line({left_mm, bottom_mm}, {left_mm + width_mm_, bottom_mm}, {.width_mm = 0.1, .ink = inks::faint});
  return bottom_mm;
}

double TableLayout::draw(Canvas& canvas, double left_mm, double top_mm) const {
  double y_mm = draw_head(canvas, left_mm, top_mm);
  for (std::size_t i = 0; i < rows(); ++i) y_mm = draw_row(canvas, i, left_mm, y_mm);
  return y_mm;
}

} // namespace phasewright::paper
