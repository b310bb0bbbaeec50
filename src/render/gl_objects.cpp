#include "render/gl_objects.hpp"

#include <fmt/format.h>

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace phasewright::gl {

void delete_buffer(GLuint name) { glDeleteBuffers(1, &name); }
void delete_vertex_array(GLuint name) { glDeleteVertexArrays(1, &name); }
void delete_texture(GLuint name) { glDeleteTextures(1, &name); }
void delete_framebuffer(GLuint name) { glDeleteFramebuffers(1, &name); }
void delete_renderbuffer(GLuint name) { glDeleteRenderbuffers(1, &name); }
void delete_program(GLuint name) { glDeleteProgram(name); }

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

GLuint compiled(GLenum kind, const std::filesystem::path& file) {
  const std::string text = read_text(file);
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

void enable(GLenum what, GLboolean on) {
  if (on == GL_TRUE) glEnable(what);
  else glDisable(what);
}

} // namespace

Buffer make_buffer() { return made<Buffer>(glGenBuffers); }
VertexArray make_vertex_array() { return made<VertexArray>(glGenVertexArrays); }
Texture make_texture() { return made<Texture>(glGenTextures); }
Framebuffer make_framebuffer() { return made<Framebuffer>(glGenFramebuffers); }
Renderbuffer make_renderbuffer() { return made<Renderbuffer>(glGenRenderbuffers); }

Program::Program(const std::filesystem::path& vertex_file, const std::filesystem::path& fragment_file)
    : name_(glCreateProgram()) {
  const GLuint vertex = compiled(GL_VERTEX_SHADER, vertex_file);
  const GLuint fragment = compiled(GL_FRAGMENT_SHADER, fragment_file);
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
  throw std::runtime_error(fmt::format("{} and {} do not link: {}", vertex_file.string(), fragment_file.string(), words));
}

StateGuard::StateGuard()
    : blend_(glIsEnabled(GL_BLEND)), depth_(glIsEnabled(GL_DEPTH_TEST)), cull_(glIsEnabled(GL_CULL_FACE)),
      scissor_(glIsEnabled(GL_SCISSOR_TEST)) {
  glGetIntegerv(GL_DRAW_FRAMEBUFFER_BINDING, &draw_framebuffer_);
  glGetIntegerv(GL_READ_FRAMEBUFFER_BINDING, &read_framebuffer_);
  glGetIntegerv(GL_CURRENT_PROGRAM, &program_);
  glGetIntegerv(GL_VERTEX_ARRAY_BINDING, &vertex_array_);
  glGetIntegerv(GL_ACTIVE_TEXTURE, &active_texture_);
  glGetIntegerv(GL_TEXTURE_BINDING_2D, &texture_);
  glGetIntegerv(GL_ARRAY_BUFFER_BINDING, &array_buffer_);
  glGetIntegerv(GL_VIEWPORT, viewport_);
  glGetIntegerv(GL_SCISSOR_BOX, scissor_box_);
  glGetBooleanv(GL_DEPTH_WRITEMASK, &depth_mask_);
}

StateGuard::~StateGuard() {
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, static_cast<GLuint>(draw_framebuffer_));
  glBindFramebuffer(GL_READ_FRAMEBUFFER, static_cast<GLuint>(read_framebuffer_));
  glUseProgram(static_cast<GLuint>(program_));
  glBindVertexArray(static_cast<GLuint>(vertex_array_));
  glActiveTexture(static_cast<GLenum>(active_texture_));
  glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(texture_));
  glBindBuffer(GL_ARRAY_BUFFER, static_cast<GLuint>(array_buffer_));
  glViewport(viewport_[0], viewport_[1], viewport_[2], viewport_[3]);
  glScissor(scissor_box_[0], scissor_box_[1], scissor_box_[2], scissor_box_[3]);
  enable(GL_BLEND, blend_);
  enable(GL_DEPTH_TEST, depth_);
  enable(GL_CULL_FACE, cull_);
  enable(GL_SCISSOR_TEST, scissor_);
  glDepthMask(depth_mask_);
}

} // namespace phasewright::gl
