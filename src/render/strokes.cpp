#include "render/strokes.hpp"

#include <glm/geometric.hpp>

#include <cstddef>

namespace phasewright::gl {

namespace {

struct StrokeVertex {
  float here[4];  // eye-relative; which side of the line in w
  float there[4]; // the segment's other end; -1 at its far end in w, where the way along is reversed
  float tint[4];
  float run[3];   // mm along the stroke, half width in px, dash length in mm
};

constexpr float dash_mm = 4.0f;

void put(float (&to)[4], glm::dvec3 point, float last) {
  for (int i = 0; i < 3; ++i) to[i] = static_cast<float>(point[i]);
  to[3] = last;
}

} // namespace

Strokes::Strokes() : vertex_array_(make_vertex_array()), vertices_(make_buffer()) {
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  constexpr GLint sizes[] = {4, 4, 4, 3};
  constexpr std::size_t offsets[] = {offsetof(StrokeVertex, here), offsetof(StrokeVertex, there),
                                     offsetof(StrokeVertex, tint), offsetof(StrokeVertex, run)};
  for (GLuint i = 0; i < 4; ++i) {
    glEnableVertexAttribArray(i);
    glVertexAttribPointer(i, sizes[i], GL_FLOAT, GL_FALSE, sizeof(StrokeVertex), reinterpret_cast<const void*>(offsets[i]));
  }
  glBindVertexArray(0);
}

void Strokes::place(const std::vector<Stroke>& strokes, glm::dvec3 eye_mm, const SceneColours& colours) {
  std::vector<StrokeVertex> vertices;
  for (const Stroke& stroke : strokes) {
    const glm::vec3 tone = colours.tone[static_cast<std::size_t>(stroke.tone)];
    double along_mm = 0.0;
    for (std::size_t i = 1; i < stroke.points_mm.size(); ++i) {
      const glm::dvec3 a = stroke.points_mm[i - 1] - eye_mm;
      const glm::dvec3 b = stroke.points_mm[i] - eye_mm;
      const double next_mm = along_mm + glm::length(b - a);
      const auto corner = [&](bool far_end, float side) {
        StrokeVertex vertex{};
        put(vertex.here, far_end ? b : a, side);
        put(vertex.there, far_end ? a : b, far_end ? -1.0f : 1.0f);
        for (int c = 0; c < 3; ++c) vertex.tint[c] = tone[c];
        vertex.tint[3] = 1.0f;
        vertex.run[0] = static_cast<float>(far_end ? next_mm : along_mm);
        vertex.run[1] = stroke.width_px / 2.0f;
        vertex.run[2] = stroke.dashed ? dash_mm : 0.0f;
        vertices.push_back(vertex);
      };
      corner(false, -1.0f), corner(true, -1.0f), corner(true, 1.0f);
      corner(false, -1.0f), corner(true, 1.0f), corner(false, 1.0f);
      along_mm = next_mm;
    }
  }
  count_ = static_cast<GLsizei>(vertices.size());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(StrokeVertex)), vertices.data(), GL_STREAM_DRAW);
}

void Strokes::draw() const {
  glBindVertexArray(vertex_array_.get());
  glDrawArrays(GL_TRIANGLES, 0, count_);
  glBindVertexArray(0);
}

} // namespace phasewright::gl
