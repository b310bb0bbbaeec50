#include "render/renderer.hpp"

#include "render/instances.hpp"
#include "render/colours.hpp"
#include "render/strokes.hpp"
#include "render/targets.hpp"

#include <fmt/format.h>
#include <glm/ext/matrix_clip_space.hpp>
#include <glm/ext/matrix_transform.hpp>
#include <glm/geometric.hpp>
#include <glm/gtc/type_ptr.hpp>

#include <algorithm>
#include <array>
#include <cstring>
#include <limits>
#include <stdexcept>

namespace phasewright {

namespace {

// Toward the key light: from the upper left, in front of the engine.
const glm::dvec3 key_direction = glm::normalize(glm::dvec3{-0.42, 0.62, 0.78});

constexpr int most_samples = 4;

// How much of the key light a shadow takes away; the rest is what the room throws back.
constexpr float shadow_strength = 0.62f;

struct Box3 {
  glm::dvec3 low{std::numeric_limits<double>::max()};
  glm::dvec3 high{std::numeric_limits<double>::lowest()};
};

// Eye-relative world to the key light's view of the whole scene.
glm::dmat4 shadow_view(const Scene& scene, const std::vector<Box3>& mesh_boxes, glm::dvec3 eye_mm) {
  const glm::dmat4 turn = glm::lookAt(glm::dvec3{0.0}, -key_direction, glm::dvec3{0.0, 1.0, 0.0});
  Box3 box;
  for (const Instance& instance : scene.instances) {
    if (instance.ghost) continue;
    const Box3& mesh = mesh_boxes.at(instance.mesh);
    for (int corner = 0; corner < 8; ++corner) {
      const glm::dvec4 point{(corner & 1) != 0 ? mesh.high.x : mesh.low.x, (corner & 2) != 0 ? mesh.high.y : mesh.low.y,
                             (corner & 4) != 0 ? mesh.high.z : mesh.low.z, 1.0};
      const glm::dvec3 seen = glm::dvec3(turn * (instance.placement * point - glm::dvec4(eye_mm, 0.0)));
      box.low = glm::min(box.low, seen);
      box.high = glm::max(box.high, seen);
    }
  }
  if (!(box.low.x <= box.high.x)) return glm::dmat4{1.0};
  return glm::ortho(box.low.x - 1.0, box.high.x + 1.0, box.low.y - 1.0, box.high.y + 1.0, -box.high.z - 1.0, -box.low.z + 1.0) * turn;
}

void set_matrix(GLint uniform, const glm::dmat4& matrix) {
  glUniformMatrix4fv(uniform, 1, GL_FALSE, glm::value_ptr(glm::mat4(matrix)));
}

void set_colour(GLint uniform, glm::vec3 colour) { glUniform3f(uniform, colour.x, colour.y, colour.z); }

} // namespace

struct Renderer::Impl {
  explicit Impl(const std::filesystem::path& folder)
      : surface(folder / "surface.vert", folder / "surface.frag"), shadow(folder / "shadow.vert", folder / "depth.frag"),
        part(folder / "part.vert", folder / "part.frag"), backdrop(folder / "backdrop.vert", folder / "backdrop.frag"),
        stroke(folder / "stroke.vert", folder / "stroke.frag"), no_vertices(gl::make_vertex_array()) {
    glGetIntegerv(GL_MAX_SAMPLES, &samples);
    samples = std::min(samples, most_samples);
    glGetIntegerv(GL_MAX_TEXTURE_SIZE, &largest_px);
  }

  void check(RenderSize size) const {
    if (size.width_px < 1 || size.height_px < 1 || size.width_px > largest_px || size.height_px > largest_px)
      throw std::runtime_error(fmt::format("a picture of {} x {} pixels cannot be drawn; from 1 to {} each way are possible",
                                           size.width_px, size.height_px, largest_px));
  }

  void draw_shadows(const glm::dmat4& to_light) {
    shadow_map.bind();
    glClear(GL_DEPTH_BUFFER_BIT);
    shadow.use();
    set_matrix(shadow.uniform("to_clip"), to_light);
    glEnable(GL_POLYGON_OFFSET_FILL);
    glPolygonOffset(2.0f, 4.0f);
    geometry.draw(gl::Geometry::Which::solids);
    glDisable(GL_POLYGON_OFFSET_FILL);
  }

