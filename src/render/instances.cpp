#include "render/instances.hpp"

#include "bench/in_parallel.hpp"
#include "render/detail.hpp"

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

namespace phasewright::gl {

namespace {

const void* at_offset(std::size_t bytes) {
  return reinterpret_cast<const void*>(bytes);
}

Reach reach_of(const Mesh& mesh) {
  Reach reach;
  if (mesh.vertices.empty()) return reach;
  reach.low_mm = reach.high_mm = glm::dvec3(mesh.vertices[0].position_mm);
  for (const MeshVertex& vertex : mesh.vertices) {
    const glm::dvec3 point(vertex.position_mm);
    reach.low_mm = glm::min(reach.low_mm, point);
    reach.high_mm = glm::max(reach.high_mm, point);
    reach.round_mm = std::max(reach.round_mm, std::hypot(point.x, point.y));
  }
  reach.middle_mm = (reach.low_mm + reach.high_mm) / 2.0;
  reach.radius_mm = glm::length(reach.high_mm - reach.middle_mm);
  return reach;
}

} // namespace

glm::vec3 relative_to(glm::dvec3 origin_mm, glm::dvec3 point_mm) {
  return glm::vec3(point_mm - origin_mm);
}

Frustum::Frustum(const glm::dmat4& to_clip, glm::dvec3 origin_mm) {
  // A point is inside when w + x, w - x, w + y and w - y are all positive (Gribb and Hartmann, 2001).
  const glm::dmat4 rows = glm::transpose(to_clip);
  for (int side = 0; side < 4; ++side) {
    const glm::dvec4 plane = rows[3] + (side % 2 == 0 ? 1.0 : -1.0) * rows[side / 2];
    const glm::dvec3 normal(plane);
    const double length = glm::length(normal);
    sides_[side] = {normal / length, (plane.w - glm::dot(normal, origin_mm)) / length};
  }
}

bool Frustum::shows(glm::dvec3 middle_mm, double radius_mm) const {
  return std::ranges::all_of(
      sides_, [&](const glm::dvec4& side) { return glm::dot(glm::dvec3(side), middle_mm) + side.w > -radius_mm; });
}

Geometry::Geometry() : vertex_array_(make_vertex_array()), vertices_(make_buffer()), indices_(make_buffer()) {
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, indices_.get());
  glEnableVertexAttribArray(0);
  glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(MeshVertex), at_offset(offsetof(MeshVertex, position_mm)));
  glEnableVertexAttribArray(1);
  glVertexAttribPointer(1, 3, GL_FLOAT, GL_FALSE, sizeof(MeshVertex), at_offset(offsetof(MeshVertex, normal)));
  for (GLuint attribute = 2; attribute <= 8; ++attribute) {
    glEnableVertexAttribArray(attribute);
    glVertexAttribDivisor(attribute, 1);
  }
  glBindVertexArray(0);
}

void Geometry::upload(const std::vector<Mesh>& meshes) {
  std::vector<MeshVertex> vertices;
  std::vector<std::uint32_t> indices;
  meshes_.clear();
  reaches_.clear();
  std::vector<std::vector<Detail>> details(meshes.size());
  in_parallel(meshes.size(), 1, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) details[i] = details_of(meshes[i]);
  });
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    const Mesh& mesh = meshes[i];
    Stored& stored = meshes_.emplace_back();
    stored.base_vertex = static_cast<GLint>(vertices.size());
    for (const Detail& detail : details[i]) {
      stored.errors_mm.push_back(detail.error_mm);
      stored.ranges.push_back({static_cast<GLsizei>(detail.indices.size()), indices.size() * sizeof(std::uint32_t)});
      indices.insert(indices.end(), detail.indices.begin(), detail.indices.end());
    }
    reaches_.push_back(reach_of(mesh));
    vertices.insert(vertices.end(), mesh.vertices.begin(), mesh.vertices.end());
  }
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, vertices_.get());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(vertices.size() * sizeof(MeshVertex)), vertices.data(),
               GL_STATIC_DRAW);
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, indices_.get());
  glBufferData(GL_ELEMENT_ARRAY_BUFFER, static_cast<GLsizeiptr>(indices.size() * sizeof(std::uint32_t)), indices.data(),
               GL_STATIC_DRAW);
  glBindVertexArray(0);
}

glm::dvec3 Geometry::middle_mm(const Instance& instance) const {
  return glm::dvec3(instance.placement * glm::dvec4(reach(instance.mesh).middle_mm, 1.0));
}

