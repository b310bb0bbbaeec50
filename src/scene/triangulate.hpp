// Triangles for a flat outline with holes.
#pragma once

#include <glm/vec2.hpp>

#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace phasewright {

using Outline = std::vector<glm::dvec2>;

// Ear clipping, holes bridged in first. The outline runs anticlockwise, the holes clockwise, each without repeated
// points; holes lie inside and apart from one another. Indices count through the outline's points and then each hole's.
// Every triangle is anticlockwise; no point is added.
[[nodiscard]] std::vector<std::array<std::uint32_t, 3>> triangulate(const Outline& outline,
                                                                    std::span<const Outline> holes = {});

// Twice the signed area; positive = anticlockwise.
[[nodiscard]] double twice_area(const Outline& outline);

} // namespace phasewright
