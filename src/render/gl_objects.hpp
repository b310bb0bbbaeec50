// OpenGL objects that free themselves. Each needs the context that made it to be current when it goes.
#pragma once

#include <glad/gl.h>

#include <cstddef>
#include <filesystem>
#include <string>
#include <utility>

namespace phasewright::gl {

// One name of an OpenGL object and the call that deletes it.
template <void (*Delete)(GLuint)>
class Name {
public:
  Name() = default;
  explicit Name(GLuint name) : name_(name) {}
  ~Name() { reset(); }
  Name(Name&& other) noexcept : name_(std::exchange(other.name_, 0)) {}
  Name& operator=(Name&& other) noexcept {
    if (this != &other) {
      reset();
      name_ = std::exchange(other.name_, 0);
    }
    return *this;
  }
  Name(const Name&) = delete;
  Name& operator=(const Name&) = delete;

  [[nodiscard]] GLuint get() const { return name_; }
  void reset() {
    if (name_ != 0) Delete(std::exchange(name_, 0));
  }

private:
  GLuint name_ = 0;
};

void delete_buffer(GLuint name);
void delete_vertex_array(GLuint name);
void delete_texture(GLuint name);
void delete_framebuffer(GLuint name);
void delete_renderbuffer(GLuint name);
void delete_program(GLuint name);

using Buffer = Name<delete_buffer>;
using VertexArray = Name<delete_vertex_array>;
using Texture = Name<delete_texture>;
using Framebuffer = Name<delete_framebuffer>;
using Renderbuffer = Name<delete_renderbuffer>;
using ProgramName = Name<delete_program>;

[[nodiscard]] Buffer make_buffer();
[[nodiscard]] VertexArray make_vertex_array();
[[nodiscard]] Texture make_texture();
[[nodiscard]] Framebuffer make_framebuffer();
[[nodiscard]] Renderbuffer make_renderbuffer();

// A vertex and a fragment shader, linked. Where given, `common_file` is put in after the first line of both, with the
// macro `defined` set. Throws std::runtime_error with the compiler's words and the file's name.
class Program {
public:
  Program(const std::filesystem::path& vertex_file, const std::filesystem::path& fragment_file,
          const std::filesystem::path& common_file = {}, const std::string& defined = {});
  void use() const { glUseProgram(name_.get()); }
  [[nodiscard]] GLint uniform(const char* name) const { return glGetUniformLocation(name_.get(), name); }

private:
  ProgramName name_;
};

// Puts back what a draw changes, so that whoever shares the context finds it as it was.
class StateGuard {
public:
  StateGuard();
  ~StateGuard();
  StateGuard(const StateGuard&) = delete;
  StateGuard& operator=(const StateGuard&) = delete;

  static constexpr std::size_t switch_count = 7;
  static constexpr std::size_t blending_count = 6;

private:
  GLint draw_framebuffer_, read_framebuffer_, renderbuffer_, program_, vertex_array_, array_buffer_;
  GLint active_texture_, texture_, sampler_;
  GLint viewport_[4], scissor_box_[4], polygon_mode_[2];
  GLint depth_function_, cull_mode_, front_face_, pack_alignment_;
  GLint blending_[blending_count];
  GLfloat offset_factor_, offset_units_;
  GLboolean switches_[switch_count], depth_mask_, colour_mask_[4];
};

} // namespace phasewright::gl
