// The viewer drawn into a picture of its own, with no window.
#pragma once

#include "render/offscreen.hpp"
#include "viewer/app.hpp"

namespace phasewright::viewer {

class OffscreenApp {
public:
  // Throws std::runtime_error when there is no off-screen OpenGL.
  OffscreenApp(Workbench bench, const ViewerOptions& options);
  ~OffscreenApp();
  OffscreenApp(const OffscreenApp&) = delete;
  OffscreenApp& operator=(const OffscreenApp&) = delete;

  [[nodiscard]] App& app() { return *app_; }
  Next frame(double passed_s);
  // As frame(), and waits until it is done.
  Next finished_frame(double passed_s);
  [[nodiscard]] Image read() const;

private:
  OffscreenContext context_;
  int width_px_;
  int height_px_;
  unsigned colour_ = 0;
  unsigned framebuffer_ = 0;
  std::unique_ptr<App> app_;
};

} // namespace phasewright::viewer
