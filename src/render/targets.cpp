#include "render/targets.hpp"

#include <array>
#include <stdexcept>

namespace phasewright::gl {

namespace {

void check_complete(const char* what) {
  if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
    throw std::runtime_error(std::string("this OpenGL cannot draw into ") + what);
}

void nearest_edges(GLenum filter) {
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
  nearest_edges(GL_LINEAR);
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

ShadowMap::ShadowMap() : texture_(make_texture()), framebuffer_(make_framebuffer()) {
  glBindTexture(GL_TEXTURE_2D, texture_.get());
  glTexImage2D(GL_TEXTURE_2D, 0, GL_DEPTH_COMPONENT24, side_px, side_px, 0, GL_DEPTH_COMPONENT, GL_UNSIGNED_INT, nullptr);
  nearest_edges(GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_MODE, GL_COMPARE_REF_TO_TEXTURE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_FUNC, GL_LEQUAL);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_TEXTURE_2D, texture_.get(), 0);
  glDrawBuffer(GL_NONE);
  glReadBuffer(GL_NONE);
  check_complete("a shadow map");
}

void ShadowMap::bind() const {
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glViewport(0, 0, side_px, side_px);
}

void PartTarget::prepare(RenderSize size) {
  if (size.width_px == size_.width_px && size.height_px == size_.height_px) return;
  parts_ = make_texture();
  glBindTexture(GL_TEXTURE_2D, parts_.get());
  glTexImage2D(GL_TEXTURE_2D, 0, GL_R32UI, size.width_px, size.height_px, 0, GL_RED_INTEGER, GL_UNSIGNED_INT, nullptr);
  nearest_edges(GL_NEAREST);
  depth_ = make_renderbuffer();
  glBindRenderbuffer(GL_RENDERBUFFER, depth_.get());
  glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT24, size.width_px, size.height_px);
  framebuffer_ = make_framebuffer();
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, parts_.get(), 0);
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, depth_.get());
  check_complete("a picture of part numbers");
  size_ = size;
}

void PartTarget::bind() const {
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glViewport(0, 0, size_.width_px, size_.height_px);
}

} // namespace phasewright::gl
