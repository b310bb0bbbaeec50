// A table of the sheet laid out in columns: as wide as they must be, the words that need it broken in lines.
#pragma once

#include "paper/canvas.hpp"
#include "paper/sheet.hpp"

#include <vector>

namespace phasewright::paper {

class TableLayout {
public:
  // `size_pt` is made smaller where not even broken words fit, down to 5.
  TableLayout(const SheetTable& table, double width_mm, double size_pt = 8.0);

  [[nodiscard]] std::size_t rows() const { return table_.rows.size(); }
  [[nodiscard]] double head_mm() const { return head_mm_; }
  [[nodiscard]] double row_mm(std::size_t row) const { return rows_mm_[row]; }
  [[nodiscard]] double height_mm() const; // of all of it

  // Each gives the lower end of what it drew.
  double draw_head(Canvas& canvas, double left_mm, double top_mm) const;
  double draw_row(Canvas& canvas, std::size_t row, double left_mm, double top_mm) const;
  double draw(Canvas& canvas, double left_mm, double top_mm) const;

private:
  [[nodiscard]] bool lay_out(double width_mm);
  [[nodiscard]] double cells_height_mm(const std::vector<std::string>& cells, bool bold) const;
  void draw_cells(Canvas& canvas, const std::vector<std::string>& cells, double left_mm, double top_mm, TextStyle style,
                  const std::vector<Ink>& inks) const;

  const SheetTable& table_;
  double size_pt_;
  double width_mm_;
  std::vector<double> columns_mm_;
  std::vector<bool> figures_; // columns that are set to the right
  double head_mm_ = 0;
  std::vector<double> rows_mm_;
};

[[nodiscard]] Ink ink_of(SheetTone tone);

} // namespace phasewright::paper
