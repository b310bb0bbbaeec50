// How large text comes out, before and after it stands on a page.
#pragma once

#include "paper/page.hpp"

#include <string>

namespace phasewright::paper {

// Lengths in mm. `ink` and `baseline_mm` are counted from the text's top left corner.
struct TextSize {
  double width_mm = 0;
  double height_mm = 0;   // of all its lines
  double baseline_mm = 0; // of the first line
  Box ink;                // what is really blackened
  int lines = 0;
  int unknown_characters = 0; // that no font on this machine can draw
};

// `width_mm` is where a paragraph is broken; 0 = one line. Words too long for it are broken too.
[[nodiscard]] TextSize measure_text(const std::string& words, const TextStyle& style, double width_mm = 0);

// The text as it fits a box: as it is where it fits on one line; smaller, down to `least_pt`; then in several lines;
// then smaller still. Never cut off. The style's size comes out changed; `one_line` says whether it is to be drawn so.
struct FittedText {
  TextStyle style;
  bool one_line = true;
  TextSize size;
};
[[nodiscard]] FittedText fit_text(const std::string& words, const TextStyle& style, glm::dvec2 box_mm,
                                  double least_pt = 6.5);

} // namespace phasewright::paper
