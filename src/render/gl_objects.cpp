#include "render/gl_objects.hpp"

#include <fmt/format.h>

#include <array>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace phasewright::gl {

void delete_buffer(GLuint name) {
  glDeleteBuffers(1, &name);
}
void delete_vertex_array(GLuint name) {
  glDeleteVertexArrays(1, &name);
}
void delete_texture(GLuint name) {
  glDeleteTextures(1, &name);
}
void delete_framebuffer(GLuint name) {
  glDeleteFramebuffers(1, &name);
}
void delete_renderbuffer(GLuint name) {
  glDeleteRenderbuffers(1, &name);
}
void delete_program(GLuint name) {
  glDeleteProgram(name);
}

namespace {

template <class T>
T made(void (*generate)(GLsizei, GLuint*)) {
  GLuint name = 0;
  generate(1, &name);
  return T(name);
}

std::string read_text(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) throw std::runtime_error(fmt::format("the shader {} cannot be read", file.string()));
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

GLuint compiled(GLenum kind, const std::filesystem::path& file, const std::string& common) {
  std::string text = read_text(file);
  // The version has to stay the first line.
  if (!common.empty()) text.insert(text.find('\n') + 1, common + "#line 2\n");
  const char* source = text.c_str();
  const GLuint shader = glCreateShader(kind);
  glShaderSource(shader, 1, &source, nullptr);
  glCompileShader(shader);
  GLint good = 0;
  glGetShaderiv(shader, GL_COMPILE_STATUS, &good);
  if (good == GL_TRUE) return shader;
  char words[1024] = "";
  glGetShaderInfoLog(shader, sizeof words, nullptr, words);
  glDeleteShader(shader);
  throw std::runtime_error(fmt::format("the shader {} does not compile: {}", file.string(), words));
}

constexpr std::array<GLenum, StateGuard::switch_count> switches{
    GL_BLEND,        GL_DEPTH_TEST,          GL_CULL_FACE,       GL_SCISSOR_TEST,
    GL_STENCIL_TEST, GL_POLYGON_OFFSET_FILL, GL_FRAMEBUFFER_SRGB};
constexpr std::array<GLenum, StateGuard::blending_count> blending{GL_BLEND_EQUATION_RGB, GL_BLEND_EQUATION_ALPHA,
                                                                  GL_BLEND_SRC_RGB,      GL_BLEND_DST_RGB,
                                                                  GL_BLEND_SRC_ALPHA,    GL_BLEND_DST_ALPHA};

void enable(GLenum what, GLboolean on) {
  if (on == GL_TRUE)
    glEnable(what);
  else
    glDisable(what);
}

} // namespace

Buffer make_buffer() {
  return made<Buffer>(glGenBuffers);
}
VertexArray make_vertex_array() {
  return made<VertexArray>(glGenVertexArrays);
}
Texture make_texture() {
  return made<Texture>(glGenTextures);
}
Framebuffer make_framebuffer() {
  return made<Framebuffer>(glGenFramebuffers);
}
Renderbuffer make_renderbuffer() {
  return made<Renderbuffer>(glGenRenderbuffers);
}

Program::Program(const std::filesystem::path& vertex_file, const std::filesystem::path& fragment_file,
                 const std::filesystem::path& common_file, const std::string& defined)
    : name_(glCreateProgram()) {
  std::string common;
  if (!defined.empty()) common += fmt::format("#define {}\n", defined);
  if (!common_file.empty()) common += read_text(common_file);
  const GLuint vertex = compiled(GL_VERTEX_SHADER, vertex_file, common);
  const GLuint fragment = compiled(GL_FRAGMENT_SHADER, fragment_file, common);
  glAttachShader(name_.get(), vertex);
  glAttachShader(name_.get(), fragment);
  glLinkProgram(name_.get());
  glDeleteShader(vertex);
  glDeleteShader(fragment);
  GLint good = 0;
  glGetProgramiv(name_.get(), GL_LINK_STATUS, &good);
  if (good == GL_TRUE) return;
  char words[1024] = "";
  glGetProgramInfoLog(name_.get(), sizeof words, nullptr, words);
  throw std::runtime_error(
      fmt::format("{} and {} do not link: {}", vertex_file.string(), fragment_file.string(), words));
}

