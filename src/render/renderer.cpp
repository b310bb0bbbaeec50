#include "render/renderer.hpp"

#include "render/colours.hpp"
#include "render/instances.hpp"
#include "render/shadow.hpp"
#include "render/strokes.hpp"
#include "render/targets.hpp"

#include <fmt/format.h>
#include <glm/ext/matrix_transform.hpp>
#include <glm/geometric.hpp>
#include <glm/gtc/type_ptr.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <mutex>
#include <stdexcept>

namespace phasewright {

namespace {

constexpr int most_samples = 4;

// How much of the key light a shadow takes away; the rest is what the room throws back.
constexpr float shadow_strength = 0.75f;
constexpr float soft_shadow_mm = 1.6f; // how far a soft edge reaches

// What a surface may be off in the picture on the mean, where the camera looks at; nearer it comes to somewhat more.
constexpr double unseen_px = 0.12;
constexpr double unseen_moving_px = 0.35;

constexpr float ghost_opacity = 0.26f;
constexpr float hidden_stroke = 0.3f; // opacity of strokes behind something

void set_matrix(GLint uniform, const glm::dmat4& matrix) {
  glUniformMatrix4fv(uniform, 1, GL_FALSE, glm::value_ptr(glm::mat4(matrix)));
}

void set_vector(GLint uniform, glm::vec3 value) {
  glUniform3f(uniform, value.x, value.y, value.z);
}

void set_vector(GLint uniform, glm::dvec3 value) {
  set_vector(uniform, glm::vec3(value));
}

// What one picture is drawn with.
struct Frame {
  const SceneColours& colours;
  RenderSize size;
  glm::dvec3 eye_mm;
  glm::dmat4 to_clip; // from points relative to the eye
  glm::dvec3 eye_right, eye_up, eye_back;
  bool parallel;
  bool full;            // with all that takes time on a software renderer
  double most_error_mm; // of what is drawn: too little to be seen

  Frame(const Camera& camera, Theme theme, RenderSize of, bool in_full)
      : colours(scene_colours(theme)), size(of), eye_mm(camera.eye_mm()), parallel(camera.parallel), full(in_full),
        most_error_mm((in_full ? unseen_px : unseen_moving_px) * camera.height_mm / of.height_px) {
    const glm::dmat4 view = camera.view();
    to_clip = camera.projection(static_cast<double>(size.width_px) / size.height_px) * view;
    const glm::dmat4 back = glm::transpose(view);
    eye_right = glm::dvec3(back[0]);
    eye_up = glm::dvec3(back[1]);
    eye_back = glm::dvec3(back[2]);
  }
};

void set_state() {
  glEnable(GL_DEPTH_TEST);
  glDepthFunc(GL_LESS);
  glDepthMask(GL_TRUE);
  glEnable(GL_CULL_FACE);
  glCullFace(GL_BACK);
  glFrontFace(GL_CCW);
  glDisable(GL_BLEND);
  glBlendEquation(GL_FUNC_ADD);
  // The picture stays opaque whatever is blended into it.
  glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
  glDisable(GL_SCISSOR_TEST);
  glDisable(GL_STENCIL_TEST);
  glDisable(GL_POLYGON_OFFSET_FILL);
  glDisable(GL_FRAMEBUFFER_SRGB); // the shaders write what is shown
  glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
  glPolygonMode(GL_FRONT_AND_BACK, GL_FILL);
  glActiveTexture(GL_TEXTURE0);
  glBindSampler(0, 0);
}

} // namespace

struct Renderer::Impl {
  explicit Impl(const std::filesystem::path& folder)
      : plain_surface(surface(folder, "PLAIN")), soft_surface(surface(folder, "SOFT_SHADOW")),
        vertex_lit_surface(surface(folder, "VERTEX_LIT")), ghost_surface(surface(folder, "GHOST")),
        part(folder / "part.vert", folder / "part.frag"), backdrop(folder / "backdrop.vert", folder / "backdrop.frag"),
        stroke(folder / "stroke.vert", folder / "stroke.frag"), no_vertices(gl::make_vertex_array()),
        shadow_map(folder) {
    glGetIntegerv(GL_MAX_SAMPLES, &samples);
    samples = std::min(samples, most_samples);
    glGetIntegerv(GL_MAX_TEXTURE_SIZE, &largest_px);
  }

  static gl::Program surface(const std::filesystem::path& folder, const char* kind) {
    return {folder / "surface.vert", folder / "surface.frag", folder / "light.glsl", kind};
  }

  void check(RenderSize size) const {
    if (size.width_px < 1 || size.height_px < 1 || size.width_px > largest_px || size.height_px > largest_px)
      throw std::runtime_error(
          fmt::format("a picture of {} x {} pixels cannot be drawn; from 1 to {} each way are possible", size.width_px,
                      size.height_px, largest_px));
  }

