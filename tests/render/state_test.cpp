// Others draw in the same context: their state does no harm to the picture, and is theirs again afterwards.
#include "render/rig.hpp"

#include <glad/gl.h>

#include <array>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr std::array<GLenum, 6> switches{GL_BLEND,        GL_DEPTH_TEST,   GL_CULL_FACE,
                                         GL_SCISSOR_TEST, GL_STENCIL_TEST, GL_POLYGON_OFFSET_FILL};
constexpr std::array<GLenum, 17> figures{GL_DRAW_FRAMEBUFFER_BINDING,
                                         GL_READ_FRAMEBUFFER_BINDING,
                                         GL_RENDERBUFFER_BINDING,
                                         GL_CURRENT_PROGRAM,
                                         GL_VERTEX_ARRAY_BINDING,
                                         GL_ARRAY_BUFFER_BINDING,
                                         GL_ACTIVE_TEXTURE,
                                         GL_DEPTH_FUNC,
                                         GL_CULL_FACE_MODE,
                                         GL_FRONT_FACE,
                                         GL_PACK_ALIGNMENT,
                                         GL_BLEND_SRC_RGB,
                                         GL_BLEND_DST_RGB,
                                         GL_BLEND_SRC_ALPHA,
                                         GL_BLEND_DST_ALPHA,
                                         GL_BLEND_EQUATION_RGB,
                                         GL_BLEND_EQUATION_ALPHA};

std::vector<GLint> state() {
  std::vector<GLint> all;
  for (const GLenum what : switches) all.push_back(glIsEnabled(what));
  for (const GLenum what : figures) {
    GLint value = 0;
    glGetIntegerv(what, &value);
    all.push_back(value);
  }
  std::array<GLint, 4> four{};
  for (const GLenum what : std::array<GLenum, 3>{GL_VIEWPORT, GL_SCISSOR_BOX, GL_COLOR_WRITEMASK}) {
    glGetIntegerv(what, four.data());
    all.insert(all.end(), four.begin(), four.end());
  }
  std::array<GLint, 2> mode{};
  glGetIntegerv(GL_POLYGON_MODE, mode.data());
  all.push_back(mode[0]);
  GLint depth_mask = 0;
  glGetIntegerv(GL_DEPTH_WRITEMASK, &depth_mask);
  all.push_back(depth_mask);
  const GLint unit = all[switches.size() + 6];
  for (const GLenum texture_unit : std::array<GLenum, 2>{GL_TEXTURE0, GL_TEXTURE1}) {
    glActiveTexture(texture_unit);
    for (const GLenum what : std::array<GLenum, 2>{GL_TEXTURE_BINDING_2D, GL_SAMPLER_BINDING}) {
      GLint value = 0;
      glGetIntegerv(what, &value);
      all.push_back(value);
    }
  }
  glActiveTexture(static_cast<GLenum>(unit));
  return all;
}

// Everything otherwise than a fresh context has it, with objects of its own bound.
struct Disorder {
  GLuint texture = 0, framebuffer = 0, renderbuffer = 0, vertex_array = 0, buffer = 0, sampler = 0;

  Disorder() {
    glGenTextures(1, &texture);
    glGenFramebuffers(1, &framebuffer);
    glGenRenderbuffers(1, &renderbuffer);
    glGenVertexArrays(1, &vertex_array);
    glGenBuffers(1, &buffer);
    glGenSamplers(1, &sampler);
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, texture);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, 8, 8, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
    glBindSampler(0, sampler);
    glActiveTexture(GL_TEXTURE1);
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture, 0);
    glBindRenderbuffer(GL_RENDERBUFFER, renderbuffer);
    glBindVertexArray(vertex_array);
    glBindBuffer(GL_ARRAY_BUFFER, buffer);
    for (const GLenum what : switches) glEnable(what);
    glDisable(GL_DEPTH_TEST);
    glDepthFunc(GL_NEVER);
    glDepthMask(GL_FALSE);
    glCullFace(GL_FRONT);
    glFrontFace(GL_CW);
    glStencilFunc(GL_NEVER, 1, 1);
    glPolygonOffset(50.0f, 5000.0f);
    glPolygonMode(GL_FRONT_AND_BACK, GL_LINE);
    glBlendFuncSeparate(GL_ONE, GL_ONE, GL_DST_COLOR, GL_ZERO);
    glBlendEquationSeparate(GL_FUNC_SUBTRACT, GL_MAX);
    glColorMask(GL_FALSE, GL_TRUE, GL_FALSE, GL_TRUE);
    glViewport(1, 2, 3, 4);
    glScissor(2, 3, 4, 5);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
  }
};

} // namespace

TEST_CASE("Another's state neither shows in the picture nor is lost") {
  with_renderer([](Renderer& renderer) {
    renderer.upload({box({-10, -10, -10}, {10, 10, 10}), box({-40, -40, -1}, {40, 40, 1})});
    Scene scene;
    scene.instances = {placed(1, Material::plate, {0, 0, -14}, 2), placed(0, Material::sprocket_steel, {3, 2, 0}, 1),
                       placed(0, Material::inlet, {-12, 2, 6}, 0, true)};
    scene.strokes = {{.points_mm = {{-30, -30, 4}, {20, 35, 4}}, .width_px = 2.0f}};
    Camera camera = straight_on();
    camera.yaw_deg = 15.0;
    for (const bool smooth : {false, true}) {
      const Image tidy = drawn(renderer, scene, camera, Theme::day, square, smooth);
      const auto part = renderer.pick(scene, camera, square, 105, 97);
      const Disorder disorder;
      const std::vector<GLint> before = state();
      renderer.upload({box({-10, -10, -10}, {10, 10, 10}), box({-40, -40, -1}, {40, 40, 1})});
      CHECK(state() == before);
      renderer.draw(scene, camera, Theme::day, square, smooth);
      CHECK(state() == before);
      CHECK(renderer.pick(scene, camera, square, 105, 97) == part);
      CHECK(part == std::optional<std::size_t>(1));
      CHECK(state() == before);
      CHECK(renderer.read().rgba == tidy.rgba);
      CHECK(state() == before);
      // A picture of another size makes its buffers anew, in the same disorder.
      renderer.draw(scene, camera, Theme::day, {50, 40}, !smooth);
      CHECK(state() == before);
    }
  });
}
