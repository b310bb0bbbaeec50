#include "render/strokes.hpp"

#include "render/instances.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <cstddef>
#include <utility>

namespace phasewright::gl {

namespace {

struct StrokeVertex {
  glm::vec3 here;  // this end, relative to the eye
  glm::vec3 there; // the segment's other end
  glm::vec3 tint;
  float side;    // of the line, -1 or 1
  float way;     // -1 at the far end, from which the way to the other end runs back
  float half_px; // half the width
  float along;   // in dashes with their gaps; negative throughout when solid
};

// From one dash, or dot, to the next.
double period_px(const Stroke& stroke) {
  constexpr double dash_px = 8.0;
  return stroke.style == StrokeStyle::dotted ? std::max(3.5, 2.0 * static_cast<double>(stroke.width_px)) : dash_px;
}

} // namespace

Strokes::Strokes() : vertex_array_(make_vertex_array()), vertices_(make_buffer()) {
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  constexpr GLint sizes[] = {3, 3, 3, 4};
  constexpr std::size_t offsets[] = {offsetof(StrokeVertex, here), offsetof(StrokeVertex, there),
                                     offsetof(StrokeVertex, tint), offsetof(StrokeVertex, side)};
  for (GLuint i = 0; i < 4; ++i) {
    glEnableVertexAttribArray(i);
    glVertexAttribPointer(i, sizes[i], GL_FLOAT, GL_FALSE, sizeof(StrokeVertex),
                          reinterpret_cast<const void*>(offsets[i]));
  }
  glBindVertexArray(0);
}

void Strokes::place(const std::vector<Stroke>& strokes, bool on_top, glm::dvec3 eye_mm, double px_per_mm, double share,
                    const SceneColours& colours) {
  std::vector<StrokeVertex> vertices;
  for (const Stroke& stroke : strokes) {
    if (stroke.on_top != on_top) continue;
    double along_px = 0.0;
    const bool broken = stroke.style != StrokeStyle::solid;
    for (std::size_t i = 1; i < stroke.points_mm.size(); ++i) {
      const glm::vec3 a = relative_to(eye_mm, stroke.points_mm[i - 1]);
      const glm::vec3 b = relative_to(eye_mm, stroke.points_mm[i]);
      const double next_px = along_px + px_per_mm * glm::distance(stroke.points_mm[i - 1], stroke.points_mm[i]);
      const auto corner = [&](bool far_end, float side) {
        vertices.push_back(
            {.here = far_end ? b : a,
             .there = far_end ? a : b,
             .tint = colours.tone.at(static_cast<std::size_t>(stroke.tone)),
             .side = side,
             .way = far_end ? -1.0f : 1.0f,
             .half_px = static_cast<float>(share) * stroke.width_px / 2.0f,
             .along = broken ? static_cast<float>((far_end ? next_px : along_px) / period_px(stroke)) : -1.0f});
      };
      for (const auto& [far_end, side] :
           {std::pair{false, -1.0f}, {true, -1.0f}, {true, 1.0f}, {false, -1.0f}, {true, 1.0f}, {false, 1.0f}})
        corner(far_end, side);
      along_px = next_px;
    }
  }
  count_ = static_cast<GLsizei>(vertices.size());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(StrokeVertex)), vertices.data(),
               GL_STREAM_DRAW);
}

void Strokes::draw() const {
  glBindVertexArray(vertex_array_.get());
  glDrawArrays(GL_TRIANGLES, 0, count_);
  glBindVertexArray(0);
}

} // namespace phasewright::gl
