#include "render/targets.hpp"

#include <stdexcept>

namespace phasewright::gl {

namespace {

void check_complete(const char* what) {
  if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
    throw std::runtime_error(std::string("this OpenGL cannot draw into ") + what);
}

void edges_and_filter(GLenum filter) {
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, static_cast<GLint>(filter));
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, static_cast<GLint>(filter));
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
}

} // namespace

void Target::prepare(RenderSize size, int samples) {
  if (size.width_px == size_.width_px && size.height_px == size_.height_px && samples == samples_) return;
  texture_ = make_texture();
  glBindTexture(GL_TEXTURE_2D, texture_.get());
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, size.width_px, size.height_px, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
  edges_and_filter(GL_LINEAR);
  resolved_ = make_framebuffer();
  glBindFramebuffer(GL_FRAMEBUFFER, resolved_.get());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture_.get(), 0);
  depth_ = make_renderbuffer();
  glBindRenderbuffer(GL_RENDERBUFFER, depth_.get());
  if (samples > 1) {
    check_complete("a picture of that size");
    glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, GL_DEPTH_COMPONENT24, size.width_px, size.height_px);
    colour_ = make_renderbuffer();
    glBindRenderbuffer(GL_RENDERBUFFER, colour_.get());
    glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, GL_RGBA8, size.width_px, size.height_px);
    drawn_ = make_framebuffer();
    glBindFramebuffer(GL_FRAMEBUFFER, drawn_.get());
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, colour_.get());
  } else {
    glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT24, size.width_px, size.height_px);
    colour_.reset();
    drawn_.reset();
  }
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, depth_.get());
  check_complete("a picture of that size");
  size_ = size;
  samples_ = samples;
}

void Target::bind() const {
  glBindFramebuffer(GL_FRAMEBUFFER, drawn_.get() != 0 ? drawn_.get() : resolved_.get());
  glViewport(0, 0, size_.width_px, size_.height_px);
}

void Target::resolve() const {
  if (drawn_.get() == 0) return;
  glBindFramebuffer(GL_READ_FRAMEBUFFER, drawn_.get());
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, resolved_.get());
  glBlitFramebuffer(0, 0, size_.width_px, size_.height_px, 0, 0, size_.width_px, size_.height_px, GL_COLOR_BUFFER_BIT,
                    GL_NEAREST);
}

PartTarget::PartTarget() : parts_(make_texture()), depth_(make_renderbuffer()), framebuffer_(make_framebuffer()) {
  glBindTexture(GL_TEXTURE_2D, parts_.get());
  glTexImage2D(GL_TEXTURE_2D, 0, GL_R32UI, 1, 1, 0, GL_RED_INTEGER, GL_UNSIGNED_INT, nullptr);
  edges_and_filter(GL_NEAREST);
  glBindRenderbuffer(GL_RENDERBUFFER, depth_.get());
  glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT24, 1, 1);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, parts_.get(), 0);
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, depth_.get());
  check_complete("a picture of part numbers");
}

void PartTarget::clear() const {
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glViewport(0, 0, 1, 1);
  constexpr GLuint nothing[4] = {0, 0, 0, 0};
  glClearBufferuiv(GL_COLOR, 0, nothing);
  glClear(GL_DEPTH_BUFFER_BIT);
}

std::optional<std::size_t> PartTarget::part() const {
  GLuint counted_from_one = 0;
  glReadPixels(0, 0, 1, 1, GL_RED_INTEGER, GL_UNSIGNED_INT, &counted_from_one);
  if (counted_from_one == 0) return std::nullopt;
  return counted_from_one - 1;
}

} // namespace phasewright::gl
