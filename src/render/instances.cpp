#include "render/instances.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>

namespace phasewright::gl {

namespace {

const void* at_offset(std::size_t bytes) { return reinterpret_cast<const void*>(bytes); }

} // namespace

void relative_to_eye(const glm::dmat4& placement, glm::dvec3 eye_mm, float (&rows)[3][4]) {
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 3; ++column) rows[row][column] = static_cast<float>(placement[column][row]);
    rows[row][3] = static_cast<float>(placement[3][row] - eye_mm[row]);
  }
}

Geometry::Geometry()
    : vertex_array_(make_vertex_array()), vertices_(make_buffer()), indices_(make_buffer()), instances_(make_buffer()) {
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, indices_.get());
  glEnableVertexAttribArray(0);
  glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(MeshVertex), at_offset(offsetof(MeshVertex, position_mm)));
  glEnableVertexAttribArray(1);
  glVertexAttribPointer(1, 3, GL_FLOAT, GL_FALSE, sizeof(MeshVertex), at_offset(offsetof(MeshVertex, normal)));
  for (GLuint attribute = 2; attribute <= 6; ++attribute) {
    glEnableVertexAttribArray(attribute);
    glVertexAttribDivisor(attribute, 1);
  }
  glBindVertexArray(0);
}

void Geometry::upload(const std::vector<Mesh>& meshes) {
  std::vector<MeshVertex> vertices;
  std::vector<std::uint32_t> indices;
  ranges_.clear();
  for (const Mesh& mesh : meshes) {
    ranges_.push_back({static_cast<GLsizei>(mesh.indices.size()), indices.size() * sizeof(std::uint32_t),
                       static_cast<GLint>(vertices.size())});
    vertices.insert(vertices.end(), mesh.vertices.begin(), mesh.vertices.end());
    indices.insert(indices.end(), mesh.indices.begin(), mesh.indices.end());
  }
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(MeshVertex)), vertices.data(), GL_STATIC_DRAW);
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, indices_.get());
  glBufferData(GL_ELEMENT_ARRAY_BUFFER, static_cast<GLsizeiptr>(indices.size() * sizeof(std::uint32_t)), indices.data(),
               GL_STATIC_DRAW);
  glBindVertexArray(0);
}

void Geometry::place(const Scene& scene, glm::dvec3 eye_mm) {
  std::vector<std::size_t> order(scene.instances.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, {}, [&scene](std::size_t i) {
    return std::pair{scene.instances[i].ghost, scene.instances[i].mesh};
  });
  std::vector<InstanceData> data(order.size());
  for (std::vector<Batch>& batches : batches_) batches.clear();
  for (std::size_t i = 0; i < order.size(); ++i) {
    const Instance& instance = scene.instances[order[i]];
    relative_to_eye(instance.placement, eye_mm, data[i].rows);
    data[i].material = static_cast<std::uint32_t>(instance.material);
    data[i].part = static_cast<std::uint32_t>(instance.part);
    std::vector<Batch>& batches = batches_[instance.ghost ? 1 : 0];
    if (batches.empty() || batches.back().mesh != instance.mesh) batches.push_back({instance.mesh, i, 0});
    ++batches.back().count;
  }
  glBindBuffer(GL_ARRAY_BUFFER, instances_.get());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(data.size() * sizeof(InstanceData)), data.data(), GL_STREAM_DRAW);
}

void Geometry::draw(Which which) const {
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, instances_.get());
  for (const Batch& batch : batches_[which == Which::ghosts ? 1 : 0]) {
    // OpenGL 3.3 has no first instance; the attributes are pointed at the batch's first one instead.
    const std::size_t first = batch.first * sizeof(InstanceData);
    for (GLuint row = 0; row < 3; ++row)
      glVertexAttribPointer(2 + row, 4, GL_FLOAT, GL_FALSE, sizeof(InstanceData), at_offset(first + row * 4 * sizeof(float)));
    glVertexAttribIPointer(5, 1, GL_UNSIGNED_INT, sizeof(InstanceData), at_offset(first + offsetof(InstanceData, material)));
    glVertexAttribIPointer(6, 1, GL_UNSIGNED_INT, sizeof(InstanceData), at_offset(first + offsetof(InstanceData, part)));
    const Range& range = ranges_.at(batch.mesh);
    glDrawElementsInstancedBaseVertex(GL_TRIANGLES, range.index_count, GL_UNSIGNED_INT, at_offset(range.index_offset),
                                      batch.count, range.base_vertex);
  }
  glBindVertexArray(0);
}

} // namespace phasewright::gl