  void place(const Scene& scene, const Frame& frame, gl::Placed& placed, bool ghost) const {
    const gl::Frustum frustum(frame.to_clip, frame.eye_mm);
    geometry.place(
        scene, frame.colours, frame.eye_mm,
        [&](const Instance& instance) {
          return instance.ghost == ghost &&
                 frustum.shows(geometry.middle_mm(instance), geometry.reach(instance.mesh).radius_mm);
        },
        placed);
  }

  static void set_light(const gl::Program& program, const Frame& frame) {
    program.use();
    set_matrix(program.uniform("to_clip"), frame.to_clip);
    set_vector(program.uniform("ring_colour"), frame.colours.ring);
    set_vector(program.uniform("key_direction"), gl::key_direction());
    set_vector(program.uniform("fill_direction"),
               glm::normalize(-0.5 * frame.eye_right + 0.45 * frame.eye_up + 0.8 * frame.eye_back));
    set_vector(program.uniform("eye_up"), frame.eye_up);
    const glm::vec3 back(frame.eye_back);
    glUniform4f(program.uniform("look_back"), back.x, back.y, back.z, frame.parallel ? 1.0f : 0.0f);
    set_vector(program.uniform("sky_colour"), frame.colours.sky);
    set_vector(program.uniform("ground_colour"), frame.colours.ground);
    set_vector(program.uniform("key_colour"), frame.colours.key);
    set_vector(program.uniform("fill_colour"), frame.colours.fill);
  }

  void set_shadow(const gl::Program& program, const Frame& frame) const {
    set_matrix(program.uniform("to_shadow"), shadow_map.to_texture(frame.eye_mm));
    glUniform1f(program.uniform("shadow_strength"), shadow_strength);
    glUniform1i(program.uniform("shadow_map"), 0);
    glUniform1f(program.uniform("soft_mm"), soft_shadow_mm);
    set_vector(program.uniform("shadow_right"), gl::ShadowMap::right());
    set_vector(program.uniform("shadow_up"), gl::ShadowMap::up());
    set_vector(program.uniform("shadow_per_mm"), shadow_map.per_mm());
  }

  void draw_solids(const Frame& frame) const {
    // Small triangles cost a software renderer far more by their pixels than by their corners.
    const gl::Program& turned = frame.full ? soft_surface : plain_surface;
    const gl::Program& dull = frame.full ? soft_surface : vertex_lit_surface;
    for (const gl::Program* program : {&turned, &dull}) {
      set_light(*program, frame);
      set_shadow(*program, frame);
    }
    glBindTexture(GL_TEXTURE_2D, shadow_map.texture());
    geometry.draw(solids, frame.most_error_mm, [&](bool is_dull) { (is_dull ? dull : turned).use(); });
  }

  // Where nothing stands in front: drawn after the solids, at the far end of the depth range.
  void draw_backdrop(const Frame& frame) const {
    glDepthFunc(GL_LEQUAL);
    glDepthMask(GL_FALSE);
    backdrop.use();
    set_vector(backdrop.uniform("middle"), frame.colours.backdrop_middle);
    set_vector(backdrop.uniform("edge"), frame.colours.backdrop_edge);
    glBindVertexArray(no_vertices.get());
    glDrawArrays(GL_TRIANGLES, 0, 3);
    glDepthMask(GL_TRUE);
    glDepthFunc(GL_LESS);
  }

  void draw_ghosts(const Frame& frame) const {
    set_light(ghost_surface, frame);
    glUniform1f(ghost_surface.uniform("ghost"), ghost_opacity);
    // First depth alone, so that only the nearest side of a ghost shows.
    glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
    geometry.draw(ghosts, frame.most_error_mm);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glEnable(GL_BLEND);
    glDepthFunc(GL_LEQUAL);
    geometry.draw(ghosts, frame.most_error_mm);
    glDepthFunc(GL_LESS);
    glDisable(GL_BLEND);
  }

  void set_stroke(const Frame& frame) const {
    stroke.use();
    set_matrix(stroke.uniform("to_clip"), frame.to_clip);
    glUniform2f(stroke.uniform("half_size_px"), static_cast<float>(frame.size.width_px) / 2.0f,
                static_cast<float>(frame.size.height_px) / 2.0f);
  }

  void draw_strokes(const Frame& frame) const {
    if (strokes.empty()) return;
    set_stroke(frame);
    glDisable(GL_CULL_FACE);
    glEnable(GL_BLEND);
    glDepthMask(GL_FALSE);
    // A stroke that lies in a face wins over it.
    glEnable(GL_POLYGON_OFFSET_FILL);
    glPolygonOffset(-1.0f, -4.0f);
    glDepthFunc(GL_LEQUAL);
    glUniform1f(stroke.uniform("fade"), 1.0f);
    strokes.draw();
    glDepthFunc(GL_GREATER);
    glUniform1f(stroke.uniform("fade"), hidden_stroke);
    strokes.draw();
    glDepthFunc(GL_LESS);
    glDisable(GL_POLYGON_OFFSET_FILL);
    glDepthMask(GL_TRUE);
    glDisable(GL_BLEND);
    glEnable(GL_CULL_FACE);
  }

