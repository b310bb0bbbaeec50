// Lines as a PDF or an SVG itself has them: read from the file's own operators, nothing of ours asked.
#pragma once

#include <glm/vec2.hpp>

#include <array>
#include <string>
#include <vector>

namespace phasewright::testing {

// A straight piece of a stroked path, in millimetres from the page's top left corner.
struct DrawnLine {
  glm::dvec2 from_mm{};
  glm::dvec2 to_mm{};

  [[nodiscard]] double length_mm() const;
};

// Of a page of a PDF that qpdf has spread out (--qdf). Page sizes and the matrix of coordinates are followed (ISO
// 32000-1, 8.3 and 8.5). Pages count from 1.
[[nodiscard]] std::vector<DrawnLine> lines_of_pdf(const std::string& path, int page = 1);

// Of an SVG: the width its root says in points, its viewBox and the `transform` of each path (SVG 1.1, 7 and 8).
[[nodiscard]] std::vector<DrawnLine> lines_of_svg(const std::string& path);

} // namespace phasewright::testing
