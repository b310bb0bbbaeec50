// Coarser triangles over a mesh's own vertices, for where they come to less than a pixel.
#pragma once

#include "scene/scene.hpp"

#include <cstdint>
#include <vector>

namespace phasewright::gl {

struct Detail {
  double error_mm = 0; // how far its surface is from the mesh's: a mean over its faces, five times that in places
  std::vector<std::uint32_t> indices;
};

// The mesh itself first, with error 0, then coarser and coarser; those that would save little are left out.
[[nodiscard]] std::vector<Detail> details_of(const Mesh& mesh);

// The coarsest of errors, rising from 0, that is no more than `most_mm`.
[[nodiscard]] std::size_t detail_within(const std::vector<double>& errors_mm, double most_mm);

} // namespace phasewright::gl