  void draw_backdrop(const SceneColours& colours) {
    glDisable(GL_DEPTH_TEST);
    backdrop.use();
    set_colour(backdrop.uniform("middle"), colours.backdrop_middle);
    set_colour(backdrop.uniform("edge"), colours.backdrop_edge);
    glBindVertexArray(no_vertices.get());
    glDrawArrays(GL_TRIANGLES, 0, 3);
    glEnable(GL_DEPTH_TEST);
  }

  void draw_surfaces(const SceneColours& colours, const glm::dmat4& to_clip, const glm::dmat4& to_light) {
    surface.use();
    set_matrix(surface.uniform("to_clip"), to_clip);
    // Clip space runs from -1 to 1, a texture from 0 to 1.
    const glm::dmat4 to_texture = glm::scale(glm::translate(glm::dmat4{1.0}, glm::dvec3{0.5}), glm::dvec3{0.5});
    set_matrix(surface.uniform("to_shadow"), to_texture * to_light);
    glUniform4fv(surface.uniform("material_colour"), static_cast<GLsizei>(material_count), glm::value_ptr(colours.material[0]));
    set_colour(surface.uniform("key_direction"), glm::vec3(key_direction));
    set_colour(surface.uniform("sky_colour"), colours.sky);
    set_colour(surface.uniform("ground_colour"), colours.ground);
    set_colour(surface.uniform("key_colour"), colours.key);
    glUniform1f(surface.uniform("shadow_strength"), shadow_strength);
    glUniform1f(surface.uniform("ghost"), 0.0f);
    glUniform1i(surface.uniform("shadow_map"), 0);
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, shadow_map.texture());
    geometry.draw(gl::Geometry::Which::solids);

    glUniform1f(surface.uniform("ghost"), 0.28f);
    glUniform1f(surface.uniform("shadow_strength"), 0.0f);
    // First depth alone, so that only the nearest side of a ghost shows.
    glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
    geometry.draw(gl::Geometry::Which::ghosts);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
    glDepthFunc(GL_LEQUAL);
    geometry.draw(gl::Geometry::Which::ghosts);
    glDepthFunc(GL_LESS);
    glDisable(GL_BLEND);
  }

  void draw_strokes(const glm::dmat4& to_clip, RenderSize size) {
    if (strokes.empty()) return;
    stroke.use();
    set_matrix(stroke.uniform("to_clip"), to_clip);
    glUniform2f(stroke.uniform("half_size_px"), static_cast<float>(size.width_px) / 2.0f, static_cast<float>(size.height_px) / 2.0f);
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
    glDepthMask(GL_FALSE);
    glUniform1f(stroke.uniform("fade"), 1.0f);
    strokes.draw();
    glDepthFunc(GL_GREATER); // what lies behind something, faintly
    glUniform1f(stroke.uniform("fade"), 0.3f);
    strokes.draw();
    glDepthFunc(GL_LESS);
    glDepthMask(GL_TRUE);
    glDisable(GL_BLEND);
  }

  gl::Program surface, shadow, part, backdrop, stroke;
  gl::VertexArray no_vertices;
  gl::Geometry geometry;
  gl::Strokes strokes;
  gl::Target target;
  gl::ShadowMap shadow_map;
  gl::PartTarget part_target;
  std::vector<Box3> mesh_boxes;
  GLint samples = 0;
  GLint largest_px = 0;
};

namespace {

void set_state() {
  glEnable(GL_DEPTH_TEST);
  glDepthFunc(GL_LESS);
  glDepthMask(GL_TRUE);
  glEnable(GL_CULL_FACE);
  glCullFace(GL_BACK);
  glFrontFace(GL_CCW);
  glDisable(GL_BLEND);
  glDisable(GL_SCISSOR_TEST);
  glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
  glPolygonMode(GL_FRONT_AND_BACK, GL_FILL);
}

glm::dmat4 clip_matrix(const Camera& camera, RenderSize size) {
  return camera.projection(static_cast<double>(size.width_px) / size.height_px) * camera.view();
}

} // namespace

Renderer::Renderer(GetProc get_proc, const std::filesystem::path& shader_folder) {
  const int version = gladLoadGL(get_proc);
  if (version == 0) throw std::runtime_error("OpenGL could not be loaded");
  if (GLAD_VERSION_MAJOR(version) * 10 + GLAD_VERSION_MINOR(version) < 33)
    throw std::runtime_error(fmt::format("OpenGL 3.3 is needed; this one is {}.{}. LIBGL_ALWAYS_SOFTWARE=1 asks for software drawing",
                                         GLAD_VERSION_MAJOR(version), GLAD_VERSION_MINOR(version)));
  gl::StateGuard guard;
  impl_ = std::make_unique<Impl>(shader_folder);
}

