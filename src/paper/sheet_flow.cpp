#include "paper/sheet_flow.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::paper {

namespace {

constexpr double side_mm = 15.0;
constexpr double margin_mm = 13.0;
constexpr double footer_mm = 7.0;
constexpr double heading_pt = 11.0;
constexpr double most_kept_mm = 70.0; // of a table on one page, where another has room for it

} // namespace

SheetFlow::SheetFlow(Print& print, PaperSize size, std::string running_title)
    : print_(print), size_mm_(page_size_mm(size)), title_(std::move(running_title)), y_mm_(margin_mm) {
  print_.pages.push_back({.size_mm = size_mm_, .elements = {}, .bookmarks = {}});
}

double SheetFlow::left_mm() const {
  return side_mm;
}

double SheetFlow::width_mm() const {
  return size_mm_.x - 2.0 * side_mm;
}

double SheetFlow::bottom_mm() const {
  return size_mm_.y - margin_mm - footer_mm;
}

double SheetFlow::room_mm() const {
  return bottom_mm() - y_mm_;
}

Canvas SheetFlow::canvas() {
  return Canvas(print_.pages.back());
}

void SheetFlow::new_page() {
  print_.pages.push_back({.size_mm = size_mm_, .elements = {}, .bookmarks = {}});
  Canvas page = canvas();
  y_mm_ =
      page.fitted({left_mm(), margin_mm - 4.0, width_mm(), 4.5}, title_, {.size_pt = 8.0, .ink = inks::quiet}) + 1.0;
  page.line({left_mm(), y_mm_}, {left_mm() + width_mm(), y_mm_}, {.width_mm = 0.15, .ink = inks::faint});
  y_mm_ += 3.0;
}

void SheetFlow::keep(double mm) {
  if (mm > room_mm() && y_mm_ > margin_mm + 8.0) new_page();
}

void SheetFlow::heading(const std::string& title, double with_mm) {
  const TextStyle style{.size_pt = heading_pt, .bold = true, .ink = inks::accent};
  const double height_mm = measure_text(title, style, width_mm()).height_mm;
  keep(3.5 + height_mm + with_mm);
  y_mm_ += 3.5;
  Canvas page = canvas();
  page.bookmark(title, y_mm_);
  y_mm_ = page.paragraph({left_mm(), y_mm_}, width_mm(), title, style) + 1.0;
}

void SheetFlow::paragraph(const std::string& words, const TextStyle& style) {
  keep(measure_text(words, style, width_mm()).height_mm);
  Canvas page = canvas();
  y_mm_ = page.paragraph({left_mm(), y_mm_}, width_mm(), words, style) + 0.8;
}

void SheetFlow::table(const SheetTable& table) {
  if (table.rows.empty()) return;
  const TableLayout layout(table, width_mm());
  y_mm_ += 1.2;
  keep(std::min(layout.height_mm(), most_kept_mm));
  const auto draw_head = [&] {
    Canvas page = canvas();
    y_mm_ = layout.draw_head(page, left_mm(), y_mm_);
  };
  draw_head();
  for (std::size_t i = 0; i < layout.rows(); ++i) {
    if (layout.row_mm(i) > room_mm()) {
      new_page();
      draw_head();
    }
    Canvas page = canvas();
    y_mm_ = layout.draw_row(page, i, left_mm(), y_mm_);
  }
  y_mm_ += 1.2;
}

void SheetFlow::drawing(double height_mm, const std::function<void(Canvas&, const Box&)>& draw) {
  keep(height_mm);
  Canvas page = canvas();
  draw(page, {left_mm(), y_mm_, width_mm(), height_mm});
  y_mm_ += height_mm;
}

double SheetFlow::kept_mm(const SheetTable& table) const {
  return table.rows.empty() ? 0.0 : std::min(TableLayout(table, width_mm()).height_mm(), most_kept_mm) + 1.2;
}

void SheetFlow::number_pages(const std::string& foot) {
  for (std::size_t i = 0; i < print_.pages.size(); ++i) {
    Canvas page(print_.pages[i]);
    const double y_mm = size_mm_.y - margin_mm;
    page.text({left_mm() + width_mm(), y_mm}, fmt::format("page {} of {}", i + 1, print_.pages.size()),
              {.size_pt = 7.5, .ink = inks::quiet, .align = TextAlign::right});
    page.text({left_mm(), y_mm}, foot, {.size_pt = 7.5, .ink = inks::quiet});
  }
}

} // namespace phasewright::paper
