// What a picture is drawn into: colour and depth, multisampled or not, and the texture it ends up in.
#pragma once

#include "render/gl_objects.hpp"
#include "render/renderer.hpp"

namespace phasewright::gl {

class Target {
public:
  // Makes or remakes the buffers for that size. `samples` 0 or 1 = not multisampled. Throws std::runtime_error when the
  // context cannot.
  void prepare(RenderSize size, int samples);
  void bind() const;            // draws go here; sets the viewport
  void resolve() const;         // into the texture
  [[nodiscard]] GLuint texture() const { return texture_.get(); }
  [[nodiscard]] GLuint resolved() const { return resolved_.get(); }
  [[nodiscard]] RenderSize size() const { return size_; }

private:
  RenderSize size_{};
  int samples_ = -1;
  Texture texture_;
  Framebuffer resolved_;
  Framebuffer drawn_;           // only when multisampled
  Renderbuffer colour_;
  Renderbuffer depth_;
};

// The depth of what the key light sees.
class ShadowMap {
public:
  static constexpr int side_px = 1024;
  ShadowMap();
  void bind() const;
  [[nodiscard]] GLuint texture() const { return texture_.get(); }

private:
  Texture texture_;
  Framebuffer framebuffer_;
};

// Part numbers by pixel.
class PartTarget {
public:
  void prepare(RenderSize size);
  void bind() const;

private:
  RenderSize size_{};
  Texture parts_;
  Renderbuffer depth_;
  Framebuffer framebuffer_;
};

} // namespace phasewright::gl
