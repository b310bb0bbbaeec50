// What is to be printed, as plain data: pages of lines, areas, text and pictures. One drawing code turns them into PDF,
// SVG and PNG (write.hpp); tests read off them what was drawn where. Lengths are millimetres on the paper, from the
// page's top left corner, x to the right and y down. Angles on the page are clock degrees, clockwise from 12 o'clock.
#pragma once

#include <glm/vec2.hpp>

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace phasewright::paper {

enum class PaperSize { a4, letter };
enum class Orientation { portrait, landscape };

// Width and height.
[[nodiscard]] glm::dvec2 page_size_mm(PaperSize size, Orientation orientation = Orientation::portrait);

[[nodiscard]] const char* to_word(PaperSize size);                              // "a4", "letter", as options say it
[[nodiscard]] const char* to_name(PaperSize size);                              // "A4", "Letter", as people do
[[nodiscard]] std::optional<PaperSize> parse_paper_size(std::string_view word); // of to_word

struct Box {
  double left_mm = 0;
  double top_mm = 0;
  double width_mm = 0;
  double height_mm = 0;

  [[nodiscard]] double right_mm() const { return left_mm + width_mm; }
  [[nodiscard]] double bottom_mm() const { return top_mm + height_mm; }
  [[nodiscard]] glm::dvec2 middle_mm() const { return {left_mm + width_mm / 2.0, top_mm + height_mm / 2.0}; }
};

// The box without a border of that width, which it must be large enough for.
[[nodiscard]] Box inset(const Box& box, double border_mm);

// The point at a clock angle about another.
[[nodiscard]] glm::dvec2 clock_point_mm(glm::dvec2 centre_mm, double clock_deg, double radius_mm);

// A colour, each share 0 to 1.
struct Ink {
  double red = 0;
  double green = 0;
  double blue = 0;

  friend bool operator==(const Ink&, const Ink&) = default;
};

// The colours of the paper. Printed without colour they come out as greys that can be told from the paper; what is
// inlet and what is exhaust is always told by the line's style and by a word as well.
namespace inks {
inline constexpr Ink black{0.0, 0.0, 0.0};
inline constexpr Ink white{1.0, 1.0, 1.0};
inline constexpr Ink quiet{0.36, 0.38, 0.40};  // notes and lines that only help
inline constexpr Ink faint{0.72, 0.72, 0.70};  // grids
inline constexpr Ink wash{0.945, 0.94, 0.925}; // behind a heading or a part in section
inline constexpr Ink inlet{0.0, 0.412, 0.659}; // as the viewer's by day
inline constexpr Ink exhaust{0.71, 0.282, 0.043};
inline constexpr Ink accent{0.059, 0.42, 0.451};
inline constexpr Ink warning{0.722, 0.196, 0.102};
} // namespace inks

enum class LineEnd { flat, round }; // flat ends exactly where the path does

struct Pen {
  double width_mm = 0.25;
  Ink ink = inks::black;
  std::vector<double> dashes_mm{}; // on, off, ...; empty = solid
  LineEnd end = LineEnd::flat;
};

// Inlet solid, exhaust dashed, everywhere.
[[nodiscard]] Pen inlet_pen(double width_mm);
[[nodiscard]] Pen exhaust_pen(double width_mm);

struct MoveTo {
  glm::dvec2 to_mm{};
};
struct LineTo {
  glm::dvec2 to_mm{};
};
// About a centre from one clock angle to another: clockwise where `to` is the larger figure. A line leads to where it
// begins when the path is somewhere already.
struct ArcTo {
  glm::dvec2 centre_mm{};
  double radius_mm = 0;
  double from_clock_deg = 0;
  double to_clock_deg = 0;
};
struct ClosePath {};
using PathStep = std::variant<MoveTo, LineTo, ArcTo, ClosePath>;
using Path = std::vector<PathStep>;

// An outline that is drawn, filled or both, the fill first.
struct Shape {
  Path path;
  std::optional<Pen> pen{};
  std::optional<Ink> fill{};
};

enum class TextAlign { left, centre, right };

struct TextStyle {
  double size_pt = 9; // 1/72 inch
  bool bold = false;
  Ink ink = inks::black;
  TextAlign align = TextAlign::left;
};

// One line, or a paragraph broken at its width. It is turned clockwise about `at_mm`; `shift_mm` leads from there to
// its top left corner as it was before.
struct Text {
  std::string words;
  TextStyle style;
  glm::dvec2 at_mm{};
  glm::dvec2 shift_mm{};
  double turned_deg = 0;
  double width_mm = 0; // it is broken at; 0 = one line
  // What was measured: the corners of what is inked, in order around; and how many of its characters no font on this
  // machine can draw.
  std::array<glm::dvec2, 4> corners_mm{};
  int unknown_characters = 0;
};

// A picture of pixels, rows from the top, three bytes each: red, green, blue.
struct Pixels {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;
};
// Drawn to fill the box.
struct Picture {
  Box box;
  Pixels pixels;
};

using Element = std::variant<Shape, Text, Picture>;

// An entry of the PDF's outline.
struct Bookmark {
  std::string title;
  int level = 1;     // 1 = outermost; 2 stands under the last 1 before it
  double top_mm = 0; // where on its page
};

struct Page {
  glm::dvec2 size_mm{};            // width, height
  std::vector<Element> elements{}; // the later lie over the earlier
  std::vector<Bookmark> bookmarks{};
};

// What a reader of the file is told of it. UTF-8.
struct PrintInfo {
  std::string title;
  std::string subject{};
  std::string keywords{}; // separated by commas
  std::string date{};     // "2026-05-14": goes into the PDF as the day it was made; empty = it says none
};

// All of it. At least one page.
struct Print {
  PrintInfo info{};
  std::vector<Page> pages{};
};

} // namespace phasewright::paper
