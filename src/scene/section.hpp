// A closed mesh cut through by a plane, with a flat cap where the cut goes through it.
#pragma once

#include "scene/scene.hpp"

#include <glm/vec3.hpp>

#include <array>
#include <vector>

namespace phasewright {

enum class CutAway { left, right }; // which side of the plane x = 0 goes: x below or above it

struct Section {
  Mesh mesh;                                       // closed again
  std::vector<std::array<glm::dvec3, 2>> hatching; // lines across the cap, just in front of it
};

// Lines of the hatching lean by `hatch_deg` and stand `apart_mm` from one another. The mesh is one closed solid, or
// several that do not touch. The plane is moved off corners by a hair.
[[nodiscard]] Section cut_through(const Mesh& mesh, CutAway away, double hatch_deg, double apart_mm);

} // namespace phasewright
