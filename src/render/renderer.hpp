// Draws a Scene with OpenGL 3.3 core into a picture of its own. Needs a current context; knows no window and no UI.
#pragma once

#include "scene/camera.hpp"
#include "scene/scene.hpp"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

enum class Theme { day, night };

struct RenderSize {
  int width_px = 0;
  int height_px = 0;
};

struct Image { // 8-bit RGBA, rows from the top
  int width_px = 0;
  int height_px = 0;
  std::vector<std::uint8_t> rgba;
};

class Renderer {
public:
  // Loads OpenGL through `get_proc` (glad) and builds the shaders found in `shader_folder`. Throws std::runtime_error
  // with the compiler's words when the context is older than 3.3 or a shader does not build.
  using GetProc = void (*(*)(const char*))();
  Renderer(GetProc get_proc, const std::filesystem::path& shader_folder);
  ~Renderer();
  Renderer(const Renderer&) = delete;
  Renderer& operator=(const Renderer&) = delete;

  void upload(const std::vector<Mesh>& meshes); // replaces what was uploaded

  // Draws into an own colour texture of that size, or of `share` of its pixels each way (more than 0 to 1), to be
  // stretched by who shows it. `smooth` = 4x multisampling where the context has it.
  void draw(const Scene& scene, const Camera& camera, Theme theme, RenderSize size, bool smooth, double share = 1.0);

  void finish() const; // waits until the last draw is done; for timing

  [[nodiscard]] unsigned texture() const; // of the last draw; bottom row first, as OpenGL has it
  [[nodiscard]] Image read() const;       // the last draw, read back
  // Part under a pixel of the last drawn scene, drawn into an id buffer only when asked.
  [[nodiscard]] std::optional<std::size_t> pick(const Scene& scene, const Camera& camera, RenderSize size, int x_px,
                                                int y_px);

  [[nodiscard]] bool software() const;           // llvmpipe, softpipe or the like: save work while moving
  [[nodiscard]] std::string description() const; // renderer and version, for `--version` and error reports

private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

void write_png(const Image& image,
               const std::filesystem::path& path); // atomic; throws std::runtime_error with the reason

// Loads OpenGL's functions for the context that is current, the first time; they serve every later context as well, as
// libglvnd has it, so that pictures can be drawn on another thread meanwhile. Throws std::runtime_error when they are
// not there or are older than 3.3.
void load_gl(Renderer::GetProc get_proc);

} // namespace phasewright
