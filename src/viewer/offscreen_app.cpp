#include "viewer/offscreen_app.hpp"

#include <glad/gl.h>

#include <algorithm>
#include <stdexcept>

namespace phasewright::viewer {

OffscreenApp::OffscreenApp(Workbench bench, const ViewerOptions& options)
    : width_px_(options.width_px), height_px_(options.height_px) {
  context_.make_current();
  app_ = std::make_unique<App>(std::move(bench), options, OffscreenContext::get_proc(), false);
  glGenRenderbuffers(1, &colour_);
  glBindRenderbuffer(GL_RENDERBUFFER, colour_);
  glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, width_px_, height_px_);
  glGenFramebuffers(1, &framebuffer_);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, colour_);
  if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
    throw std::runtime_error("OpenGL cannot draw a picture of that size.");
}

OffscreenApp::~OffscreenApp() {
  glDeleteFramebuffers(1, &framebuffer_);
  glDeleteRenderbuffers(1, &colour_);
}

Next OffscreenApp::frame(double passed_s) {
  return app_->frame({.framebuffer = framebuffer_,
                      .width_pt = width_px_,
                      .height_pt = height_px_,
                      .width_px = width_px_,
                      .height_px = height_px_,
                      .screen_scale = 1.0},
                     passed_s);
}

Next OffscreenApp::finished_frame(double passed_s) {
  const Next next = frame(passed_s);
  glFinish();
  return next;
}

Image OffscreenApp::read() const {
  Image image;
  image.width_px = width_px_;
  image.height_px = height_px_;
  const auto row = static_cast<std::size_t>(width_px_) * 4;
  std::vector<std::uint8_t> upward(row * static_cast<std::size_t>(height_px_));
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
  glPixelStorei(GL_PACK_ALIGNMENT, 4);
  glReadPixels(0, 0, width_px_, height_px_, GL_RGBA, GL_UNSIGNED_BYTE, upward.data());
  image.rgba.resize(upward.size());
  for (std::size_t y = 0; y < static_cast<std::size_t>(height_px_); ++y) {
    const auto from =
        upward.begin() + static_cast<std::ptrdiff_t>((static_cast<std::size_t>(height_px_) - 1 - y) * row);
    std::copy_n(from, row, image.rgba.begin() + static_cast<std::ptrdiff_t>(y * row));
  }
  // What lies under see-through edges shows in the alpha channel; a picture of a screen is solid.
  for (std::size_t i = 3; i < image.rgba.size(); i += 4) image.rgba[i] = 255;
  return image;
}

} // namespace phasewright::viewer
