// Pages turned into files. The same pages give the same bytes: no clock is asked.
#pragma once

#include "paper/page.hpp"
#include "parts/problem.hpp"

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace phasewright::paper {

enum class FileKind { pdf, svg, png };

// By the end of the file's name: ".pdf", ".svg" or ".png"; nothing for another, or where there is no more of a name.
[[nodiscard]] std::optional<FileKind> file_kind(const std::string& path);

inline constexpr int print_dpi = 300; // of a PNG
inline constexpr int draft_dpi = 150;

// Text can be selected, its fonts are embedded. One file of all pages.
[[nodiscard]] std::string to_pdf(const Print& print);
// At true size in points; letters are outlines, so that no font is needed to show them.
[[nodiscard]] std::string to_svg(const Page& page);
// White behind everything; says its resolution, so that it too prints at true size.
[[nodiscard]] std::string to_png(const Page& page, int dpi = print_dpi);

// Draws a page over a picture of pixels, rows from the top, four bytes each: red, green, blue and one that is left as
// it is. The page is stretched to the picture; where it draws nothing, the picture stays as it was.
void draw_over(const Page& page, int width_px, int height_px, std::span<std::uint8_t> rgba);

// The files a print is written into: one PDF; of SVG and PNG a file for each page, "wheel.svg", or when there are
// several "wheel-1.svg", "wheel-2.svg" and so on.
[[nodiscard]] std::vector<std::string> file_names(const Print& print, const std::string& path);

// Writes it, in the kind the path's name asks for, each file whole or not at all; gives the names of the files. The
// path must have a FileKind. Problems: a file cannot be written.
[[nodiscard]] Result<std::vector<std::string>> write_print(const Print& print, const std::string& path,
                                                           int dpi = print_dpi);

} // namespace phasewright::paper
