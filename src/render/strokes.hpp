// Lines of constant width on the screen, drawn as narrow quads: wide OpenGL lines are not to be relied on.
#pragma once

#include "render/colours.hpp"
#include "render/gl_objects.hpp"
#include "scene/scene.hpp"

#include <vector>

namespace phasewright::gl {

class Strokes {
public:
  Strokes();
  // Those that are on top, or those that are not. `px_per_mm`: at the distance of what is looked at; dashes are
  // measured by it. `share`: of those pixels so many are drawn each way; widths are in them.
  void place(const std::vector<Stroke>& strokes, bool on_top, glm::dvec3 eye_mm, double px_per_mm, double share,
             const SceneColours& colours);
  void draw() const;
  [[nodiscard]] bool empty() const { return count_ == 0; }

private:
  VertexArray vertex_array_;
  Buffer vertices_;
  GLsizei count_ = 0;
};

} // namespace phasewright::gl