StateGuard::StateGuard() {
  for (std::size_t i = 0; i < switches.size(); ++i) switches_[i] = glIsEnabled(switches[i]);
  glGetIntegerv(GL_DRAW_FRAMEBUFFER_BINDING, &draw_framebuffer_);
  glGetIntegerv(GL_READ_FRAMEBUFFER_BINDING, &read_framebuffer_);
  glGetIntegerv(GL_RENDERBUFFER_BINDING, &renderbuffer_);
  glGetIntegerv(GL_CURRENT_PROGRAM, &program_);
  glGetIntegerv(GL_VERTEX_ARRAY_BINDING, &vertex_array_);
  glGetIntegerv(GL_ARRAY_BUFFER_BINDING, &array_buffer_);
  glGetIntegerv(GL_ACTIVE_TEXTURE, &active_texture_);
  // All that is drawn here uses the first texture unit.
  glActiveTexture(GL_TEXTURE0);
  glGetIntegerv(GL_TEXTURE_BINDING_2D, &texture_);
  glGetIntegerv(GL_SAMPLER_BINDING, &sampler_);
  glGetIntegerv(GL_VIEWPORT, viewport_);
  glGetIntegerv(GL_SCISSOR_BOX, scissor_box_);
  glGetIntegerv(GL_DEPTH_FUNC, &depth_function_);
  glGetIntegerv(GL_CULL_FACE_MODE, &cull_mode_);
  glGetIntegerv(GL_FRONT_FACE, &front_face_);
  glGetIntegerv(GL_POLYGON_MODE, polygon_mode_);
  glGetIntegerv(GL_PACK_ALIGNMENT, &pack_alignment_);
  for (std::size_t i = 0; i < blending.size(); ++i) glGetIntegerv(blending[i], &blending_[i]);
  glGetFloatv(GL_POLYGON_OFFSET_FACTOR, &offset_factor_);
  glGetFloatv(GL_POLYGON_OFFSET_UNITS, &offset_units_);
  glGetBooleanv(GL_DEPTH_WRITEMASK, &depth_mask_);
  glGetBooleanv(GL_COLOR_WRITEMASK, colour_mask_);
}

StateGuard::~StateGuard() {
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, static_cast<GLuint>(draw_framebuffer_));
  glBindFramebuffer(GL_READ_FRAMEBUFFER, static_cast<GLuint>(read_framebuffer_));
  glBindRenderbuffer(GL_RENDERBUFFER, static_cast<GLuint>(renderbuffer_));
  glUseProgram(static_cast<GLuint>(program_));
  glBindVertexArray(static_cast<GLuint>(vertex_array_));
  glBindBuffer(GL_ARRAY_BUFFER, static_cast<GLuint>(array_buffer_));
  glActiveTexture(GL_TEXTURE0);
  glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(texture_));
  glBindSampler(0, static_cast<GLuint>(sampler_));
  glActiveTexture(static_cast<GLenum>(active_texture_));
  glViewport(viewport_[0], viewport_[1], viewport_[2], viewport_[3]);
  glScissor(scissor_box_[0], scissor_box_[1], scissor_box_[2], scissor_box_[3]);
  glDepthFunc(static_cast<GLenum>(depth_function_));
  glCullFace(static_cast<GLenum>(cull_mode_));
  glFrontFace(static_cast<GLenum>(front_face_));
  glPolygonMode(GL_FRONT_AND_BACK, static_cast<GLenum>(polygon_mode_[0]));
  glPixelStorei(GL_PACK_ALIGNMENT, pack_alignment_);
  const auto blend = [this](std::size_t i) { return static_cast<GLenum>(blending_[i]); };
  glBlendEquationSeparate(blend(0), blend(1));
  glBlendFuncSeparate(blend(2), blend(3), blend(4), blend(5));
  glPolygonOffset(offset_factor_, offset_units_);
  glDepthMask(depth_mask_);
  glColorMask(colour_mask_[0], colour_mask_[1], colour_mask_[2], colour_mask_[3]);
  for (std::size_t i = 0; i < switches.size(); ++i) enable(switches[i], switches_[i]);
}

} // namespace phasewright::gl
