// Sets one thing below the other, and goes on to a new page where the next has no room.
#pragma once

#include "paper/canvas.hpp"
#include "paper/sheet_table.hpp"

#include <functional>
#include <string>

namespace phasewright::paper {

class SheetFlow {
public:
  // `running_title`: at the head of every page but the first. The print gets its first page.
  SheetFlow(Print& print, PaperSize size, std::string running_title);

  [[nodiscard]] double left_mm() const;
  [[nodiscard]] double width_mm() const;
  [[nodiscard]] double top_mm() const { return y_mm_; } // where the next begins
  [[nodiscard]] double room_mm() const;                 // left on the page
  [[nodiscard]] Canvas canvas();

  void skip(double mm) { y_mm_ += mm; }
  void new_page();
  void keep(double mm); // a new page unless so much has room; what is higher than a page begins where it is

  // A part's title with its bookmark; `with_mm` of what follows stay on its page.
  void heading(const std::string& title, double with_mm);
  void paragraph(const std::string& words, const TextStyle& style);
  // Goes on over pages, its head repeated.
  void table(const SheetTable& table);
  [[nodiscard]] double kept_mm(const SheetTable& table) const; // what of it stays on one page
  // In a box of that height over the whole width.
  void drawing(double height_mm, const std::function<void(Canvas&, const Box&)>& draw);

  void number_pages(const std::string& foot); // with those words at the foot of each

private:
  [[nodiscard]] double bottom_mm() const;

  Print& print_;
  glm::dvec2 size_mm_;
  std::string title_;
  double y_mm_ = 0;
};

} // namespace phasewright::paper
