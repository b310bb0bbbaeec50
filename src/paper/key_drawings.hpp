// The drawings of a key card.
#pragma once

#include "paper/canvas.hpp"
#include "paper/key_card.hpp"

namespace phasewright::paper {

// Seen along the shaft from the timing end, outward up. `size_mm` is what it takes with its dimensions.
[[nodiscard]] glm::dvec2 section_size_mm(const CardKey& key, double scale);
void draw_section(Canvas& canvas, glm::dvec2 top_left_mm, const CardKey& key, double scale);

// The shaft's end with the keyway where it points with No. 1 at overlap TDC, so many times as large. The largest scale
// that does for it; smaller ones do as well.
[[nodiscard]] double shaft_end_scale(const CardKey& key);
[[nodiscard]] double next_smaller_scale(double scale);
[[nodiscard]] glm::dvec2 shaft_end_size_mm(const CardKey& key, double scale);
void draw_shaft_end(Canvas& canvas, glm::dvec2 top_left_mm, const CardKey& key, double scale,
                    const std::string& caption);

// True size, from the side and from the timing end.
[[nodiscard]] glm::dvec2 outline_size_mm(const CardKey& key);
void draw_outline(Canvas& canvas, glm::dvec2 top_left_mm, const CardKey& key);

// "2:1", "1:2".
[[nodiscard]] std::string scale_words(double scale);

} // namespace phasewright::paper
