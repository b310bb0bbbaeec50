#include "model3d/glb_file.hpp"

#include "model3d/surfaces.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cstring>
#include <limits>
#include <sstream>
#include <stdexcept>

namespace phasewright {

namespace {

// A number is appended as this machine has it: little-endian, as glTF wants it, on all that Debian builds for but one.
template <class Number>
void put(std::vector<unsigned char>& bytes, Number number) {
  std::array<unsigned char, sizeof(Number)> raw{};
  std::memcpy(raw.data(), &number, sizeof(Number));
  bytes.insert(bytes.end(), raw.begin(), raw.end());
}

glm::vec3 metres(glm::dvec3 mm) {
  return glm::vec3(mm * metres_per_mm);
}

std::vector<double> numbers(glm::dvec3 v) {
  return {v.x, v.y, v.z};
}

} // namespace

GlbFile::GlbFile(std::span<const Mesh> meshes, const std::string& generator)
    : meshes_(meshes), sections_(section_count) {
  model_.asset.version = "2.0";
  model_.asset.generator = generator;
  sections_[positions] = {TINYGLTF_TARGET_ARRAY_BUFFER, 3 * sizeof(float), {}};
  sections_[normals] = {TINYGLTF_TARGET_ARRAY_BUFFER, 3 * sizeof(float), {}};
  sections_[wide_indices].target = TINYGLTF_TARGET_ELEMENT_ARRAY_BUFFER;
  sections_[narrow_indices].target = TINYGLTF_TARGET_ELEMENT_ARRAY_BUFFER;
}

int GlbFile::add_accessor(SectionIndex section, int component, int type, std::size_t count, std::size_t from) {
  tinygltf::Accessor accessor;
  accessor.bufferView = static_cast<int>(section); // put right in bytes(), when it is known which sections there are
  accessor.byteOffset = from;
  accessor.componentType = component;
  accessor.type = type;
  accessor.count = count;
  model_.accessors.push_back(std::move(accessor));
  return static_cast<int>(model_.accessors.size()) - 1;
}

tinygltf::Primitive GlbFile::add_geometry(const Mesh& mesh) {
  glm::vec3 low(std::numeric_limits<float>::max());
  glm::vec3 high(-std::numeric_limits<float>::max());
  const std::size_t from = sections_[positions].bytes.size(); // the same of positions and normals
  for (const MeshVertex& vertex : mesh.vertices) {
    const glm::vec3 at = metres(glm::dvec3(vertex.position_mm));
    const glm::vec3 normal(glm::normalize(glm::dvec3(vertex.normal)));
    low = glm::min(low, at);
    high = glm::max(high, at);
    for (int i = 0; i < 3; ++i) {
      put(sections_[positions].bytes, at[i]);
      put(sections_[normals].bytes, normal[i]);
    }
  }
  tinygltf::Primitive primitive;
  primitive.mode = TINYGLTF_MODE_TRIANGLES;
  const int at = add_accessor(positions, TINYGLTF_COMPONENT_TYPE_FLOAT, TINYGLTF_TYPE_VEC3, mesh.vertices.size(), from);
  model_.accessors[static_cast<std::size_t>(at)].minValues = numbers(glm::dvec3(low));
  model_.accessors[static_cast<std::size_t>(at)].maxValues = numbers(glm::dvec3(high));
  primitive.attributes["POSITION"] = at;
  primitive.attributes["NORMAL"] =
      add_accessor(normals, TINYGLTF_COMPONENT_TYPE_FLOAT, TINYGLTF_TYPE_VEC3, mesh.vertices.size(), from);
  // 8 bits would do for small meshes, but graphics cards want 16.
  const bool narrow = mesh.vertices.size() < std::numeric_limits<std::uint16_t>::max();
  Section& section = sections_[narrow ? narrow_indices : wide_indices];
  const std::size_t indices_from = section.bytes.size();
  for (const std::uint32_t index : mesh.indices) {
    if (narrow)
      put(section.bytes, static_cast<std::uint16_t>(index));
    else
      put(section.bytes, index);
  }
  primitive.indices =
      add_accessor(narrow ? narrow_indices : wide_indices,
                   narrow ? TINYGLTF_COMPONENT_TYPE_UNSIGNED_SHORT : TINYGLTF_COMPONENT_TYPE_UNSIGNED_INT,
                   TINYGLTF_TYPE_SCALAR, mesh.indices.size(), indices_from);
  return primitive;
}

int GlbFile::material_of(Material material) {
  const auto [found, is_new] = materials_.try_emplace(material, static_cast<int>(model_.materials.size()));
  if (is_new) {
    const Surface& surface = surface_of(material);
    tinygltf::Material made;
    made.name = surface.name;
    made.pbrMetallicRoughness.baseColorFactor = {surface.colour.x, surface.colour.y, surface.colour.z, 1.0};
    made.pbrMetallicRoughness.metallicFactor = surface.metallic;
    made.pbrMetallicRoughness.roughnessFactor = surface.roughness;
    model_.materials.push_back(std::move(made));
  }
  return found->second;
}

// Each mesh is kept once, however many nodes and materials it is drawn with.
int GlbFile::mesh_of(const ModelNode& node) {
  const auto [found, is_new] = drawn_.try_emplace(node.drawn, static_cast<int>(model_.meshes.size()));
  if (is_new) {
    tinygltf::Mesh made;
    made.name = node.name;
    for (const Surfaced& surfaced : node.drawn) {
      if (!geometry_.contains(surfaced.mesh)) geometry_[surfaced.mesh] = add_geometry(meshes_[surfaced.mesh]);
      made.primitives.push_back(geometry_[surfaced.mesh]);
      made.primitives.back().material = material_of(surfaced.material);
    }
    model_.meshes.push_back(std::move(made));
  }
  return found->second;
}

void GlbFile::add_nodes(const std::vector<ModelNode>& nodes) {
  for (const ModelNode& node : nodes) {
    tinygltf::Node made;
    made.name = node.name;
    for (const std::size_t child : node.children) made.children.push_back(static_cast<int>(child));
    const Rigid none;
    if (node.body || node.rest.at_mm != none.at_mm) made.translation = numbers(glm::dvec3(metres(node.rest.at_mm)));
    if (node.body || node.rest.turn != none.turn) {
      const glm::quat turn(node.rest.turn);
      made.rotation = {turn.x, turn.y, turn.z, turn.w};
    }
    if (!node.drawn.empty()) made.mesh = mesh_of(node);
    for (const Surfaced& surfaced : node.drawn) triangles_ += meshes_[surfaced.mesh].indices.size() / 3;
    if (!node.figures.empty()) {
      tinygltf::Value::Array figures;
      for (const std::string& figure : node.figures) figures.emplace_back(figure);
      made.extras = tinygltf::Value(tinygltf::Value::Object{{"figures", tinygltf::Value(std::move(figures))}});
    }
    model_.nodes.push_back(std::move(made));
  }
  tinygltf::Scene scene;
  scene.name = nodes.front().name;
  scene.nodes = {0};
  model_.scenes.push_back(std::move(scene));
  model_.defaultScene = 0;
}

int GlbFile::add_key_figures(std::span<const float> figures, int type) {
  std::vector<unsigned char>& bytes = sections_[key_figures].bytes;
  const std::size_t from = bytes.size();
  for (const float figure : figures) put(bytes, figure);
  const auto components = static_cast<std::size_t>(tinygltf::GetNumComponentsInType(static_cast<std::uint32_t>(type)));
  return add_accessor(key_figures, TINYGLTF_COMPONENT_TYPE_FLOAT, type, figures.size() / components, from);
}

int GlbFile::key_times(const Cycle& cycle, const std::vector<std::size_t>& keys) {
  const auto known = times_.find(keys);
  if (known != times_.end()) return known->second;
  std::vector<float> times;
  for (const std::size_t key : keys) times.push_back(cycle.times_s[key]);
  const int accessor = add_key_figures(times, TINYGLTF_TYPE_SCALAR);
  model_.accessors[static_cast<std::size_t>(accessor)].minValues = {times.front()};
  model_.accessors[static_cast<std::size_t>(accessor)].maxValues = {times.back()};
  times_[keys] = accessor;
  return accessor;
}

void GlbFile::add_channel(tinygltf::Animation& animation, int node, const char* path, int input, int output) {
  tinygltf::AnimationSampler sampler;
  sampler.input = input;
  sampler.output = output;
  sampler.interpolation = "LINEAR";
  tinygltf::AnimationChannel channel;
  channel.sampler = static_cast<int>(animation.samplers.size());
  channel.target_node = node;
  channel.target_path = path;
  animation.samplers.push_back(std::move(sampler));
  animation.channels.push_back(std::move(channel));
}

void GlbFile::add_moves(tinygltf::Animation& animation, int node, const Cycle& cycle, std::size_t body,
                        const std::vector<std::size_t>& keys) {
  if (keys.empty()) return;
  std::vector<float> figures;
  for (const std::size_t key : keys) {
    const glm::vec3 at = metres(cycle.looks[key][body].at_mm);
    figures.insert(figures.end(), {at.x, at.y, at.z});
  }
  add_channel(animation, node, "translation", key_times(cycle, keys), add_key_figures(figures, TINYGLTF_TYPE_VEC3));
  keys_ += keys.size();
}

void GlbFile::add_turns(tinygltf::Animation& animation, int node, const Cycle& cycle, std::size_t body,
                        const std::vector<std::size_t>& keys) {
  if (keys.empty()) return;
  std::vector<float> figures;
  glm::dquat before = cycle.looks.front()[body].turn;
  for (const std::size_t key : keys) {
    // Of the two quaternions of a turn the one on the side of the last key's.
    glm::dquat turn = cycle.looks[key][body].turn;
    if (glm::dot(before, turn) < 0.0) turn = -turn;
    before = turn;
    const glm::quat q(turn);
    figures.insert(figures.end(), {q.x, q.y, q.z, q.w});
  }
  add_channel(animation, node, "rotation", key_times(cycle, keys), add_key_figures(figures, TINYGLTF_TYPE_VEC4));
  keys_ += keys.size();
}

void GlbFile::add_animation(const std::string& name, const Cycle& cycle, const std::vector<ModelNode>& nodes) {
  tinygltf::Animation animation;
  animation.name = name;
  const std::vector<Keys> keys = keys_of(cycle);
  for (std::size_t node = 0; node < nodes.size(); ++node) {
    if (!nodes[node].body) continue;
    const std::size_t body = *nodes[node].body;
    add_moves(animation, static_cast<int>(node), cycle, body, keys[body].moves);
    add_turns(animation, static_cast<int>(node), cycle, body, keys[body].turns);
  }
  model_.animations.push_back(std::move(animation));
}

void GlbFile::set_extras(std::size_t node, const std::vector<std::pair<std::string, tinygltf::Value>>& extras) {
  model_.nodes[node].extras = tinygltf::Value(tinygltf::Value::Object(extras.begin(), extras.end()));
}

std::string GlbFile::bytes() {
  tinygltf::Buffer buffer;
  std::array<int, section_count> views{};
  for (std::size_t i = 0; i < section_count; ++i) {
    const Section& section = sections_[i];
    if (section.bytes.empty()) continue;
    buffer.data.resize((buffer.data.size() + 3) / 4 * 4);
    tinygltf::BufferView view;
    view.buffer = 0;
    view.byteOffset = buffer.data.size();
    view.byteLength = section.bytes.size();
    view.byteStride = section.stride;
    view.target = section.target;
    buffer.data.insert(buffer.data.end(), section.bytes.begin(), section.bytes.end());
    views[i] = static_cast<int>(model_.bufferViews.size());
    model_.bufferViews.push_back(std::move(view));
  }
  for (tinygltf::Accessor& accessor : model_.accessors)
    accessor.bufferView = views[static_cast<std::size_t>(accessor.bufferView)];
  buffer.data.resize((buffer.data.size() + 3) / 4 * 4);
  model_.buffers.push_back(std::move(buffer));
  std::ostringstream stream;
  tinygltf::TinyGLTF writer;
  if (!writer.WriteGltfSceneToStream(&model_, stream, false, true))
    throw std::runtime_error("the model could not be laid out as glTF");
  return stream.str();
}

} // namespace phasewright
