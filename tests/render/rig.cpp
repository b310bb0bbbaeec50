#include "render/rig.hpp"

#include <glad/gl.h>

#include <glm/ext/matrix_transform.hpp>

#include <algorithm>
#include <cstdlib>
#include <memory>
#include <string_view>

namespace phasewright::testing {

namespace {

// Not in OpenGL 3.3, so not in our loader; contexts that are newer than asked for have them.
constexpr GLenum debug_output = 0x92E0;
constexpr GLenum debug_output_synchronous = 0x8242;
constexpr GLenum debug_type_error = 0x824C;
using DebugCallback = void(GLAD_API_PTR*)(GLenum, GLenum, GLuint, GLenum, GLsizei, const GLchar*, const void*);
using SetDebugCallback = void(GLAD_API_PTR*)(DebugCallback, const void*);

void GLAD_API_PTR note(GLenum, GLenum type, GLuint, GLenum, GLsizei, const GLchar* words, const void* into) {
  if (type == debug_type_error) static_cast<std::vector<std::string>*>(const_cast<void*>(into))->emplace_back(words);
}

void listen(std::vector<std::string>& complaints) {
  const auto set = reinterpret_cast<SetDebugCallback>(OffscreenContext::get_proc()("glDebugMessageCallback"));
  if (set == nullptr) return;
  glEnable(debug_output);
  glEnable(debug_output_synchronous);
  set(note, &complaints);
  while (glGetError() != GL_NO_ERROR) {
  } // from a context that has none of this
}

} // namespace

bool opengl_is_missing_and_known() {
  const char* known = std::getenv("PHASEWRIGHT_NO_GL");
  return known != nullptr && std::string_view(known) == "1";
}

std::filesystem::path shader_folder() {
  return PHASEWRIGHT_SOURCE_RESOURCES "/shaders";
}

void with_context(const std::function<void(OffscreenContext&)>& body) {
  std::unique_ptr<OffscreenContext> context;
  try {
    context = std::make_unique<OffscreenContext>();
  } catch (const std::runtime_error& error) {
    if (!opengl_is_missing_and_known()) FAIL(error.what() << "; PHASEWRIGHT_NO_GL=1 skips what needs it");
    WARN("No OpenGL here: skipped. " << error.what());
    SUCCEED("skipped");
    return;
  }
  body(*context);
}

void with_renderer(const std::function<void(Renderer&)>& body, Complaints complaints) {
  with_context([&](OffscreenContext&) {
    std::vector<std::string> said;
    Renderer renderer(OffscreenContext::get_proc(), shader_folder());
    listen(said);
    body(renderer);
    CHECK(glGetError() == GL_NO_ERROR);
    if (complaints == Complaints::none) CHECK(said == std::vector<std::string>{});
  });
}

Mesh box(glm::vec3 low_mm, glm::vec3 high_mm) {
  Mesh mesh;
  for (int axis = 0; axis < 3; ++axis)
    for (const float side : {-1.0f, 1.0f}) {
      const int u = (axis + 1) % 3;
      const int v = (axis + 2) % 3;
      glm::vec3 normal(0.0f);
      normal[axis] = side;
      const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
      for (const auto& [at_u, at_v] : {std::pair{false, false}, {true, false}, {true, true}, {false, true}}) {
        glm::vec3 corner;
        corner[axis] = side < 0 ? low_mm[axis] : high_mm[axis];
        corner[u] = at_u ? high_mm[u] : low_mm[u];
        corner[v] = at_v ? high_mm[v] : low_mm[v];
        mesh.vertices.push_back({corner, normal});
      }
      if (side > 0)
        for (const std::uint32_t i : {0U, 1U, 2U, 0U, 2U, 3U}) mesh.indices.push_back(first + i);
      else
        for (const std::uint32_t i : {0U, 2U, 1U, 0U, 3U, 2U}) mesh.indices.push_back(first + i);
    }
  return mesh;
}

Instance placed(std::size_t mesh, Material material, glm::dvec3 at_mm, std::size_t part, bool ghost) {
  return {.mesh = mesh,
          .part = part,
          .material = material,
          .ghost = ghost,
          .placement = glm::translate(glm::dmat4(1.0), at_mm)};
}

Camera straight_on() {
  Camera camera;
  camera.height_mm = 100;
  camera.parallel = true;
  return camera;
}

Pixel at(const Image& image, int x_px, int y_px) {
  const std::size_t i =
      4 * (static_cast<std::size_t>(y_px) * static_cast<std::size_t>(image.width_px) + static_cast<std::size_t>(x_px));
  return {image.rgba.at(i), image.rgba.at(i + 1), image.rgba.at(i + 2), image.rgba.at(i + 3)};
}

double brightness(Pixel pixel) {
  return 0.2126 * pixel.r + 0.7152 * pixel.g + 0.0722 * pixel.b;
}

int difference(Pixel a, Pixel b) {
  return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

Image drawn(Renderer& renderer, const Scene& scene, const Camera& camera, Theme theme, RenderSize size, bool smooth) {
  renderer.draw(scene, camera, theme, size, smooth);
  return renderer.read();
}

} // namespace phasewright::testing
