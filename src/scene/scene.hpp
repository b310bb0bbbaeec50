// What is to be drawn, as plain data: meshes, placed instances, strokes, labels. No OpenGL, no window, no clock.
// World: millimetres, x right, y up, z out of the engine toward the viewer; crank axis through the origin; z = 0 is the
// chain's centre plane. Doubles until the renderer subtracts the camera.
#pragma once

#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace phasewright {

struct MeshVertex {
  glm::vec3 position_mm;
  glm::vec3 normal; // unit length
};

struct Mesh {
  std::vector<MeshVertex> vertices;
  std::vector<std::uint32_t> indices; // triangles, anticlockwise seen from outside
  bool whole = false;                 // never to be drawn with fewer triangles: seen close up if at all
};

// What a surface is made of; the renderer owns colours for day and night.
enum class Material : std::uint8_t {
  sprocket_steel,
  shaft_steel,
  chain_plate,
  chain_roller,
  taut_plate, // plates of the taut strand: the accent colour
  key_steel,
  mark,  // paint of the timing marks and bright links
  plate, // backing plate
  alloy, // piston
  cast,  // block outline, seats
  inlet, // inlet valve, lobe, pushrod
  exhaust,
  spring,
  rail, // the faces on which the chain slides
};

// A thing a person would name. Hovering shows its name and figures.
struct PartInfo {
  std::string name;                  // "cam sprocket"
  std::vector<std::string> figures;  // rows below it: "38 teeth", "mark at 180.1 deg"
  std::vector<std::string> within{}; // what it is a piece of, the whole first; with SceneOptions::every_part
};

struct Instance {
  std::size_t mesh = 0; // index into SceneModel::meshes
  std::size_t part = 0; // index into Scene::parts
  Material material = Material::shaft_steel;
  bool ghost = false;        // the present state beside the plan: see-through, no shadow
  glm::dmat4 placement{1.0}; // mesh to world; rotation and translation only
};

enum class Tone : std::uint8_t { quiet, accent, inlet, exhaust, warning, ink, bad };
enum class StrokeStyle : std::uint8_t { solid, dashed, dotted };

struct Stroke { // a line drawn in the scene, constant width on the screen
  std::vector<glm::dvec3> points_mm;
  Tone tone = Tone::quiet;
  float width_px = 1.5f;
  StrokeStyle style = StrokeStyle::solid;
  bool on_top = false; // seen through whatever stands before it
};

struct Label { // two rows on a thin line from its anchor
  glm::dvec3 anchor_mm{};
  std::string title;  // what it is
  std::string figure; // the figure that matters
  Tone tone = Tone::quiet;
  int rank = 0;          // lower is placed first and is never dropped for a higher one
  std::string key;       // the same from pose to pose, and no other label's
  bool in_place = false; // only its title, written where it stands
};

struct Scene {
  std::vector<PartInfo> parts;
  std::vector<Instance> instances;
  std::vector<Stroke> strokes;
  std::vector<Label> labels;
  std::vector<std::string> confessions; // exaggerations: "key step shown x6"
};

} // namespace phasewright
