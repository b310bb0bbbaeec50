// A turntable camera in doubles. No OpenGL.
#pragma once

#include "scene/model.hpp"

#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include <optional>
#include <span>
#include <string_view>

namespace phasewright {

enum class NamedView {
  end,   // from the timing end
  side,  // along the straight-edge
  key,   // close-up of a key
  valve, // valves and piston
  whole, // the whole engine
};
[[nodiscard]] std::optional<NamedView> parse_view(std::string_view word); // "end", "side", "key", "valve", "whole"
[[nodiscard]] const char* to_word(NamedView view);

struct Camera {
  glm::dvec3 target_mm{}; // what it looks at and turns about
  double yaw_deg = 0;     // 0 = from the timing end (looking along -z); + moves the camera toward +x
  double pitch_deg = 0;   // + looks down from above; -89 to 89
  double height_mm = 200; // height of the picture at the target
  double field_deg = 24;  // vertical field of view when in perspective
  bool parallel = false;  // parallel projection

  [[nodiscard]] glm::dvec3 eye_mm() const;
  [[nodiscard]] glm::dmat4 view() const; // world relative to the eye: rotation only, see eye_mm
  [[nodiscard]] glm::dmat4 projection(double aspect) const;
  // World to pixels (x right, y down, from the top left); nothing when behind the camera.
  [[nodiscard]] std::optional<glm::dvec2> project(glm::dvec3 world_mm, glm::dvec2 size_px) const;
  // The world point under a pixel in the plane through `through_mm` that faces the camera.
  [[nodiscard]] glm::dvec3 unproject(glm::dvec2 pixel, glm::dvec2 size_px, glm::dvec3 through_mm) const;

  void orbit(double dx_px, double dy_px);                        // as a left drag
  void pan(glm::dvec2 by_px, glm::dvec2 size_px);                // the point under the pointer stays there
  void zoom(double steps, glm::dvec2 at_px, glm::dvec2 size_px); // + = closer; the point under the pointer stays
};

// Which of several a close-up looks at, and how far apart parts are.
struct CloseUp {
  int cylinder = 1;                       // valve view
  std::optional<std::size_t> camshaft{0}; // key view: its key, or the crank's
  double apart = 0;                       // as SceneOptions has it
  std::optional<ViewDirection> from{};    // key view: from there, for a section
  SceneInstruments instruments{};         // all but the key view: those that are on, in the picture too
};

// The camera for a named view that frames its box in a picture of that size. `margin_px` is kept free on each side, as
// far as the picture has room for it.
[[nodiscard]] Camera frame_view(const SceneModel& model, NamedView view, glm::dvec2 size_px, double margin_px = 24,
                                const CloseUp& of = {});
// The same look (yaw, pitch, field), moved and zoomed so that the box just fits.
[[nodiscard]] Camera frame_box(const Box& box, Camera as, glm::dvec2 size_px, double margin_px = 24);
[[nodiscard]] Camera frame_points(std::span<const glm::dvec3> points_mm, Camera as, glm::dvec2 size_px,
                                  double margin_px = 24);

} // namespace phasewright
