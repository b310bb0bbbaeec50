// Where the builder's instruments stand. Figures are chosen in proportion to the engine.
#pragma once

#include "parts/engine.hpp"

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include <array>
#include <cstddef>
#include <vector>

namespace phasewright {

inline constexpr std::size_t no_mesh = static_cast<std::size_t>(-1);

// Thin things come in leaves of these thicknesses, laid over one another until they are as thick as is wanted: meshes
// are not stretched.
inline constexpr std::array<double, 3> leaf_mm{0.05, 0.4, 3.2};

// A straight-edge from the crank's sprocket to another of its chain's. It lies on the teeth's faces beside the hubs, or
// across the hubs where they leave no room.
struct StraightEdgeLayout {
  bool on_hubs = false;
  double z_mm = 0;      // of the faces it lies on
  glm::dvec2 way{};     // along it, from the crank's; of unit length
  glm::dvec2 aside{};   // square to it, toward the side it lies on
  glm::dvec2 from_mm{}; // its middle line's ends
  double length_mm = 0;
  std::array<double, 2> half_chord_mm{}; // how far it lies on the crank's sprocket and on the other, either way
  double across_mm = 0;                  // its thickness
  double high_mm = 0;
  std::size_t mesh = no_mesh; // along +x from the origin, its lower face at 0
};

// A dial indicator: its plunger touches at the origin and moves along z, its face looks along +y, and its stand's post
// stands `reach_mm` away on +x with its foot `foot_mm` below.
struct DialLayout {
  double radius_mm = 0; // of its case
  double reach_mm = 0;
  double foot_mm = 0;
  double foot_radius_mm = 0;
  double axis_mm = 0; // of the case, along z
  std::size_t body = no_mesh;
  std::size_t face = no_mesh;
  std::size_t plunger = no_mesh;
  std::size_t needle = no_mesh; // its axis on y
};

struct WheelLayout {
  double inner_mm = 0; // of its rim
  double outer_mm = 0;
  double z_mm = 0; // its back
  double thick_mm = 0;
  double pointer_clock_deg = 0;
  std::size_t mesh = no_mesh;    // graduation 0 on +y
  std::size_t pointer = no_mesh; // on +y
};

struct StopLayout {
  glm::dvec2 at_mm{}; // from cylinder No. 1's middle: across the engine, and toward the timing end
  double radius_mm = 0;
  double plug_mm = 0;    // underside of the plug, along the cylinder
  double highest_mm = 0; // of the crown where it stands, along the cylinder, the piston at TDC
  double rod_mm = 0;     // its length
  double chosen_mm = 0;  // how far down it reaches where nothing is known of it
  std::size_t plug = no_mesh;
  std::size_t rod = no_mesh; // its tip at the origin, along +z
};

struct InstrumentsLayout {
  std::vector<StraightEdgeLayout> straight_edges; // as the first loop's sprockets; the first is not used
  std::array<std::size_t, 3> blade_leaves{no_mesh, no_mesh, no_mesh}; // along +x from the origin
  std::vector<DialLayout> at_end;                                     // as Engine::camshafts
  std::vector<glm::dvec2> to_foot;                                    // of those, which way the post stands
  DialLayout at_valve;
  WheelLayout wheel;
  StopLayout stop;
};

} // namespace phasewright
