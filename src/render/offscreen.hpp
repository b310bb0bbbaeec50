// An OpenGL 3.3 context with no display: EGL surfaceless, else an EGL device, else the default display.
#pragma once

#include "render/renderer.hpp"

namespace phasewright {

class OffscreenContext {
public:
  OffscreenContext(); // throws std::runtime_error naming what each way said when none works
  ~OffscreenContext();
  OffscreenContext(const OffscreenContext&) = delete;
  OffscreenContext& operator=(const OffscreenContext&) = delete;

  void make_current();
  [[nodiscard]] static Renderer::GetProc get_proc();

private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

} // namespace phasewright