  // After all else, whatever stands before them.
  void draw_strokes_on_top(const Frame& frame) const {
    if (strokes_on_top.empty()) return;
    set_stroke(frame);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glEnable(GL_BLEND);
    glUniform1f(stroke.uniform("fade"), 1.0f);
    strokes_on_top.draw();
    glDisable(GL_BLEND);
    glEnable(GL_CULL_FACE);
    glEnable(GL_DEPTH_TEST);
  }

  gl::Program plain_surface, soft_surface, vertex_lit_surface, ghost_surface, part, backdrop, stroke;
  gl::VertexArray no_vertices;
  gl::Geometry geometry;
  gl::Placed solids, ghosts, picked;
  gl::Strokes strokes, strokes_on_top;
  gl::Target target;
  gl::ShadowMap shadow_map;
  gl::PartTarget part_target;
  GLint samples = 0;
  GLint largest_px = 0;
};

void load_gl(Renderer::GetProc get_proc) {
  static std::mutex one_at_a_time; // glad keeps what it loads for the whole program
  static bool loaded = false;
  const std::lock_guard hold(one_at_a_time);
  if (loaded) return;
  const int version = gladLoadGL(get_proc);
  if (version == 0) throw std::runtime_error("OpenGL could not be loaded");
  if (GLAD_VERSION_MAJOR(version) * 10 + GLAD_VERSION_MINOR(version) < 33)
    throw std::runtime_error(
        fmt::format("OpenGL 3.3 is needed; this one is {}.{}. LIBGL_ALWAYS_SOFTWARE=1 asks for software drawing",
                    GLAD_VERSION_MAJOR(version), GLAD_VERSION_MINOR(version)));
  loaded = true;
}

Renderer::Renderer(GetProc get_proc, const std::filesystem::path& shader_folder) {
  load_gl(get_proc);
  gl::StateGuard guard;
  impl_ = std::make_unique<Impl>(shader_folder);
}

Renderer::~Renderer() = default;

void Renderer::upload(const std::vector<Mesh>& meshes) {
  gl::StateGuard guard;
  impl_->geometry.upload(meshes);
  impl_->shadow_map.forget();
}

void Renderer::draw(const Scene& scene, const Camera& camera, Theme theme, RenderSize size, bool smooth, double share) {
  impl_->check(size);
  const double px_per_mm = size.height_px / camera.height_mm;
  const auto part_of = [share](int px) { return std::max(1, static_cast<int>(std::lround(share * px))); };
  size = {part_of(size.width_px), part_of(size.height_px)};
  gl::StateGuard guard;
  set_state();
  const Frame frame(camera, theme, size, smooth || !software());
  impl_->target.prepare(size, smooth ? impl_->samples : 0);
  impl_->place(scene, frame, impl_->solids, false);
  impl_->place(scene, frame, impl_->ghosts, true);
  impl_->strokes.place(scene.strokes, false, frame.eye_mm, px_per_mm, share, frame.colours);
  impl_->strokes_on_top.place(scene.strokes, true, frame.eye_mm, px_per_mm, share, frame.colours);
  impl_->shadow_map.update(scene, impl_->geometry, frame.full ? 1024 : 512);
  impl_->target.bind();
  glClear(GL_DEPTH_BUFFER_BIT);
  impl_->draw_solids(frame);
  impl_->draw_backdrop(frame);
  impl_->draw_strokes(frame);
  impl_->draw_ghosts(frame);
  impl_->draw_strokes_on_top(frame);
  impl_->target.resolve();
}

void Renderer::finish() const {
  glFinish();
}

unsigned Renderer::texture() const {
  return impl_->target.texture();
}

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

std::optional<std::size_t> Renderer::pick(const Scene& scene, const Camera& camera, RenderSize size, int x_px,
                                          int y_px) {
  if (x_px < 0 || y_px < 0 || x_px >= size.width_px || y_px >= size.height_px) return std::nullopt;
  impl_->check(size);
  gl::StateGuard guard;
  set_state();
  // The one pixel is drawn as the whole of a picture, so that almost everything lies outside it.
  Frame frame(camera, Theme::day, size, false);
  const glm::dvec2 middle{(2.0 * x_px + 1.0) / size.width_px - 1.0, 1.0 - (2.0 * y_px + 1.0) / size.height_px};
  frame.to_clip = glm::scale(glm::dmat4{1.0}, {size.width_px, size.height_px, 1.0}) *
                  glm::translate(glm::dmat4{1.0}, {-middle, 0.0}) * frame.to_clip;
  impl_->part_target.clear();
  impl_->part.use();
  set_matrix(impl_->part.uniform("to_clip"), frame.to_clip);
  // A ghost is found where there is nothing solid.
  for (const bool ghosts : {false, true}) {
    impl_->place(scene, frame, impl_->picked, ghosts);
    impl_->geometry.draw(impl_->picked, frame.most_error_mm);
    if (const auto part = impl_->part_target.part()) return part;
  }
  return std::nullopt;
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