Renderer::~Renderer() = default;

void Renderer::upload(const std::vector<Mesh>& meshes) {
  gl::StateGuard guard;
  impl_->geometry.upload(meshes);
  impl_->mesh_boxes.clear();
  for (const Mesh& mesh : meshes) {
    Box3 box;
    for (const MeshVertex& vertex : mesh.vertices) {
      box.low = glm::min(box.low, glm::dvec3(vertex.position_mm));
      box.high = glm::max(box.high, glm::dvec3(vertex.position_mm));
    }
    impl_->mesh_boxes.push_back(box);
  }
}

void Renderer::draw(const Scene& scene, const Camera& camera, Theme theme, RenderSize size, bool smooth) {
  impl_->check(size);
  gl::StateGuard guard;
  set_state();
  const SceneColours& colours = scene_colours(theme);
  const glm::dvec3 eye_mm = camera.eye_mm();
  const glm::dmat4 to_clip = clip_matrix(camera, size);
  const glm::dmat4 to_light = shadow_view(scene, impl_->mesh_boxes, eye_mm);
  impl_->target.prepare(size, smooth ? impl_->samples : 0);
  impl_->geometry.place(scene, eye_mm);
  impl_->strokes.place(scene.strokes, eye_mm, colours);
  impl_->draw_shadows(to_light);
  impl_->target.bind();
  glClear(GL_DEPTH_BUFFER_BIT);
  impl_->draw_backdrop(colours);
  impl_->draw_surfaces(colours, to_clip, to_light);
  impl_->draw_strokes(to_clip, size);
  impl_->target.resolve();
}

void Renderer::finish() const { glFinish(); }

unsigned Renderer::texture() const { return impl_->target.texture(); }

Image Renderer::read() const {
  gl::StateGuard guard;
  const RenderSize size = impl_->target.size();
  Image image{size.width_px, size.height_px, {}};
  const std::size_t row_bytes = static_cast<std::size_t>(size.width_px) * 4;
  std::vector<std::uint8_t> upward(row_bytes * static_cast<std::size_t>(size.height_px));
  glBindFramebuffer(GL_READ_FRAMEBUFFER, impl_->target.resolved());
  glPixelStorei(GL_PACK_ALIGNMENT, 4);
  glReadPixels(0, 0, size.width_px, size.height_px, GL_RGBA, GL_UNSIGNED_BYTE, upward.data());
  image.rgba.resize(upward.size());
  for (std::size_t row = 0; row < static_cast<std::size_t>(size.height_px); ++row)
    std::memcpy(image.rgba.data() + row * row_bytes,
                upward.data() + (static_cast<std::size_t>(size.height_px) - 1 - row) * row_bytes, row_bytes);
  return image;
}

std::optional<std::size_t> Renderer::pick(const Scene& scene, const Camera& camera, RenderSize size, int x_px, int y_px) {
  if (x_px < 0 || y_px < 0 || x_px >= size.width_px || y_px >= size.height_px) return std::nullopt;
  impl_->check(size);
  gl::StateGuard guard;
  set_state();
  impl_->geometry.place(scene, camera.eye_mm());
  impl_->part_target.prepare(size);
  impl_->part_target.bind();
  const int from_bottom = size.height_px - 1 - y_px;
  glEnable(GL_SCISSOR_TEST);
  glScissor(x_px, from_bottom, 1, 1);
  constexpr GLuint nothing[4] = {0, 0, 0, 0};
  glClearBufferuiv(GL_COLOR, 0, nothing);
  glClear(GL_DEPTH_BUFFER_BIT);
  impl_->part.use();
  set_matrix(impl_->part.uniform("to_clip"), clip_matrix(camera, size));
  impl_->geometry.draw(gl::Geometry::Which::solids);
  GLuint part = 0;
  glReadPixels(x_px, from_bottom, 1, 1, GL_RED_INTEGER, GL_UNSIGNED_INT, &part);
  if (part == 0) return std::nullopt;
  return part - 1;
}

bool Renderer::software() const {
  const std::string words = description();
  return std::ranges::any_of(std::array{"llvmpipe", "softpipe", "swrast", "Software"},
                             [&words](const char* name) { return words.find(name) != std::string::npos; });
}

std::string Renderer::description() const {
  const auto text = [](GLenum what) {
    const GLubyte* words = glGetString(what);
    return words != nullptr ? reinterpret_cast<const char*>(words) : "unknown";
  };
  return fmt::format("{}, OpenGL {}", text(GL_RENDERER), text(GL_VERSION));
}

} // namespace phasewright
