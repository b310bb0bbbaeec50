// Draws on one page. Text that is placed says what room it takes, so that what comes after can stand clear of it.
//
//   Print print{.info = {.title = "Key card"}, .pages = {}};
//   print.pages.push_back({.size_mm = page_size_mm(PaperSize::a4)});
//   Canvas canvas(print.pages.back());
//   canvas.bookmark("Key card", 10.0);
//   const double below_mm = canvas.paragraph({15.0, 10.0}, 180.0, words, {.size_pt = 9});
//   canvas.line({15.0, below_mm}, {195.0, below_mm}, {.width_mm = 0.2});
//   auto trouble = write_print(print, "card.pdf");
#pragma once

#include "paper/page.hpp"
#include "paper/text.hpp"

#include <span>
#include <string>

namespace phasewright::paper {

// Which part of a line of text stands at the point it is given.
enum class TextStands { top, middle, baseline }; // middle: half way up a figure

class Canvas {
public:
  explicit Canvas(Page& page) : page_(page) {}

  [[nodiscard]] glm::dvec2 size_mm() const { return page_.size_mm; }

  void line(glm::dvec2 from_mm, glm::dvec2 to_mm, const Pen& pen = {});
  void polyline(std::span<const glm::dvec2> points_mm, const Pen& pen = {});
  void polygon(std::span<const glm::dvec2> points_mm, std::optional<Pen> pen, std::optional<Ink> fill);
  void circle(glm::dvec2 centre_mm, double radius_mm, std::optional<Pen> pen, std::optional<Ink> fill = {});
  // Clockwise where `to` is the larger figure.
  void arc(glm::dvec2 centre_mm, double radius_mm, double from_clock_deg, double to_clock_deg, const Pen& pen = {});
  void rectangle(const Box& box, std::optional<Pen> pen, std::optional<Ink> fill = {});
  void shape(Shape shape);
  // A filled arrow head, its tip there, pointing that way.
  void arrow_head(glm::dvec2 tip_mm, double clock_deg, double length_mm, Ink ink = inks::black);
  // A length said between two points: a line between arrow heads.
  void dimension_line(glm::dvec2 from_mm, glm::dvec2 to_mm, const Pen& pen = {.width_mm = 0.15});
  // An empty box to be ticked by hand, or with its tick.
  void tick_box(glm::dvec2 top_left_mm, double size_mm, bool ticked = false);
  void picture(const Box& box, Pixels pixels);
  void bookmark(std::string title, double top_mm, int level = 1);

  // One line; the style's alignment says whether it begins, ends or has its middle at that point. It is turned
  // clockwise about it. Gives the corners of what is inked.
  std::array<glm::dvec2, 4> text(glm::dvec2 at_mm, const std::string& words, const TextStyle& style,
                                 double turned_deg = 0, TextStands stands = TextStands::baseline);
  // Broken at the width; gives where the next may begin (y). Nothing is drawn for no words.
  double paragraph(glm::dvec2 top_left_mm, double width_mm, const std::string& words, const TextStyle& style);
  // Made smaller or broken so that it stays in the box, see fit_text; from the box's top. Gives its lower end (y).
  double fitted(const Box& box, const std::string& words, const TextStyle& style, double least_pt = 6.5);

private:
  void place(const std::string& words, const TextStyle& style, glm::dvec2 at_mm, glm::dvec2 shift_mm, double turned_deg,
             double width_mm, const TextSize& size);

  Page& page_;
};

} // namespace phasewright::paper
