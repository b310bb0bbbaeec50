// What a picture is drawn into: colour and depth, multisampled or not, and the texture it ends up in.
#pragma once

#include "render/gl_objects.hpp"
#include "render/renderer.hpp"

#include <optional>

namespace phasewright::gl {

class Target {
public:
  // Makes or remakes the buffers for that size. `samples` 0 or 1 = not multisampled. Throws std::runtime_error when the
  // context cannot.
  void prepare(RenderSize size, int samples);
  void bind() const;    // draws go here; sets the viewport
  void resolve() const; // into the texture
  [[nodiscard]] GLuint texture() const { return texture_.get(); }
  [[nodiscard]] GLuint resolved() const { return resolved_.get(); }
  [[nodiscard]] RenderSize size() const { return size_; }

private:
  RenderSize size_{};
  int samples_ = -1;
  Texture texture_;
  Framebuffer resolved_;
  Framebuffer drawn_; // only when multisampled
  Renderbuffer colour_;
  Renderbuffer depth_;
};

// The number of the part that is seen through one pixel.
class PartTarget {
public:
  PartTarget();
  void clear() const; // draws go here; sets the viewport
  [[nodiscard]] std::optional<std::size_t> part() const;

private:
  Texture parts_;
  Renderbuffer depth_;
  Framebuffer framebuffer_;
};

} // namespace phasewright::gl