bool Geometry::place(const Scene& scene, const SceneColours& colours, glm::dvec3 origin_mm,
                     const std::function<bool(const Instance&)>& wanted, Placed& placed) const {
  std::vector<const Instance*> order;
  for (const Instance& instance : scene.instances)
    if (wanted(instance)) order.push_back(&instance);
  const auto dull = [&colours](const Instance* instance) {
    const glm::u8vec4 finish = colours.finish.at(static_cast<std::size_t>(instance->material));
    return finish.x == 0 && finish.z == 0;
  };
  std::ranges::stable_sort(order, {}, [&](const Instance* instance) {
    return std::pair{instance->mesh, dull(instance)};
  });

  std::vector<InstanceData> data(order.size());
  placed.batches_.clear();
  for (std::size_t i = 0; i < order.size(); ++i) {
    const Instance& instance = *order[i];
    const glm::vec3 at = relative_to(origin_mm, glm::dvec3(instance.placement[3]));
    const glm::vec3 x = relative_to({}, glm::dvec3(instance.placement[0]));
    const glm::vec3 y = relative_to({}, glm::dvec3(instance.placement[1]));
    const glm::vec3 z = relative_to({}, glm::dvec3(instance.placement[2]));
    for (int row = 0; row < 3; ++row)
      for (int column = 0; column < 4; ++column)
        data[i].rows[row][column] = (column == 0 ? x : column == 1 ? y : column == 2 ? z : at)[row];
    const Reach& mesh = reach(instance.mesh);
    data[i].round_mm = relative_to({}, {mesh.round_mm, 0, 0}).x;
    data[i].colour = colours.material.at(static_cast<std::size_t>(instance.material));
    data[i].finish = colours.finish.at(static_cast<std::size_t>(instance.material));
    data[i].part = static_cast<std::uint32_t>(instance.part);
    if (placed.batches_.empty() || placed.batches_.back().mesh != instance.mesh ||
        placed.batches_.back().dull != dull(&instance))
      placed.batches_.push_back({instance.mesh, dull(&instance), i, 0, std::numeric_limits<double>::infinity()});
    Placed::Batch& batch = placed.batches_.back();
    ++batch.count;
    batch.near_mm = std::min(batch.near_mm, glm::distance(middle_mm(instance), origin_mm) - mesh.radius_mm);
  }
  std::ranges::stable_sort(placed.batches_, {}, &Placed::Batch::near_mm);
  if (data == placed.data_) return false;
  placed.data_ = std::move(data);
  glBindBuffer(GL_ARRAY_BUFFER, placed.buffer_.get());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(placed.data_.size() * sizeof(InstanceData)),
               placed.data_.data(), GL_STREAM_DRAW);
  return true;
}

void Geometry::draw(const Placed& placed, double most_error_mm, const std::function<void(bool dull)>& use) const {
  glBindVertexArray(vertex_array_.get());
  glBindBuffer(GL_ARRAY_BUFFER, placed.buffer_.get());
  for (const Placed::Batch& batch : placed.batches_) {
    if (use) use(batch.dull);
    // OpenGL 3.3 has no first instance; the attributes are pointed at the batch's first one instead.
    const std::size_t first = batch.first * sizeof(InstanceData);
    for (GLuint row = 0; row < 3; ++row)
      glVertexAttribPointer(2 + row, 4, GL_FLOAT, GL_FALSE, sizeof(InstanceData),
                            at_offset(first + row * 4 * sizeof(float)));
    glVertexAttribPointer(5, 1, GL_FLOAT, GL_FALSE, sizeof(InstanceData),
                          at_offset(first + offsetof(InstanceData, round_mm)));
    glVertexAttribPointer(6, 4, GL_UNSIGNED_BYTE, GL_TRUE, sizeof(InstanceData),
                          at_offset(first + offsetof(InstanceData, colour)));
    glVertexAttribPointer(7, 4, GL_UNSIGNED_BYTE, GL_TRUE, sizeof(InstanceData),
                          at_offset(first + offsetof(InstanceData, finish)));
    glVertexAttribIPointer(8, 1, GL_UNSIGNED_INT, sizeof(InstanceData),
                           at_offset(first + offsetof(InstanceData, part)));
    const Stored& mesh = meshes_.at(batch.mesh);
    const Range& range = mesh.ranges[detail_within(mesh.errors_mm, most_error_mm)];
    if (range.index_count == 0) continue; // too small to be seen
    glDrawElementsInstancedBaseVertex(GL_TRIANGLES, range.index_count, GL_UNSIGNED_INT, at_offset(range.index_offset),
                                      batch.count, mesh.base_vertex);
  }
  glBindVertexArray(0);
}

} // namespace phasewright::gl
