// Solids from which the parts are made. Lengths in mm; every solid is closed, with its triangles anticlockwise seen
// from outside and a unit normal at each vertex.
#pragma once

#include "scene/scene.hpp"
#include "scene/triangulate.hpp"

#include <glm/mat4x4.hpp>

#include <functional>
#include <span>

namespace phasewright {

// A circle about a centre, anticlockwise.
[[nodiscard]] Outline circle(glm::dvec2 centre_mm, double radius_mm, int points);
// The same points the other way round: a hole.
[[nodiscard]] Outline reversed(Outline outline);
// A circle about the origin with a slot of that width whose floor lies at `floor_mm` on +y: further out than the circle
// for a keyway in a bore, further in for one in a shaft. Anticlockwise.
[[nodiscard]] Outline slotted_circle(double radius_mm, double width_mm, double floor_mm, int points);
// A rounded hull around two circles, anticlockwise.
[[nodiscard]] Outline rounded_hull(glm::dvec2 a_mm, double a_radius_mm, glm::dvec2 b_mm, double b_radius_mm,
                                   int points);

enum class Bevelled { both, high }; // which faces of a plate have their edge broken

// A plate from `low_mm` to `high_mm` along z. `bevel_mm` breaks the outer edges. The outline is anticlockwise, the
// holes clockwise.
[[nodiscard]] Mesh extrude(const Outline& outline, std::span<const Outline> holes, double low_mm, double high_mm,
                           double bevel_mm = 0.0, Bevelled faces = Bevelled::both);

// A solid of revolution about z. The profile is (radius, z), closed by the axis where its ends lie on it (radius 0),
// and runs so that the solid lies on its left when z is up and radius to the right: up along the outside. A corner of
// more than 30 deg stays sharp.
[[nodiscard]] Mesh revolve(const Outline& profile, int segments);
[[nodiscard]] Mesh solid_cylinder(double radius_mm, double low_mm, double high_mm, int segments, double bevel_mm = 0.0);
// A ring of round wire about z, tilted so that it climbs by `rise_mm` from one side to the other.
[[nodiscard]] Mesh coil(double radius_mm, double wire_radius_mm, double rise_mm, int around, int section);

// Puts `added`, moved, into `to`.
void append(Mesh& to, const Mesh& added, const glm::dmat4& placement = glm::dmat4(1.0));

[[nodiscard]] glm::dmat4 moved(glm::dvec3 by_mm);
// Turned about z by a clock angle: clockwise seen from +z.
[[nodiscard]] glm::dmat4 turned_clock(double clock_deg);
// Axes of a frame given by its directions (each of unit length, right-handed) and its origin.
[[nodiscard]] glm::dmat4 frame(glm::dvec3 x, glm::dvec3 y, glm::dvec3 z, glm::dvec3 origin_mm);

} // namespace phasewright
